//! The viewer of look reports: its policy, its script, and its data, which a reader of its own unpacks here. What it draws is held
//! against the program in a real browser by `tests/python/viewer.py`.

use super::html::{Page, Tag};
use super::looks;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use lookwright::colour::encodings::{Curve, ENCODINGS, Step, find};
use lookwright::compile::prepare_text;
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::maths::exp2;
use lookwright::plan::Levels;
use lookwright::report::viewer::{CURVE_POINTS, ViewerLook, viewer_section};
use sha2::{Digest, Sha256};
use std::path::Path;

/// What the page says of its curve, 10-bit codes. Measured: 0.062 for apple-log, whose toe is a parabola, where straight lines are worst.
const CURVE_CODES: f64 = 0.1;

/// Bytes that the viewer may add to a page with a table of 33 points; this project's own choice.
const VIEWER_BYTES: usize = 300_000;

/// A page with a viewer has its one script and its shader, and a policy that lets nothing else in or out; another has neither.
pub fn check(name: &str, page: &Page, text: &str) {
    let scripts: Vec<&Tag> = page.tags().filter(|tag| tag.name == "script").collect();
    let policies: Vec<&Tag> =
        page.tags().filter(|tag| tag.value("http-equiv") == Some("Content-Security-Policy")).collect();
    if !page.values("id").any(|id| id == "viewer") {
        assert!(scripts.is_empty() && policies.is_empty(), "{name}: a script or a policy without a viewer");
        return;
    }
    let [shader, script] = scripts.as_slice() else { panic!("{name}: {} scripts", scripts.len()) };
    assert!(shader.value("type") == Some("text/plain") && script.attributes.is_empty(), "{name}");
    assert!(text.find("Content-Security-Policy") < text.find("<style>"), "{name}: the policy stands first");
    let hash = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    let styles: Vec<String> = page.texts_in("style").map(hash).collect();
    let policy = policies.first().and_then(|tag| tag.value("content")).expect("a policy");
    let expected = format!(
        "default-src 'none'; style-src {}; script-src {}; img-src data: blob:; media-src blob:; base-uri 'none'; form-action 'none'",
        styles.join(" "),
        hash(script.text())
    );
    assert_eq!(policy, expected, "{name}");
    // What other people wrote never becomes a part of the page by way of the script.
    for forbidden in [
        "innerHTML",
        "outerHTML",
        "insertAdjacent",
        "document.write",
        "eval(",
        "fetch(",
        "XMLHttp",
        "WebSocket",
        "import(",
    ] {
        assert!(!script.text().contains(forbidden), "{name}: {forbidden}");
    }
}

fn bytes(tag: &Tag, key: &str) -> Vec<u8> {
    STANDARD.decode(tag.value(key).expect("data")).expect("base64")
}

fn by_id<'a>(page: &'a Page, id: &str) -> &'a Tag {
    page.tags().find(|tag| tag.value("id") == Some(id)).unwrap_or_else(|| panic!("no {id}"))
}

fn number(tag: &Tag, key: &str) -> f64 {
    tag.value(key).and_then(|value| value.parse().ok()).unwrap_or_else(|| panic!("{key}"))
}

/// The table of a page's look, unpacked.
fn table(page: &Page, id: &str) -> Table3 {
    let tag = by_id(page, id);
    let size = number(tag, "data-size") as usize;
    let packed = miniz_oxide::inflate::decompress_to_vec(&bytes(tag, "data-packed")).expect("deflated");
    let nodes = size.pow(3);
    assert_eq!(packed.len(), 6 * nodes);
    let (low, high) = (number(tag, "data-low"), number(tag, "data-high"));
    let mut values = vec![[0.0; 3]; nodes];
    for channel in 0..3 {
        let residual = |node: usize| {
            let place = channel * nodes + node;
            let folded = i64::from(packed[place]) * 256 + i64::from(packed[3 * nodes + place]);
            if folded % 2 == 0 { folded / 2 } else { -(folded + 1) / 2 }
        };
        let mut codes = vec![0_i64; nodes];
        for node in 0..nodes {
            let at = [node % size, node / size % size, node / size / size];
            // A node is what its neighbours towards the origin foretell, and a rest: inclusion and exclusion over the corners of a cell.
            let foretold: i64 = (1..8_usize)
                .filter(|corner| (0..3).all(|axis| corner >> axis & 1 == 0 || at[axis] > 0))
                .map(|corner| {
                    let back: usize = (0..3).map(|axis| (corner >> axis & 1) * size.pow(axis as u32)).sum();
                    codes[node - back] * if corner.count_ones() % 2 == 1 { 1 } else { -1 }
                })
                .sum();
            codes[node] = (foretold + residual(node)).rem_euclid(65_536);
        }
        for (value, code) in values.iter_mut().zip(codes) {
            value[channel] = low + (high - low) * code as f64 / 65_535.0;
        }
    }
    Table3::new(size, Domain::UNIT, values).expect("a table")
}

fn section(table: &Table3, encoding: &str) -> String {
    let one = prepare_text(
        Path::new("look.toml"),
        "lookwright = 1\n[look]\nname = \"Plain\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"
            .to_owned(),
        &[],
    );
    let look = ViewerLook {
        name: "</script><b>",
        file: "plain",
        table,
        input: "any",
        curve: curve(encoding),
        input_levels: Levels::Full,
        output_levels: Levels::Full,
        interpolation: Interpolation::Tetrahedral,
        display: one.expect("a recipe").plan.display,
    };
    format!("<!DOCTYPE html>{}", viewer_section(&[look.clone(), look]).into_string())
}

fn curve(id: &str) -> Curve {
    let encoding = find(id).expect("an encoding");
    Curve::new(encoding, None).or_else(|_| Curve::new(encoding, Some(800))).expect("a curve")
}

/// Sampled values, and steep, falling and far ones that no look has.
#[test]
fn a_table_comes_out_of_the_page_as_it_went_in() {
    for (size, scale) in [(2, 1.0), (5, 1.0), (9, 3.0)] {
        let value =
            |node: usize, channel: usize| scale * ((node * 7919 + channel * 104_729) % 10_007) as f64 / 10_006.0;
        let nodes: Vec<[f64; 3]> = (0..size * size * size)
            .map(|node| [0, 1, 2].map(|channel| value(node, channel) - (scale - 1.0) / 2.0))
            .collect();
        let wanted = Table3::new(size, Domain::UNIT, nodes).expect("a table");
        let text = section(&wanted, "s-log3");
        let page = Page::read("section", &text);
        let got = table(&page, "viewer-look-1");
        for (got, wanted) in got.nodes().iter().flatten().zip(wanted.nodes().iter().flatten()) {
            assert!((got - wanted).abs() <= 0.5 / 65_535.0 * scale + 1e-12, "{size} points: {got} is not {wanted}");
        }
        // Two looks of one camera share its curve, and a name stays a name.
        assert_eq!(page.tags().filter(|tag| tag.value("data-light").is_some()).count(), 1);
        assert_eq!(by_id(&page, "viewer-look-0").value("data-name"), Some("</script><b>"));
    }
}

/// The table of a report is the file's, to half a code of 16 bits.
#[test]
fn a_report_has_the_table_of_its_file() {
    let (_, text) = looks::pages().iter().find(|(name, _)| *name == "look-dusk.html").expect("a page");
    let page = Page::read("look-dusk", text);
    let got = table(&page, "viewer-look-0");
    let dusk = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/dusk-car-deck.toml");
    let one = prepare_text(&dusk, std::fs::read_to_string(&dusk).expect("a recipe"), &[]).expect("a recipe");
    let wanted = one.sample().expect("a table").table;
    assert_eq!(got.size(), wanted.size());
    for (got, wanted) in got.nodes().iter().flatten().zip(wanted.nodes().iter().flatten()) {
        // And half of the last digit that the file prints.
        assert!((got - wanted).abs() <= 0.5 / 65_535.0 + 0.6e-6, "{got} is not {wanted}");
    }
    let end = text.find("id=\"viewer-look-0\"").expect("a table");
    let start = text.find("id=\"viewer\"").expect("a viewer");
    let viewer = &text[start..end + text[end..].find("</section>").expect("an end")];
    assert!(viewer.len() < VIEWER_BYTES, "{} bytes", viewer.len());
    assert_eq!(*text, looks::report_again(), "a report has the same bytes twice");
}

/// The code of an exposed code by a curve's points as the page has them: straight lines between 32-bit lights, both ways.
fn exposed(light: &[f64], ends: [f64; 2], code: f64, gain: f64) -> f64 {
    encoded(light, code, gain).clamp(ends[0], ends[1])
}

fn encoded(light: &[f64], code: f64, gain: f64) -> f64 {
    let last = (light.len() - 1) as f64;
    let place = (code * last).floor().min(last - 1.0);
    let (low, part) = (place as usize, code * last - place);
    let wanted = gain * (light[low] + part * (light[low + 1] - light[low]));
    if wanted <= light[0] {
        return 0.0;
    }
    let above = light.partition_point(|light| *light <= wanted);
    if above >= light.len() {
        return 1.0;
    }
    let step = light[above] - light[above - 1];
    ((above - 1) as f64 + (wanted - light[above - 1]) / step) / last
}

#[test]
fn exposure_in_the_page_is_that_of_the_formula() {
    for encoding in ENCODINGS {
        let table = Table3::new(2, Domain::UNIT, vec![[0.0; 3]; 8]).expect("a table");
        let text = section(&table, encoding.id);
        let page = Page::read("section", &text);
        let light: Vec<f64> = bytes(by_id(&page, "viewer-curve-0"), "data-light")
            .chunks_exact(4)
            .map(|four| f64::from(f32::from_le_bytes(four.try_into().expect("four bytes"))))
            .collect();
        assert_eq!(light.len(), CURVE_POINTS);
        let curve = curve(encoding.id);
        let ends = ["data-first", "data-last"].map(|key| number(by_id(&page, "viewer-curve-0"), key));
        // The steps that printed constants leave, and the rounding of the two encodings that are whole codes by their standard.
        let step = |step: &Step| {
            1023.0
                * (step.code_above - step.code_below)
                    .abs()
                    .max((curve.encode(step.linear_above) - curve.encode(step.linear_below)).abs())
        };
        let steps = curve.steps().iter().map(step).fold(0.0, f64::max);
        let rounding = match encoding.id {
            "acesproxy10" => 0.5,
            "acesproxy12" => 0.5 * 1023.0 / 4095.0,
            _ => 0.0,
        };
        for stops in [-6.0, -1.0, 0.5, 1.0, 6.0] {
            for code in 0..=255 {
                let code = f64::from(code) / 255.0;
                let wanted = curve.encode(curve.decode(code) * exp2(stops)).clamp(0.0, 1.0);
                let got = exposed(&light, ends, code, exp2(stops));
                let apart = 1023.0 * (got - wanted).abs();
                let at = 1023.0 * code;
                assert!(
                    apart <= CURVE_CODES + steps + rounding,
                    "{}, {stops} stops at {at:.1}: {apart} codes",
                    encoding.id
                );
            }
        }
    }
}
