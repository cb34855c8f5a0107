//! Exposure maps of a show: on its loading card, in its ledger, and when they are taken away.

use super::kit::Set;
use std::fs;

const MAPS: [&str; 2] = ["false-colour", "show.toml"];
const CARD: &str = "luts-out/quay-test/loading-card.txt";

/// The paths of the maps' cube files.
fn maps(set: &Set) -> Vec<String> {
    set.cubes().into_keys().filter(|path| path.contains("exposure.map")).collect()
}

fn name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

#[test]
fn both_commands_leave_a_card_that_lists_the_maps_with_their_zones() {
    let set = Set::new();
    assert_eq!(set.json(&["compile", "show.toml"]).0, Some(0));
    assert!(!set.read(CARD).contains("EXPOSURE MAPS"));
    let (code, document) = set.json(&MAPS);
    assert_eq!((code, document["pages"].as_array().map(Vec::len)), (Some(0), Some(2)), "{document:#}");
    let by_map = set.read(CARD);
    assert!(!by_map.contains("not made yet"), "the looks are there: {by_map}");
    assert_eq!(set.json(&["compile", "show.toml"]).0, Some(0));
    assert_eq!(set.read(CARD), by_map, "the same card from either command");
    let page = set.read("luts-out/quay-test/loading-card.html");
    let found = maps(&set);
    assert_eq!(found.len(), 4, "two cameras on two monitors");
    for path in &found {
        assert!(by_map.contains(name(path)) && page.contains(name(path)), "{path}: {by_map}");
    }
    assert_eq!(by_map.matches("as the show asks").count(), 4, "{by_map}");
    // Each zone of each map's report: its colour, and in the text its number, name and stops.
    for map in document["maps"].as_array().expect("maps") {
        for (place, zone) in map["map"]["zones"].as_array().expect("zones").iter().enumerate() {
            let (hex, name) = (zone["hex"].as_str().expect("a colour"), zone["name"].as_str().expect("a name"));
            let line = by_map.lines().find(|line| line.contains(&format!("#{hex}")) && line.ends_with(name));
            let line = line.unwrap_or_else(|| panic!("{name} #{hex}: {by_map}"));
            assert_eq!(line.split_whitespace().next(), Some((place + 1).to_string().as_str()), "{line}");
            assert!(page.contains(&format!("fill=\"#{hex}\"")), "{name} #{hex}");
        }
    }
    assert!(by_map.contains("+0.7 to +1.3") && page.contains("+0.7 to +1.3"), "the band of skin");
}

#[test]
fn a_map_that_show_or_recipe_no_longer_ask_for_is_told_from_one_that_was_replaced() {
    let set = Set::new();
    set.json(&MAPS);
    let count = |words: &str| set.read(CARD).matches(words).count();
    assert_eq!((count("as the show asks"), count("not made yet") > 0), (4, true));
    let recipe = set.read("warm.toml");
    // The map is read before the look: another look is the same map.
    set.change("warm.toml", "= 24", "= 30");
    set.json(&["compile", "show.toml"]);
    assert_eq!((count("as the show asks"), count("not made yet")), (4, 0));
    set.write("warm.toml", &format!("{recipe}[map]\nzero_stops = 0.5\n"));
    set.json(&["compile", "show.toml"]);
    assert_eq!((count("as the show asks"), count("ask for another now")), (0, 4));
    // Only made anew it is what the recipe says.
    set.json(&MAPS);
    assert_eq!((count("as the show asks"), count("stops counted from 0.5 over grey")), (4, 4), "{}", set.read(CARD));
    let path = maps(&set).remove(0);
    fs::copy(set.path("luts-out").join(maps(&set).remove(3)), set.path("luts-out").join(&path)).expect("writable");
    set.json(&["compile", "show.toml", "--setup", "9"]);
    assert_eq!((count("as the show asks"), count("NOT THE FILE THAT WAS MADE")), (3, 1));
    fs::remove_file(set.path("luts-out").join(&path)).expect("there");
    set.json(&["compile", "show.toml", "--setup", "9"]);
    assert_eq!((count("as the show asks"), count(name(&path))), (3, 0), "what is not there is not on the card");
}

#[test]
fn values_and_a_size_that_were_asked_for_stand_on_the_card() {
    let set = Set::new();
    set.json(&["compile", "show.toml"]);
    set.json(&["false-colour", "show.toml", "--size", "17", "--set", "map.zero_stops=1"]);
    let card = set.read(CARD);
    assert_eq!(card.matches("as the show asks").count(), 4, "{card}");
    assert_eq!(
        (card.matches("17 points").count(), card.matches("made with map.zero_stops=1").count()),
        (4, 4),
        "{card}"
    );
    assert!(!card.contains("not made yet"), "the looks have their own size: {card}");
    // A legend alone is no map, and that of other values does not belong to the file.
    assert!(card.contains("legend as a picture"));
    set.json(&["false-colour", "show.toml", "--legend-only"]);
    let card = set.read(CARD);
    assert_eq!(
        (card.matches("as the show asks").count(), card.matches("legend as a picture").count()),
        (4, 0),
        "{card}"
    );
    let set = Set::new();
    set.json(&["false-colour", "show.toml", "--legend-only"]);
    assert!(!set.read(CARD).contains("EXPOSURE MAPS"));
}

#[test]
fn pruning_takes_maps_that_nothing_asks_for_and_no_others() {
    let set = Set::new();
    set.json(&["compile", "show.toml"]);
    set.json(&MAPS);
    let (_, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!(
        (document["left"].as_array().map(Vec::len), document["removed"].as_array().map(Vec::len)),
        (Some(0), Some(0))
    );
    assert_eq!(maps(&set).len(), 4);
    // A look that is gone leaves its own files; the maps of its camera and monitor stay, for the other look needs them.
    let show = set.read("show.toml");
    let without_cold = show.split("[[look]]\nid = \"cold\"").next().expect("a beginning").to_owned();
    set.write("show.toml", &without_cold);
    let (_, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!((document["removed"].as_array().map(Vec::len), maps(&set).len()), (Some(4), 4), "{document:#}");
    // No look is for camera b any more: nothing will ever ask for its maps again.
    set.change("show.toml", "recipe = \"warm.toml\"", "recipe = \"warm.toml\"\ncameras = [\"a\"]");
    let (_, document) = set.json(&["compile", "show.toml"]);
    let left: Vec<&str> =
        document["left"].as_array().expect("a list").iter().filter_map(|left| left["file"].as_str()).collect();
    let of_maps = left.iter().filter(|path| path.contains("exposure.map")).count();
    assert_eq!((left.len(), of_maps), (4 + 4, 4), "two cubes and two legends: {left:?}");
    // Of those somebody changed one, which stays for ever.
    let mine = left.iter().find(|path| path.contains("exposure.map") && path.ends_with(".cube")).expect("a map");
    let mine = set.path("luts-out/quay-test").join(mine);
    fs::write(&mine, "mine\n").expect("writable");
    let (_, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!(document["removed"].as_array().map(Vec::len), Some(7), "{document:#}");
    assert_eq!((maps(&set).len(), fs::read_to_string(&mine).expect("there")), (3, "mine\n".to_owned()));
}
