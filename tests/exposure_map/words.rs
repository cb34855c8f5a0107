//! What is told of maps that can't show what they are asked for, in exact words.

use super::common::told;
use super::{HEAD, make};

#[test]
fn a_band_beyond_the_camera_is_told() {
    let text = format!(
        "{HEAD}[[map.band]]\nname = \"lamp\"\nfrom_stops = 8\nto_stops = 9\n[[map.band]]\nname = \"hold\"\nfrom_stops = -9\nto_stops = -7\n"
    );
    let made = make(&text, &[]);
    let said: Vec<String> = made.warnings.iter().map(|one| told(one, made.folder.path())).collect();
    let expected = [
        "warning LW0222 look.toml:15:1: the band \"hold\" is never shown | -9 to -7 stops lie below the noise floor, which ends at -6.40 | help: move the band, or the zone with `noise_stops` or `clip_signal`",
        "warning LW0222 look.toml:11:1: the band \"lamp\" is never shown | 8 to 9 stops lie above clip, which begins at +7.74 | help: move the band, or the zone with `noise_stops` or `clip_signal`",
    ];
    assert_eq!(said, expected);
    assert!(
        made.report.zones.iter().filter(|zone| !zone.shown).all(|zone| zone.codes.is_none() && zone.held.is_none())
    );
}

/// A recipe changes a band of its base by name, and an empty list brings the default bands back.
#[test]
fn bands_are_inherited_by_name() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let base = "lookwright = 1\n[map]\ndim = 0.2\n[[map.band]]\nname = \"skin\"\nfrom_stops = 0.7\nto_stops = 1.3\n";
    std::fs::write(folder.path().join("base.toml"), base).expect("the folder can be written");
    let bands = |more: &str, set: &[String]| {
        let path = folder.path().join("look.toml");
        let head = HEAD.replace("[camera]", "extends = \"base.toml\"\n[camera]");
        std::fs::write(&path, format!("{head}{more}")).expect("the folder can be written");
        let prepared = lookwright::compile::prepare(&path, set).expect("a recipe");
        let settings = prepared.recipe.map().0;
        assert_eq!(settings.dim, 0.2);
        let band = |band: &lookwright::recipe::MapBand| (band.name.clone(), band.from_stops, band.to_stops);
        settings.bands.iter().map(band).collect::<Vec<_>>()
    };
    let skin = |from, to| ("skin".to_owned(), from, to);
    assert_eq!(bands("", &[]), [skin(0.7, 1.3)]);
    assert_eq!(bands("[[map.band]]\nname = \"skin\"\nto_stops = 1.1\n", &[]), [skin(0.7, 1.1)]);
    assert_eq!(bands("", &["map.band.skin.to_stops=+0.2".to_owned()]), [skin(0.7, 1.5)]);
    let two = bands("[[map.band]]\nname = \"deck\"\nfrom_stops = -2\nto_stops = -1\n", &[]);
    assert_eq!(two, [("deck".to_owned(), -2.0, -1.0), skin(0.7, 1.3)]);
    assert_eq!(bands("[map]\nband = []\n", &[]).len(), 4, "the default bands");
}
