//! Lamps and casts against published and independently computed values.

use super::common::{Row, Worst, csv};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::observer::{SAMPLES, nanometres, tristimulus};
use lookwright::colour::whites::{
    Chromaticity, filter_transmittance, filtered_planckian_spectrum, kelvin, mired, planckian,
};
use lookwright::light::{
    BUILT_IN, Balance, BuiltIn, DUV_PER_CC, Filter, Lamp, LampFault, LightSource, Source, SourceFault, Temperature,
    built_in, cast,
};
use lookwright::maths::log2;

/// mired_filter_xy.csv states it for the same table and spectrum.
const FILTERED: f64 = 1e-6;

/// cct_duv.csv states both for exact values.
const CCT_RELATIVE: f64 = 1e-6;
const DUV: f64 = 1e-8;

/// mired.csv: plain arithmetic.
const ARITHMETIC: f64 = 1e-12;

pub fn filter(warmer_mired: f64, greener_duv: f64) -> Filter {
    Filter { name: "test".to_owned(), warmer_mired, greener_duv, stops: 0.25, is_estimated: false }
}

pub fn lamp(kind: LightSource, kelvin: f64, duv: f64, filters: &[f64]) -> Lamp {
    let filters = filters.iter().map(|mired| filter(*mired, 0.0)).collect();
    Lamp { source: Source { kind, kelvin, duv }, filters }
}

/// "-137-137", "159+159", "-137+26" or "none".
fn shifts(text: &str) -> Vec<f64> {
    if text == "none" {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut start = 0;
    for end in (1..=text.len()).filter(|end| *end == text.len() || text[*end..].starts_with(['+', '-'])) {
        found.push(text[start..end].parse().expect("a shift"));
        start = end;
    }
    found
}

/// Source: mired_filter_xy.csv, ideal filters and stacks, summed independently.
#[test]
fn filter_stacks_on_filaments_and_daylight() {
    let (mut xy, mut cct, mut duv) =
        (Worst::new("x, y", FILTERED), Worst::new("colour temperature", CCT_RELATIVE), Worst::new("Duv", FILTERED));
    let (mut stacks, mut without) = (0, 0);
    for row in csv("mired_filter_xy.csv").rows() {
        let (kind, kelvin) = match row.text("lamp") {
            "planck_3200" => (LightSource::Planckian, 3200.0),
            "daylight_d56" => (LightSource::Daylight, 5600.0),
            "daylight_d60" => (LightSource::Daylight, 6000.0),
            other => panic!("{}: unknown lamp {other}", row.place()),
        };
        stacks += 1;
        let shifts = shifts(row.text("filters"));
        let lit = lamp(kind, kelvin, 0.0, &shifts).lit().expect("a light");
        xy.check_all(&row.place(), &[lit.chromaticity.x, lit.chromaticity.y], &row.numbers(["x", "y"]));
        assert_eq!(lit.warmer_mired, row.number("total_shift"), "{}", row.place());
        assert!((lit.loss_stops - 0.25 * shifts.len() as f64).abs() < 1e-12, "{}", row.place());
        // The file prints nan past 333000 K.
        match lit.temperature {
            Temperature::Found { kelvin, duv: found } if kelvin < 333_000.0 => {
                cct.check_relative(&row.place(), kelvin, row.number("cct"));
                duv.check(&row.place(), found, row.number("duv"));
            }
            other => {
                assert!(row.number("cct").is_nan(), "{}: {other:?}", row.place());
                without += 1;
            }
        }
    }
    assert!(stacks >= 20, "{stacks} stacks");
    assert!(without >= 3, "stacks past zero mired have no colour temperature: {without}");
    xy.finish();
    cct.finish();
    duv.finish();
}

/// Source: cct_duv.csv, a light of known CCT and Duv as an LED.
#[test]
fn leds_are_their_colour_temperature_and_duv() {
    let mut uv = Worst::new("u, v", DUV);
    let (mut cct, mut duv) = (Worst::new("colour temperature", CCT_RELATIVE), Worst::new("Duv", DUV));
    let (mut lights, mut refused) = (0, 0);
    for row in csv("cct_duv.csv").rows().filter(|row| row.number("cct") >= 1667.0) {
        let led = lamp(LightSource::Led, row.number("cct"), row.number("duv"), &[]);
        if row.number("x") + row.number("y") >= 1.0 {
            // The table goes on where no light is: Z would be negative.
            assert!(matches!(led.lit(), Err(LampFault::Source(SourceFault::NoLight(_)))), "{}", row.place());
            refused += 1;
            continue;
        }
        lights += 1;
        let lit = led.lit().unwrap_or_else(|fault| panic!("{}: {fault:?}", row.place()));
        uv.check_all(&row.place(), &lit.chromaticity.to_uv(), &row.numbers(["u", "v"]));
        let (kelvin, found) = lit.temperature.found().expect("on the locus or near it");
        cct.check_relative(&row.place(), kelvin, row.number("cct"));
        duv.check(&row.place(), found, row.number("duv"));
    }
    assert!(lights >= 60 && refused > 0, "{lights} lights, {refused} refused");
    uv.finish();
    cct.finish();
    duv.finish();
}

/// Source: mired.csv, arithmetic by definition; 5600 → 3200 K is +134 mired (handbooks' rounding).
#[test]
fn mired_arithmetic() {
    let (mut worst, mut rows) = (Worst::new("mired", ARITHMETIC), 0);
    for row in csv("mired.csv").rows() {
        rows += 1;
        worst.check_relative(&row.place(), mired(row.number("cct")), row.number("mired"));
        let shifted = row.number("mired") + row.number("shift");
        worst.check_relative(&row.place(), shifted, row.number("mired_shifted"));
        worst.check_relative(&row.place(), kelvin(shifted), row.number("cct_shifted"));
    }
    worst.finish();
    assert!(rows >= 5, "{rows} shifts");
    assert_eq!((mired(3200.0) - mired(5600.0)).round(), 134.0);
}

/// Computed elsewhere from the same construction: an ideal +159 takes a 3200 K black body to 2120 K, −137 to 5750 K, with losses of 1.05 and
/// 2.04 stops if the filter's peak between 400 and 700 nm is 1.
#[test]
fn ideal_full_filters_on_tungsten() {
    let page = page_about_light();
    assert!(
        page.contains("(a full orange 1.05 stops, a full blue 2.04, scaled to a peak of 1 in 400–700 nm)"),
        "the page's figures"
    );
    for (shift, kelvin, loss) in [(159.0, 2120.0, 1.05), (-137.0, 5750.0, 2.04)] {
        let lit = lamp(LightSource::Planckian, 3200.0, 0.0, &[shift]).lit().expect("a light");
        let (found, _) = lit.temperature.found().expect("a colour temperature");
        assert!((found - kelvin).abs() < 5.0, "{shift:+} mired: {found} K, expected {kelvin}");
        let (bare, filter) = (filtered_planckian_spectrum(3200.0, 0.0), filter_transmittance(shift));
        let visible = |row: &usize| (400.0..=700.0).contains(&nanometres(*row));
        let peak = (0..SAMPLES).filter(visible).map(|row| filter[row]).fold(0.0, f64::max);
        let mut behind = bare;
        behind.iter_mut().zip(&filter).for_each(|(power, share)| *power *= share / peak);
        let stops = log2(tristimulus(&bare)[1] / tristimulus(&behind)[1]);
        assert!((stops - loss).abs() < 0.005, "{shift:+} mired: {stops} stops, expected {loss}");
    }
}

/// The strengths that each kind comes in; the data leave out the first maker's 3/4 greens, which there are none of.
const STRENGTHS: [&str; 5] = ["full", "3/4", "1/2", "1/4", "1/8"];

/// The built-in filter of a row of filters_published.csv.
fn built_in_of(row: &Row<'_>) -> &'static BuiltIn {
    let name = format!("{} {}", row.text("strength"), row.text("kind"));
    built_in(&name).unwrap_or_else(|| panic!("{}: no built-in filter {name}", row.place()))
}

/// A number as it is printed, if it is printed; half of its last digit.
fn printed(row: &Row<'_>, column: &str) -> Option<(f64, f64)> {
    let text = row.text(column);
    let number = text.parse().ok()?;
    let digits = text.split('.').nth(1).map_or(0, str::len);
    Some((number, (0..digits).fold(0.5, |half, _| half / 10.0)))
}

/// Two makers' tables: the built-in filters are the first maker's, and nothing but the 3/4 greens is without a source.
#[test]
fn built_in_filters_are_what_their_makers_print() {
    let (mut sourced, mut others) = (Vec::new(), 0);
    for row in csv("filters_published.csv").rows() {
        let known = built_in_of(&row);
        if row.text("maker") == "Lee" {
            let own = (known.warmer_mired, known.greener_cc, known.stops);
            let number = |column| printed(&row, column).map_or(0.0, |(number, _)| number);
            assert_eq!(own, (number("mired"), number("cc"), number("stops")), "{}: {}", row.place(), known.name);
            sourced.push(known.name);
        } else {
            let mired = printed(&row, "mired").map(|(mired, _)| mired);
            assert_eq!(known.other_maker, mired, "{}: {}", row.place(), known.name);
            others += usize::from(mired.is_some());
        }
    }
    let own: Vec<&str> = BUILT_IN.iter().map(|one| one.name).filter(|name| !sourced.contains(name)).collect();
    assert_eq!(own, ["3/4 plus green", "3/4 minus green"]);
    assert_eq!((sourced.len(), others), (18, 10));
}

/// docs/light.md: halfway between their neighbours.
#[test]
fn filters_without_a_source_lie_between_their_neighbours() {
    for kind in ["plus green", "minus green"] {
        let [full, three_quarters, half, ..] =
            STRENGTHS.map(|strength| built_in(&format!("{strength} {kind}")).expect("built in"));
        let middle = |of: fn(&BuiltIn) -> f64| (of(three_quarters) - f64::midpoint(of(full), of(half))).abs();
        assert!(middle(|one| one.greener_cc) < 1e-12 && middle(|one| one.stops) < 1e-12, "3/4 {kind}");
    }
}

/// Losses follow from the printed transmissions, mireds from the printed kelvins, each to its digits; and every cell says whence it is.
#[test]
fn published_numbers_agree_with_each_other() {
    let (mut losses, mut shifts) = (0, 0);
    for row in csv("filters_published.csv").rows() {
        let place = row.place();
        let (loss, half) = printed(&row, "stops").expect("a loss");
        let from_transmission = -log2(row.number("transmission") / 100.0);
        assert!((loss - from_transmission).abs() <= half, "{place}: {loss} stops, {from_transmission} by transmission");
        losses += 1;
        if let (Some((shift, half)), Some((from, _)), Some((to, _))) =
            (printed(&row, "mired"), printed(&row, "from_kelvin"), printed(&row, "to_kelvin"))
        {
            // Kelvins are rounded to hundreds, one of them to tens.
            let digit = if to % 100.0 == 0.0 { 100.0 } else { 10.0 };
            let rounding = half + mired(to - digit / 2.0) - mired(to);
            let off = shift - (mired(to) - mired(from));
            assert!(
                off.abs() <= rounding,
                "{place}: {shift} mired, {off} off {from} to {to} K, which allow {rounding}"
            );
            shifts += 1;
        }
        let strength = if row.text("mired").is_empty() { "cc" } else { "mired" };
        let columns = [strength, "transmission", "stops"];
        let provenances: Vec<&str> = row.text("provenance").split('/').collect();
        assert_eq!(provenances.len(), columns.len(), "{place}");
        for (column, provenance) in columns.iter().zip(provenances) {
            assert!(["read", "memory", "computed", "none"].contains(&provenance), "{place}: {provenance}");
            assert_eq!(row.text(column).is_empty(), provenance == "none", "{place}: {column}");
        }
    }
    assert_eq!((losses, shifts), (37, 18));
}

/// A public lighting wiki: what full, 1/2 and 1/4 blue make of 3200 K, in hundreds of kelvin.
#[test]
fn blue_filters_on_tungsten_are_what_electricians_expect() {
    for (name, expected) in [("full CTB", 5700.0), ("1/2 CTB", 4300.0), ("1/4 CTB", 3600.0)] {
        let filters = vec![built_in(name).expect("built in").filter()];
        let source = Source { kind: LightSource::Planckian, kelvin: 3200.0, duv: 0.0 };
        let (kelvin, _) = Lamp { source, filters }.lit().expect("a light").temperature.found().expect("a temperature");
        assert!((kelvin - expected).abs() <= 50.0, "{name}: {kelvin:.0} K, expected {expected}");
    }
}

fn page_about_light() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/light.md")).expect("the page")
}

#[test]
fn the_page_about_light_lists_every_built_in_filter() {
    let page = page_about_light();
    for one in &BUILT_IN {
        let other = one.other_maker.map_or(String::new(), |mired| mired.to_string());
        let row = format!("| {} | {} | {} | {} | {other} |", one.name, one.warmer_mired, one.greener_cc, one.stops);
        assert!(page.contains(&row), "docs/light.md lacks the row {row}");
    }
}

#[test]
fn green_and_magenta_cancel_and_add_in_any_order() {
    let base = lamp(LightSource::Daylight, 5600.0, 0.0, &[64.0]);
    let with = |filters: &[Filter]| {
        let filters = base.filters.iter().chain(filters).cloned().collect();
        Lamp { filters, ..base.clone() }.lit().expect("a light").chromaticity
    };
    let (plus, minus) = (filter(0.0, 15.0 * DUV_PER_CC), filter(0.0, -15.0 * DUV_PER_CC));
    assert_eq!(with(&[plus.clone(), minus.clone()]), with(&[]));
    let twice = with(&[plus.clone(), plus.clone()]);
    let once = with(&[filter(0.0, 30.0 * DUV_PER_CC)]);
    assert!((twice.x - once.x).abs() < 1e-15 && (twice.y - once.y).abs() < 1e-15, "{twice:?} {once:?}");
    let two: Vec<Filter> =
        ["1/2 plus green", "1/4 plus green"].iter().map(|name| built_in(name).expect("built in").filter()).collect();
    let summed = with(&[filter(0.0, 22.5 * DUV_PER_CC)]);
    let both = with(&two);
    assert!((both.x - summed.x).abs() < 1e-15 && (both.y - summed.y).abs() < 1e-15, "{both:?} {summed:?}");
    let lit = Lamp { filters: [base.filters.clone(), two].concat(), ..base.clone() }.lit().expect("a light");
    assert_eq!(lit.greener_duv, (15.0 + 7.5) * DUV_PER_CC);
    assert!((lit.loss_stops - (0.25 + 0.29 + 0.24)).abs() < 1e-12, "{}", lit.loss_stops);
    let other_order = Lamp { filters: vec![plus, filter(64.0, 0.0)], ..base.clone() }.lit().expect("a light");
    assert_eq!(other_order.chromaticity, with(&[filter(0.0, 15.0 * DUV_PER_CC)]));
}

/// A recipe's `[white]` is defined as this very shift, so that a black body at the balance behind filters leaves just their numbers.
#[test]
fn casts_of_filtered_black_bodies_are_their_filters() {
    let (mut warm, mut green) = (Worst::new("mired", 1e-6), Worst::new("Duv", 1e-9));
    let (mut held, mut refused) = (0, 0);
    for kelvin in [1667.0, 2700.0, 3200.0, 4300.0, 5600.0, 10_000.0, 25_000.0] {
        for shift in [-400.0, -137.0, -30.0, 0.0, 26.0, 159.0, 400.0] {
            for duv in [-0.02, -0.004, 0.0, 0.004, 0.02] {
                let mut lamp = lamp(LightSource::Planckian, kelvin, 0.0, &[shift]);
                lamp.filters.push(filter(0.0, duv));
                let Ok(lit) = lamp.lit() else {
                    refused += 1;
                    continue;
                };
                held += 1;
                let place = format!("{kelvin} K {shift:+} mired {duv:+} Duv");
                let balance = Balance { kelvin, greener_duv: 0.0 };
                let left = cast(lit.chromaticity, &balance, Adaptation::Bradford);
                let left = left.unwrap_or_else(|| panic!("{place}: no cast"));
                warm.check(&place, left.warmer_mired, shift);
                green.check(&place, left.greener_duv, duv);
            }
        }
    }
    // Refused are greens beside the red end of the spectral locus, where no light is.
    assert_eq!((held, refused), (226, 19));
    warm.finish();
    green.finish();
}

/// docs/light.md: the locus ends at 500 K, and past it green is where it is at that end.
#[test]
fn below_500_k_green_is_where_it_is_at_500_k() {
    let direction = |shift: f64| {
        let bare = lamp(LightSource::Planckian, 1667.0, 0.0, &[shift]);
        let mut magenta = bare.clone();
        magenta.filters.push(filter(0.0, -0.002));
        let [from, to] = [bare, magenta].map(|lamp| lamp.lit().expect("a light").chromaticity.to_uv());
        [(to[0] - from[0]) / -0.002, (to[1] - from[1]) / -0.002]
    };
    let away = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs().max((a[1] - b[1]).abs());
    // The normal by points of the locus 0.5 K apart on either side of 500 K.
    let ([low_u, low_v], [high_u, high_v]) = (planckian(499.75).to_uv(), planckian(500.25).to_uv());
    let (along_u, along_v) = (low_u - high_u, low_v - high_v);
    let length = (along_u * along_u + along_v * along_v).sqrt();
    let normal = [-along_v / length, along_u / length];
    for shift in [1500.0, 1600.0, 1800.0] {
        let off = away(direction(shift), normal);
        assert!(off < 1e-6, "{shift:+} mired: {off}");
    }
    // At 556 K it is another one.
    assert!(away(direction(1200.0), normal) > 1e-4);
}

#[test]
fn the_light_of_the_balance_leaves_nothing() {
    for (kelvin, greener_duv) in [(3200.0, 0.0), (4300.0, 0.012), (5600.0, -0.01)] {
        let balance = Balance { kelvin, greener_duv };
        for adaptation in Adaptation::ALL {
            let left = cast(balance.white(), &balance, adaptation).expect("a cast");
            assert!(left.warmer_mired.abs() < 1e-6 && left.greener_duv.abs() < 1e-9, "{balance:?}: {left:?}");
        }
    }
}

#[test]
fn lights_that_cannot_be_are_refused() {
    let fault = |lamp: Lamp| lamp.lit().expect_err("no light");
    assert_eq!(fault(lamp(LightSource::Daylight, 3999.0, 0.0, &[])), LampFault::Source(SourceFault::NoDaylight));
    assert_eq!(fault(lamp(LightSource::Daylight, 5600.0, 0.01, &[])), LampFault::Source(SourceFault::DuvOfItsOwn));
    assert_eq!(fault(lamp(LightSource::Planckian, 3200.0, -0.01, &[])), LampFault::Source(SourceFault::DuvOfItsOwn));
    // The spectral locus passes 0.011 Duv above the black body of 1700 K.
    assert!(matches!(fault(lamp(LightSource::Led, 1700.0, 0.03, &[])), LampFault::Source(SourceFault::NoLight(_))));
    let mut green = lamp(LightSource::Planckian, 1700.0, 0.0, &[159.0, 159.0]);
    green.filters.push(filter(0.0, 0.05));
    assert!(matches!(fault(green), LampFault::NoLight(_)));
}

/// Nothing that a lamp can be given within its ranges makes a number that is none.
#[test]
fn every_number_is_a_number() {
    let balance = Balance { kelvin: 4300.0, greener_duv: 0.0 };
    let (mut lights, mut without) = (0, 0);
    for kind in LightSource::ALL {
        for kelvin in [1667.0, 3200.0, 6500.0, 25_000.0] {
            for duv in [-0.05, 0.0, 0.05] {
                for shift in [-400.0, -137.0, 159.0, 400.0] {
                    for count in [0, 1, 4, 10] {
                        let Ok(lit) = lamp(kind, kelvin, duv, &vec![shift; count]).lit() else { continue };
                        lights += 1;
                        let Chromaticity { x, y } = lit.chromaticity;
                        assert!(x.is_finite() && y > 0.0, "{kind:?} {kelvin} K {duv} {count} × {shift}: {x} {y}");
                        match lit.temperature.found() {
                            Some((kelvin, duv)) => assert!(kelvin.is_finite() && duv.is_finite()),
                            None => without += 1,
                        }
                        if let Some(left) = cast(lit.chromaticity, &balance, Adaptation::Bradford) {
                            assert!(left.warmer_mired.is_finite() && left.greener_duv.is_finite(), "{left:?}");
                        }
                    }
                }
            }
        }
    }
    assert!(lights > 150 && without > 50, "{lights} lights, {without} without a colour temperature");
    assert!(planckian(1667.0).x.is_finite());
}
