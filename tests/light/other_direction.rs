//! From a cast back: balances and filter stacks.

use super::common::Worst;
use super::reference::lamp;
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::whites::Chromaticity;
use lookwright::light::{
    BUILT_IN, Balance, Cast, Filter, Lamp, LightSource, balance_for, balance_for_kelvin, balanced, cast, light_for,
    stacks,
};
use lookwright::maths::hypot;

fn lights() -> Vec<(Lamp, Chromaticity)> {
    let lamps = [
        lamp(LightSource::Planckian, 3200.0, 0.0, &[]),
        lamp(LightSource::Planckian, 2800.0, 0.0, &[-78.0]),
        lamp(LightSource::Daylight, 5600.0, 0.0, &[109.0]),
        lamp(LightSource::Led, 4300.0, 0.012, &[]),
        lamp(LightSource::Led, 2700.0, -0.006, &[26.0]),
    ];
    lamps
        .into_iter()
        .map(|lamp| (lamp.lit().expect("a light").chromaticity, lamp))
        .map(|(light, lamp)| (lamp, light))
        .collect()
}

#[test]
fn the_balance_that_is_found_leaves_the_cast() {
    let (mut warm, mut green, mut kept) =
        (Worst::new("mired", 1e-5), Worst::new("Duv", 1e-8), Worst::new("tint kept", 1e-5));
    for (place, (_, light)) in lights().into_iter().enumerate() {
        for (warmer_mired, greener_duv) in [(0.0, 0.0), (40.0, 0.0), (-40.0, 0.0), (20.0, 0.006), (-60.0, -0.008)] {
            let wanted = Cast { warmer_mired, greener_duv };
            let name = format!("light {place}, {warmer_mired:+} mired {greener_duv:+} Duv");
            for adaptation in Adaptation::ALL {
                let found = balance_for(light, &wanted, adaptation).unwrap_or_else(|| panic!("{name}: no balance"));
                let left = cast(light, &found, adaptation).expect("a cast");
                warm.check(&name, left.warmer_mired, warmer_mired);
                green.check(&name, left.greener_duv, greener_duv);
                let tint_kept = balance_for_kelvin(light, warmer_mired, 0.004, adaptation).expect("a balance");
                assert_eq!(tint_kept.greener_duv, 0.004);
                kept.check(&name, cast(light, &tint_kept, adaptation).expect("a cast").warmer_mired, warmer_mired);
            }
        }
    }
    warm.finish();
    green.finish();
    kept.finish();
}

/// Several balances can leave one strong cast; the one with the least tint is a camera's. Found by Newton's method over the cast itself,
/// apart from this search: 3080.8 K, Duv -0.0340.
#[test]
fn of_several_balances_the_one_with_the_least_tint_is_taken() {
    let light = lamp(LightSource::Led, 2700.0, 0.0, &[]).lit().expect("a light").chromaticity;
    let found = balance_for(light, &Cast { warmer_mired: 0.0, greener_duv: 0.020 }, Adaptation::Bradford);
    let found = found.expect("a balance");
    assert!((found.kelvin - 3080.8).abs() < 0.1 && (found.greener_duv + 0.0340).abs() < 1e-4, "{found:?}");
}

#[test]
fn the_light_that_leaves_a_cast_leaves_it() {
    for kelvin in [3200.0, 5600.0] {
        let balance = Balance { kelvin, greener_duv: 0.003 };
        for wanted in
            [Cast { warmer_mired: 60.0, greener_duv: 0.004 }, Cast { warmer_mired: -90.0, greener_duv: -0.01 }]
        {
            let light = light_for(&wanted, &balance, Adaptation::Bradford).expect("a light");
            let left = cast(light, &balance, Adaptation::Bradford).expect("a cast");
            assert!((left.warmer_mired - wanted.warmer_mired).abs() < 1e-6, "{left:?} for {wanted:?}");
            assert!((left.greener_duv - wanted.greener_duv).abs() < 1e-9, "{left:?} for {wanted:?}");
        }
    }
}

#[test]
fn no_camera_has_a_balance_for_everything() {
    let (_, daylight) = lights().swap_remove(2);
    // 1667 K are 600 mired: daylight can't be made 500 mired cooler by a balance.
    assert_eq!(balance_for(daylight, &Cast { warmer_mired: -400.0, greener_duv: 0.0 }, Adaptation::Bradford), None);
    let blue = lamp(LightSource::Daylight, 5600.0, 0.0, &[-137.0, -137.0]).lit().expect("a light");
    assert_eq!(balanced(blue.chromaticity), None, "a light without a colour temperature has no neutral balance");
}

/// Against every stack of one or two conversion filters with none or one green or magenta one, one by one: none is nearer than the first,
/// and every stack that is listed is nearer, brighter or shorter than each of the others.
#[test]
fn the_first_stack_is_the_nearest_and_each_has_a_reason() {
    let known: Vec<Filter> = BUILT_IN.iter().map(|one| one.filter()).collect();
    let balance = Balance { kelvin: 4300.0, greener_duv: 0.0 };
    for (kind, kelvin, warmer_mired, greener_duv) in [
        (LightSource::Daylight, 5600.0, 40.0, 0.0),
        (LightSource::Planckian, 3200.0, -20.0, 0.004),
        (LightSource::Led, 4300.0, 0.0, -0.008),
        (LightSource::Planckian, 3200.0, 0.0, 0.0),
    ] {
        let wanted = Cast { warmer_mired, greener_duv };
        let bare = lamp(kind, kelvin, 0.0, &[]);
        let found = stacks(&bare, &wanted, &balance, Adaptation::Bradford, &known, 8);
        let name = format!("{kind:?} {kelvin} K, {warmer_mired:+} mired {greener_duv:+} Duv");
        assert!(!found.is_empty(), "{name}: no stack");
        let target = light_for(&wanted, &balance, Adaptation::Bradford).expect("a light").to_uv();
        let off = |filters: Vec<Filter>| {
            let lamp = Lamp { source: bare.source, filters };
            // A stack that leaves no light is no answer.
            let Ok(lit) = lamp.lit() else { return f64::INFINITY };
            let [u, v] = lit.chromaticity.to_uv();
            hypot(u - target[0], v - target[1])
        };
        for stack in &found {
            let again = off(stack.filters.clone());
            assert!((again - stack.off_uv).abs() < 1e-12, "{name}: {again} is not {}", stack.off_uv);
        }
        let conversions: Vec<&Filter> = known.iter().filter(|one| one.warmer_mired != 0.0).collect();
        let tints: Vec<&Filter> = known.iter().filter(|one| one.greener_duv != 0.0).collect();
        let mut nearest = off(Vec::new());
        for (place, first) in conversions.iter().enumerate() {
            for second in std::iter::once(None).chain(conversions[place..].iter().map(Some)) {
                if second.is_some_and(|second| second.warmer_mired * first.warmer_mired < 0.0) {
                    continue;
                }
                for tint in std::iter::once(None).chain(tints.iter().map(Some)) {
                    let filters = std::iter::once(*first).chain(second.copied()).chain(tint.copied());
                    nearest = nearest.min(off(filters.cloned().collect()));
                }
            }
        }
        // Two errors within 1e-4 count as alike, see docs/light.md.
        assert!(found[0].off_uv <= nearest + 1e-4, "{name}: {} but {nearest} is possible", found[0].off_uv);
        for (place, stack) in found.iter().enumerate() {
            for other in &found[..place] {
                let better = stack.loss_stops < other.loss_stops || stack.filters.len() < other.filters.len();
                assert!(better, "{name}: {stack:?} has no advantage over {other:?}");
            }
        }
    }
}

#[test]
fn filters_of_the_show_are_found_too() {
    let own = Filter {
        name: "house amber".to_owned(),
        warmer_mired: 96.0,
        greener_duv: 0.0,
        stops: 0.4,
        is_estimated: false,
    };
    let known: Vec<Filter> = BUILT_IN.iter().map(|one| one.filter()).chain([own]).collect();
    let bare = lamp(LightSource::Planckian, 3200.0, 0.0, &[]);
    let behind = lamp(LightSource::Planckian, 3200.0, 0.0, &[96.0]).lit().expect("a light");
    let balance = Balance { kelvin: 3200.0, greener_duv: 0.0 };
    let wanted = cast(behind.chromaticity, &balance, Adaptation::Bradford).expect("a cast");
    let found = stacks(&bare, &wanted, &balance, Adaptation::Bradford, &known, 3);
    assert_eq!(found[0].filters[0].name, "house amber", "{found:?}");
    assert!(found[0].off_uv < 1e-9, "{found:?}");
}
