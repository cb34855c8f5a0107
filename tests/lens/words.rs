//! What can't be is said; what a recipe says holds here too.

use crate::{GRADES, frame, grade};
use lookwright::compile::{Prepared, prepare_text};
use lookwright::maths::exp2;
use lookwright::picture::SampleDepth;
use lookwright::picture::lens::{Halo, Haze, LensFilter, compare, show};
use lookwright::picture::preview::{Applier, Preview};
use lookwright::picture::stand_in::{Content, StandIn};
use std::path::Path;

fn prepared(diffusion: &str) -> Prepared {
    let text = format!(
        "lookwright = 1\n[look]\nname = \"Crossing\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3-cine\"\n\
         [tone]\n[display]\nencoding = \"gamma24\"\n{diffusion}"
    );
    prepare_text(Path::new("crossing.toml"), text, &[]).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// A grade takes from a point of light what the recipe's preset of that name takes from a highlight at most, and what it spreads
/// far is the preset's veil.
#[test]
fn grades_are_those_of_recipes() {
    let mut before = 0.0;
    for name in GRADES {
        let diffusion = prepared(&format!("[diffusion]\ngrade = \"{name}\"\n")).plan.diffusion;
        let filter = grade(name).filter;
        assert!((filter.spread() - (1.0 - exp2(-diffusion.loss_stops))).abs() < 1e-12, "{name}: {}", filter.spread());
        let far: f64 = filter.halos().iter().filter(|halo| halo.radius >= 0.05).map(|halo| halo.share).sum();
        assert!((far + filter.veil() - diffusion.veil).abs() < 1e-12, "{name}: {far} and {}", filter.veil());
        assert!(filter.spread() > before, "{name} is no stronger than the grade before");
        before = filter.spread();
        assert_eq!(LensFilter::like(&diffusion).halos(), filter.halos(), "{name}");
    }
}

#[test]
fn impossible_numbers_are_told() {
    let halo = |share: f64, radius: f64| [Halo { share, radius }];
    let cases: [(Result<LensFilter, _>, &str, &str); 8] = [
        (LensFilter::grade("1/3"), "LW0106", "expected 1/8, 1/4, 1/2, 1, 2, found \"1/3\""),
        (LensFilter::new("x", &halo(1.5, 0.1), 0.0), "LW0507", "expected 0 to 1, found 1.5"),
        (LensFilter::new("x", &halo(-0.1, 0.1), 0.0), "LW0507", "share of a halo"),
        (LensFilter::new("x", &halo(0.1, 0.0), 0.0), "LW0507", "radius of a halo"),
        (LensFilter::new("x", &halo(0.1, f64::NAN), 0.0), "LW0507", "found NaN"),
        (LensFilter::new("x", &halo(0.1, 0.51), 0.0), "LW0507", "above 0 to 0.5"),
        (LensFilter::new("x", &halo(0.1, 0.1), 0.6), "LW0507", "the veil can't be 0.6"),
        (LensFilter::new("x", &halo(0.7, 0.1), 0.4), "LW0507", "more light than there is"),
    ];
    for (result, code, words) in cases {
        let diagnostic = result.expect_err(words);
        assert_eq!(diagnostic.code.id, code);
        assert!(diagnostic.message.contains(words) && !diagnostic.help.is_empty(), "{}", diagnostic.message);
    }
    for (share, neutral) in [(0.51, 0.0), (-0.1, 0.0), (f64::NAN, 0.0), (0.1, 1.5)] {
        assert_eq!(Haze::new(share, neutral).expect_err("impossible").code.id, "LW0507");
    }
    let tenths = [0.1; 10].map(|share| Halo { share, radius: 0.1 });
    assert!(LensFilter::new("all", &tenths, 0.0).is_ok(), "ten tenths are all the light, whatever they round to");
}

/// A lamp over a dark deck through the four ways: the LUT alone gives a dark pixel no halo, the lens does.
#[test]
fn a_comparison_has_the_four_ways() {
    let prepared = prepared("[diffusion]\ngrade = \"1\"\n");
    let plan = &prepared.plan;
    let scene = frame(160, 90, |x, y, _| if x.abs_diff(80) < 3 && y.abs_diff(45) < 3 { 40.0 } else { 0.003 });
    let stand_in = StandIn::new(Content::Linear, plan, 0.0).expect("scene light");
    let lens = grade("1");
    let ways = compare(plan, &lens, &scene, Some(&stand_in), None).expect("a pipeline");
    let at = |way: &lookwright::picture::lens::Shown, x: usize| way.applied.frame.pixel(x, 45).expect("in it")[1];
    // Beside the lamp, and far away from it.
    let [near, far] = [84, 4].map(|x| [&ways.none, &ways.lens, &ways.recipe, &ways.both].map(|way| at(way, x)));
    let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
    assert!(close(near[0], far[0]) && close(near[2], far[2]), "a LUT made a halo: {near:?} {far:?}");
    assert!(near[1] > near[0] + 0.1 && near[3] > near[2] + 0.1, "the lens made none: {near:?}");
    assert!(near[1] > far[1] + 0.1 && far[1] > far[0], "the halo does not fall off: {near:?} {far:?}");
    assert!(far[3] > far[1] && far[3] > far[2], "both together lift less than one: {far:?}");
}

/// What the four ways show is what a preview shows, whatever the still is.
#[test]
fn a_lens_that_is_not_there_shows_the_preview() {
    let prepared = prepared("");
    let stand_in = StandIn::new(Content::Srgb, &prepared.plan, 0.0);
    let table = prepared.sample().expect("a table").table;
    let applier = Applier::Tables(lookwright::formats::cube::Tables::Three(table));
    let photograph = frame(30, 20, |x, y, _| (x * y) as f64 / 600.0);
    for depth in [SampleDepth::Float, SampleDepth::Eight] {
        let still = photograph.to_depth(depth).frame;
        for stand_in in [None, stand_in.clone()] {
            let preview = Preview { applier: applier.clone(), device: prepared.plan.device, stand_in, screen: None };
            let shown = show(&Default::default(), &preview, &prepared.plan.camera, &still);
            assert_eq!(shown.applied, preview.apply(&still));
            let with = show(&grade("1/8"), &preview, &prepared.plan.camera, &still).applied.frame;
            assert_ne!(with, shown.applied.frame);
            assert_eq!(with.depth(), shown.applied.frame.depth());
        }
    }
}
