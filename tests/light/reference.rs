//! Lamps and casts against published and independently computed values.

use super::common::{Worst, csv};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::observer::{SAMPLES, nanometres, tristimulus};
use lookwright::colour::whites::{
    Chromaticity, filter_transmittance, filtered_planckian_spectrum, kelvin, mired, planckian,
};
use lookwright::light::{
    BUILT_IN, Balance, DUV_PER_CC, Filter, Lamp, LampFault, LightSource, Source, SourceFault, Temperature, built_in,
    cast,
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
    let mut without = 0;
    for row in csv("mired_filter_xy.csv").rows() {
        let (kind, kelvin) = match row.text("lamp") {
            "planck_3200" => (LightSource::Planckian, 3200.0),
            "daylight_d56" => (LightSource::Daylight, 5600.0),
            "daylight_d60" => (LightSource::Daylight, 6000.0),
            other => panic!("{}: unknown lamp {other}", row.place()),
        };
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
    for row in csv("cct_duv.csv").rows().filter(|row| row.number("cct") >= 1667.0) {
        let led = lamp(LightSource::Led, row.number("cct"), row.number("duv"), &[]);
        if row.number("x") + row.number("y") >= 1.0 {
            // The table goes on where no light is: Z would be negative.
            assert!(matches!(led.lit(), Err(LampFault::Source(SourceFault::NoLight(_)))), "{}", row.place());
            continue;
        }
        let lit = led.lit().unwrap_or_else(|fault| panic!("{}: {fault:?}", row.place()));
        uv.check_all(&row.place(), &lit.chromaticity.to_uv(), &row.numbers(["u", "v"]));
        let (kelvin, found) = lit.temperature.found().expect("on the locus or near it");
        cct.check_relative(&row.place(), kelvin, row.number("cct"));
        duv.check(&row.place(), found, row.number("duv"));
    }
    uv.finish();
    cct.finish();
    duv.finish();
}

/// Source: mired.csv, arithmetic by definition; 5600 → 3200 K is +134 mired (handbooks' rounding).
#[test]
fn mired_arithmetic() {
    let mut worst = Worst::new("mired", ARITHMETIC);
    for row in csv("mired.csv").rows() {
        worst.check_relative(&row.place(), mired(row.number("cct")), row.number("mired"));
        let shifted = row.number("mired") + row.number("shift");
        worst.check_relative(&row.place(), shifted, row.number("mired_shifted"));
        worst.check_relative(&row.place(), kelvin(shifted), row.number("cct_shifted"));
    }
    worst.finish();
    assert_eq!((mired(3200.0) - mired(5600.0)).round(), 134.0);
}

/// Computed elsewhere from the same construction: an ideal +159 takes a 3200 K black body to 2120 K, −137 to 5750 K, with losses of 1.05 and
/// 2.04 stops if the filter's peak between 400 and 700 nm is 1.
#[test]
fn ideal_full_filters_on_tungsten() {
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

/// Two makers' tables: the built-in filters are the first maker's.
#[test]
fn built_in_filters_are_what_their_makers_print() {
    let (mut mireds, mut losses, mut others) = (0, 0, 0);
    for row in csv("filters_published.csv").rows() {
        let name = format!("{} {}", row.text("strength"), row.text("kind"));
        let known = built_in(&name).unwrap_or_else(|| panic!("{}: no built-in filter {name}", row.place()));
        let is_conversion = matches!(row.text("kind"), "CTO" | "CTB");
        let value = if is_conversion { row.text("mired") } else { row.text("cc") };
        if row.text("maker") == "Lee" {
            let own = if is_conversion { known.warmer_mired } else { known.greener_cc };
            if let Ok(printed) = value.parse::<f64>() {
                assert_eq!(own, printed, "{}: {name}", row.place());
                mireds += 1;
            }
            if let Ok(printed) = row.text("stops").parse::<f64>() {
                // Printed with one or two decimals.
                let digits = row.text("stops").split('.').nth(1).map_or(0, str::len);
                let half = (0..digits).fold(0.5, |half, _| half / 10.0);
                assert!(
                    (known.stops - printed).abs() <= half + 1e-9,
                    "{}: {name} {} for {printed}",
                    row.place(),
                    known.stops
                );
                losses += 1;
            }
        } else if let Ok(printed) = value.parse::<f64>()
            && is_conversion
        {
            assert_eq!(known.other_maker, Some(printed), "{}: {name}", row.place());
            others += 1;
        }
    }
    assert!(
        mireds >= 15 && losses >= 10 && others >= 10,
        "{mireds} shifts, {losses} losses, {others} of the other maker"
    );
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

#[test]
fn the_page_about_light_lists_every_built_in_filter() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/light.md")).expect("the page");
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
    let other_order = Lamp { filters: vec![plus, filter(64.0, 0.0)], ..base.clone() }.lit().expect("a light");
    assert_eq!(other_order.chromaticity, with(&[filter(0.0, 15.0 * DUV_PER_CC)]));
}

/// A recipe's `[white]` is defined as this very shift, so that a black body at the balance behind filters leaves just their numbers.
#[test]
fn casts_of_filtered_black_bodies_are_their_filters() {
    let (mut warm, mut green) = (Worst::new("mired", 1e-6), Worst::new("Duv", 1e-9));
    for kelvin in [1667.0, 2700.0, 3200.0, 4300.0, 5600.0, 10_000.0, 25_000.0] {
        for shift in [-400.0, -137.0, -30.0, 0.0, 26.0, 159.0, 400.0] {
            for duv in [-0.02, -0.004, 0.0, 0.004, 0.02] {
                let mut lamp = lamp(LightSource::Planckian, kelvin, 0.0, &[shift]);
                lamp.filters.push(filter(0.0, duv));
                let Ok(lit) = lamp.lit() else { continue };
                let place = format!("{kelvin} K {shift:+} mired {duv:+} Duv");
                let balance = Balance { kelvin, greener_duv: 0.0 };
                let left = cast(lit.chromaticity, &balance, Adaptation::Bradford);
                let left = left.unwrap_or_else(|| panic!("{place}: no cast"));
                warm.check(&place, left.warmer_mired, shift);
                green.check(&place, left.greener_duv, duv);
            }
        }
    }
    warm.finish();
    green.finish();
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
