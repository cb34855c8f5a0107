//! The sheets of setups: of a show with names that nobody would choose, and of "Tidewater".

use crate::html::{self, Page};
use crate::sample::{HOSTILE_LOOK, HOSTILE_SHOW};
use crate::{COLUMNS, contrast};
use lookwright::diagnostics::Diagnostic;
use lookwright::report::{setup_sheet_html, setup_sheet_text};
use lookwright::show::{self, Differences, Gains, SetupSheet, SheetLight, Show, WayCast, sheets};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

const HOSTILE_ROLE: &str = "key <b>\u{202e}מעבורת & \"sun\"";
const HOSTILE_NOTE: &str = "a < b && 'c' </p><script>alert(1)</script> https:";
const HOSTILE_FILTER: &str = "half <i>blue</i> & a_name_without_any_end_that_no_column_of_a_page_holds";

/// The sheets and what they are called; they are left in the target's temporary folder, to be looked at.
fn all() -> &'static [(String, SetupSheet)] {
    static SHEETS: OnceLock<Vec<(String, SetupSheet)>> = OnceLock::new();
    SHEETS.get_or_init(|| {
        let tidewater = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/tidewater/show.toml");
        let named = |show: &str, sheet: SetupSheet| (format!("sheet-{show}-{}", sheet.id), sheet);
        let mut all: Vec<_> = of_show(&tidewater).into_iter().map(|sheet| named("tidewater", sheet)).collect();
        all.extend(hostile().into_iter().map(|sheet| named("hostile", sheet)));
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report");
        fs::create_dir_all(&folder).unwrap();
        for (name, sheet) in &all {
            fs::write(folder.join(format!("{name}.html")), setup_sheet_html(sheet)).unwrap();
            fs::write(folder.join(format!("{name}.txt")), setup_sheet_text(sheet)).unwrap();
        }
        all
    })
}

fn messages(found: &[Diagnostic]) -> Vec<&str> {
    found.iter().map(|diagnostic| diagnostic.message.as_str()).collect()
}

fn of_show(path: &Path) -> Vec<SetupSheet> {
    let (show, doubts) = Show::load(path, None).unwrap_or_else(|found| panic!("{:?}", messages(&found)));
    let work = show::prepare(show, doubts).unwrap_or_else(|found| panic!("{:?}", messages(&found)));
    sheets(&work, None, None).unwrap_or_else(|found| panic!("{:?}", messages(&found)))
}

/// A setup with everything, one with nothing, one whose lights have no balance, one whose light no camera balances.
fn hostile() -> Vec<SetupSheet> {
    let folder = tempfile::tempdir().unwrap();
    let recipe = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/fog-morning.toml");
    let text = fs::read_to_string(recipe).unwrap();
    let name = text.lines().find(|line| line.starts_with("name")).unwrap().to_owned();
    let text = text.replace(&name, &format!("name = {}", quoted(HOSTILE_LOOK)));
    fs::write(folder.path().join("fog.toml"), text).unwrap();
    let path = folder.path().join("show.toml");
    fs::write(&path, show_text()).unwrap();
    of_show(&path)
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn show_text() -> String {
    let (show, role, note, filter) =
        (quoted(HOSTILE_SHOW), quoted(HOSTILE_ROLE), quoted(HOSTILE_NOTE), quoted(HOSTILE_FILTER));
    format!(
        r#"lookwright = 1
[show]
name = {show}
[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"
note = {note}
[[monitor]]
id = "onboard"
encoding = "bt1886"
gamut = "bt709"
size = 17
input_levels = "legal"
output_levels = "full"
[[filter]]
name = {filter}
mired = -71
duv = 0.0015
[[look]]
id = "fog"
recipe = "fog.toml"
[[setup]]
id = "full"
look = "fog"
balance_kelvin = 4300
balance_greener_duv = -0.0021
balance_note = {note}
lights = [
    {{ role = {role}, source = "planckian", kelvin = 3200, filters = [{filter}, "1/4 plus green"], lux = 150, note = {note} }},
    {{ role = "fill", source = "led", kelvin = 9000, duv = 0.01, filters = [], candela = 1800, distance_m = 2.5 }},
]
diffusion_on_lens = "1/2"
haze = true
iso = 800
shutter_deg = 172.8
lens_stops = 0.3
stop = "T2.8"
note = {note}
[[setup]]
id = "bare"
look = "fog"
[[setup]]
id = "unbalanced"
look = "fog"
lights = [{{ role = {role}, source = "daylight", kelvin = 5600, filters = [], lux = 4000 }}]
[[setup]]
id = "far"
look = "fog"
balance_kelvin = 3200
lights = [{{ role = {role}, source = "daylight", kelvin = 5600, filters = ["full CTB", "full CTB"] }}]
"#
    )
}

fn sheet(id: &str) -> &'static SetupSheet {
    &all().iter().find(|(name, _)| name == &format!("sheet-hostile-{id}")).unwrap().1
}

/// The page's words, and the text's, each with single spaces.
fn words(sheet: &SetupSheet) -> [String; 2] {
    let page = Page::read(&sheet.id, &setup_sheet_html(sheet));
    let single = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    [single(page.texts_in("body").next().unwrap()), single(&setup_sheet_text(sheet))]
}

#[test]
fn sheets_are_whole_and_need_nothing_but_themselves() {
    for (name, sheet) in all() {
        let text = setup_sheet_html(sheet);
        assert!(text.starts_with("<!DOCTYPE html><html lang=\"en-GB\">"), "{name}");
        let page = Page::read(name, &text);
        for forbidden in ["script", "link", "iframe", "img", "object", "base", "form", "i", "b"] {
            assert!(!page.tags().any(|tag| tag.name == forbidden), "{name}: <{forbidden}>");
        }
        for tag in page.tags() {
            let loads = |key: &str| key.starts_with("on") || ["src", "style", "href"].contains(&key);
            assert!(!tag.attributes.iter().any(|(key, _)| loads(key)), "{name}: {tag:?}");
        }
        for reference in ["http:", "src=", "url(", "@import", "//"] {
            assert!(!text.contains(reference), "{name}: {reference}");
        }
        contrast::check(&text);
    }
}

#[test]
fn headings_come_in_order_ids_are_unique_and_pictures_have_words() {
    for (name, sheet) in all() {
        let text = setup_sheet_html(sheet);
        let page = Page::read(name, &text);
        let levels: Vec<u8> = page.tags().filter_map(html::Tag::heading).collect();
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1, "{name}");
        assert!(levels[0] == 1 && levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{name}: {levels:?}");
        let mut ids: Vec<&str> = page.values("id").collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{name}: an id stands twice");
        for reference in page.values("aria-labelledby") {
            assert!(ids.contains(&reference), "{name}: no {reference}");
        }
        for tag in page.tags().filter(|tag| tag.name == "svg") {
            assert!(tag.value("aria-label").is_some_and(|label| label.contains('%')), "{name}: {tag:?}");
        }
    }
}

#[test]
fn names_on_sheets_stay_text() {
    let sheet = sheet("full");
    let text = setup_sheet_html(sheet);
    let page = Page::read("full", &text);
    let isolated: Vec<&str> = page.texts_in("bdi").collect();
    for hostile in [HOSTILE_SHOW, HOSTILE_LOOK, HOSTILE_ROLE, HOSTILE_NOTE, HOSTILE_FILTER] {
        let kept = hostile.replace('\u{202e}', "");
        assert!(isolated.contains(&kept.as_str()), "{kept}");
    }
    // Note of the setup, of its camera, of its balance, of its first light.
    assert_eq!(isolated.iter().filter(|text| **text == HOSTILE_NOTE).count(), 4, "each in an element of its own");
    assert!(page.texts_in("dd").any(|text| text.ends_with(HOSTILE_NOTE)));
    assert!(!text.contains('\u{202e}'));
}

#[test]
fn texts_of_sheets_keep_their_width_and_are_ascii() {
    for (name, sheet) in all() {
        for line in setup_sheet_text(sheet).lines() {
            assert!(line.len() <= COLUMNS, "{name}: {} columns: {line}", line.len());
            assert!(line.is_ascii() && line.trim_end() == line, "{name}: {line}");
        }
    }
}

/// A shift in words has its mired and CC, where they are worth telling.
fn of_cast(cast: &WayCast) -> Vec<String> {
    let figure =
        |value: f64| if value.abs() < 9.95 { format!("{:.1}", value.abs()) } else { format!("{:.0}", value.abs()) };
    let warm = if cast.warmer_mired < 0.0 { "cool" } else { "warm" };
    let green = if cast.greener_cc < 0.0 { "magenta" } else { "green" };
    let mut found = Vec::new();
    if cast.warmer_mired.abs() >= 0.5 {
        found.push(format!("{} mired {warm}", figure(cast.warmer_mired)));
    }
    if cast.greener_cc.abs() >= 0.5 {
        found.push(format!("{} CC {green}", figure(cast.greener_cc)));
    }
    found
}

fn of_light(light: &SheetLight) -> Vec<String> {
    let mut found = vec![light.role.clone(), light.note.clone(), format!("{:.0} K", light.kelvin)];
    for filter in &light.filters {
        found.push(filter.name.clone());
        if filter.mired != 0.0 {
            found.push(format!("{:+.0} mired", filter.mired));
        }
    }
    found.extend(light.cct.map(|cct| format!("{cct:.0} K")));
    found.extend(light.mired.map(|mired| format!("{mired:.0} mired")));
    found.extend(light.duv.map(|duv| format!("{:.4}", duv.abs())));
    found.extend(light.no_cct.clone());
    found.push(format!("x {:.4}, y {:.4}", light.xy[0], light.xy[1]));
    found.extend(light.cast.iter().flat_map(of_cast));
    for shown in [light.card, light.skin].into_iter().flatten() {
        let [r, g, b] = shown.signal.map(|value| 100.0 * value);
        found.push(format!("{r:.0} / {g:.0} / {b:.0} %"));
    }
    if let Some(reading) = &light.reading {
        found.push(format!("{:.0} lx", reading.lux));
        found.extend(reading.stops.iter().map(|stop| stop.marked.clone()));
    }
    found
}

fn of_differences(found: &Differences) -> Vec<String> {
    [found.chart_mean, found.chart_max, found.skins_mean, found.skins_max].map(|value| format!("{value:.2}")).to_vec()
}

fn of_gains(gains: &Gains) -> Vec<String> {
    let rows = [gains.camera_stops, gains.recipe_stops, gains.picture_stops];
    let over = |row: [f64; 3]| row.map(|value| value - row.into_iter().fold(f64::INFINITY, f64::min));
    let mut found: Vec<String> = rows.into_iter().flat_map(over).map(|value| format!("{value:.2}")).collect();
    found.push(format!("{} most", gains.weakest));
    found.push(format!("{} first", gains.first_to_clip));
    let trimmed = |value: f64| format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_owned();
    found.push(trimmed(gains.headroom_stops) + " stop");
    found
}

/// Everything of the values that a sheet must tell.
fn figures(sheet: &SetupSheet) -> Vec<String> {
    let exposure = &sheet.exposure;
    let mut found =
        vec![sheet.show.clone(), sheet.id.clone(), sheet.note.clone(), format!("{} fps", exposure.frame_rate)];
    found.extend(
        [&sheet.look.name, &sheet.look.part, &sheet.look.recipe, &sheet.look.note, &sheet.look.fingerprint]
            .map(Clone::clone),
    );
    found.extend(exposure.iso.map(|iso| format!("{iso}")));
    found.extend(exposure.shutter_deg.map(|angle| format!("{angle}")));
    found.extend(exposure.t_stop.map(|stop| format!("T{stop:.1}").trim_end_matches(".0").to_owned()));
    found.extend(exposure.needs.iter().map(|need| format!("{:.0} lx", need.lux)));
    if let Some(balance) = &sheet.balance {
        found.extend([format!("{:.0} K", balance.kelvin), balance.note.clone()]);
        found.push(format!("x {:.4}, y {:.4}", balance.xy[0], balance.xy[1]));
    }
    found.extend(sheet.lights.iter().flat_map(of_light));
    found.extend(sheet.between.iter().filter_map(|between| between.card_de2000).map(|de| format!("ΔE2000 {de:.1}")));
    found.extend(
        sheet.cameras.iter().flat_map(|camera| [camera.id.clone(), camera.records.clone(), camera.trim.clone()]),
    );
    for file in &sheet.files {
        let name = file.file.file_name().unwrap().to_str().unwrap().to_owned();
        found.extend([file.monitor.clone(), name, file.code.clone(), file.input_levels.to_uppercase()]);
    }
    found.extend(sheet.remarks.iter().cloned());
    found.extend(sheet.cautions.iter().map(|caution| caution.text.to_owned()));
    found.extend(sheet.no_ways.clone());
    if let Some(ways) = &sheet.ways {
        found.extend(of_cast(&ways.cast));
        found.push(format!("{:.0} K", ways.neutral_kelvin));
        found.push(format!("reference_kelvin = {:.0}", ways.white.reference_kelvin));
        found.push(format!("greener_cc = {:.1}", ways.white.greener_cc));
        found.extend([&ways.like_recipe, &ways.by_channels].into_iter().flat_map(of_differences));
        found.extend([&ways.in_camera, &ways.neutral_negative].into_iter().flat_map(of_gains));
        for patch in &ways.patches {
            found.extend([patch.name.to_owned(), format!("{:.2}", patch.de2000)]);
        }
    }
    for point in sheet.diffusion.twice.iter().flat_map(|twice| &twice.points) {
        let percents = [point.none_percent, point.lens_percent, point.recipe_percent, point.both_percent];
        found.extend(percents.map(|value| format!("{value:.1} %")));
        found.extend(
            [point.lens_stops, point.recipe_stops, point.both_stops].map(|value| format!("{:.2}", value.abs())),
        );
    }
    found
}

/// As the text spells what ASCII lacks.
fn spelled(text: &str) -> String {
    text.replace("ΔE", "dE").replace('’', "'").replace(['“', '”', '"'], "'").replace('−', "-").to_lowercase()
}

#[test]
fn every_figure_stands_on_the_page_and_in_the_text() {
    for (name, sheet) in all() {
        let [page, text] = words(sheet);
        // In one alphabet: names that ASCII lacks are looked for on the page alone.
        let (page, text) = (spelled(&page), spelled(&text));
        let found = figures(sheet);
        assert!(found.len() > 10, "{name}");
        for figure in found {
            let figure = spelled(&figure.replace('\u{202e}', ""));
            assert!(page.contains(&figure), "{name}: {figure} is not on the page");
            if figure.is_ascii() && figure.len() < COLUMNS / 2 {
                assert!(text.contains(&figure), "{name}: {figure} is not in the text");
            }
        }
    }
}

#[test]
fn cautions_stand_before_the_numbers_where_there_is_haze_and_are_complete() {
    for (name, sheet) in all() {
        assert!(!sheet.cautions.is_empty(), "{name}");
        let page = setup_sheet_html(sheet);
        let place = |id: &str| page.find(&format!("<h2 id=\"{id}\"")).unwrap_or(usize::MAX);
        assert_eq!(place("cautions") < place("lights"), sheet.haze, "{name}");
        assert!(place("cautions") < place("ways"), "{name}: on the first page");
        let text = setup_sheet_text(sheet);
        assert_eq!(text.find("\nCAUTIONS\n") < text.find("\nLIGHTS\n"), sheet.haze, "{name}");
    }
}

#[test]
fn what_is_absent_is_said_in_words() {
    for (name, sheet) in all() {
        // A remark has words of its own.
        let sheet = SetupSheet { remarks: Vec::new(), ..sheet.clone() };
        for text in words(&sheet).map(|text| text.to_lowercase()) {
            for wrong in ["nan ", "no number", " inf", "none,", "()", ", ,", "planckian"] {
                assert!(!text.contains(wrong), "{name}: {wrong:?}");
            }
        }
    }
    let bare = sheet("bare");
    assert!(bare.lights.is_empty() && bare.balance.is_none() && bare.ways.is_none());
    for text in words(bare) {
        // ISO, shutter, stop, balance.
        assert_eq!(text.matches("not said").count(), 4, "{text}");
        assert!(text.contains("No lights are said."), "{text}");
        assert!(!text.to_lowercase().contains("two ways"), "{text}");
    }
    for text in words(sheet("unbalanced")) {
        assert!(text.contains("not known, for no balance is said"), "{text}");
        assert!(text.contains("no stop, for ISO or shutter are not said"), "{text}");
    }
    let far = sheet("far");
    assert!(far.ways.is_none() && far.lights[0].cct.is_none(), "{far:?}");
    for text in words(far) {
        assert!(text.contains("no reading") && text.contains("There are no two ways here"), "{text}");
    }
}

#[test]
fn the_block_is_one_that_a_recipe_takes() {
    let (_, sheet) = all().iter().find(|(_, sheet)| sheet.ways.is_some()).unwrap();
    let (page, ways) = (setup_sheet_html(sheet), sheet.ways.as_ref().unwrap());
    let page = Page::read("block", &page);
    let block: toml::Table = page.texts_in("pre").next().unwrap().parse().unwrap();
    let number = |key: &str| {
        let value = &block["white"][key];
        value.as_float().or(value.as_integer().map(|value| value as f64)).unwrap()
    };
    // As many decimals as the block is written with.
    assert!((number("reference_kelvin") - ways.white.reference_kelvin).abs() <= 0.5);
    assert!((number("warmer_mired") - ways.white.warmer_mired).abs() <= 0.05 + 1e-9);
    assert!((number("greener_cc") - ways.white.greener_cc).abs() <= 0.05 + 1e-9);
}

/// A sheet of the example.
fn tidewater(id: &str) -> &'static SetupSheet {
    &all().iter().find(|(name, _)| name == &format!("sheet-tidewater-{id}")).unwrap().1
}

/// 7b has a key of 150 lx and a fill of 38 lx: log2(38/150) = −1.98, 150/38 = 3.95, 188/38 = 4.95.
#[test]
fn levels_and_the_ratio_are_told_where_the_readings_are() {
    for text in words(tidewater("7b")) {
        assert!(text.contains("2 stops under key"), "{text}");
        assert!(text.contains("3.9:1 key alone to fill alone, 4.9:1 key and fill together to fill alone"), "{text}");
        assert!(text.to_lowercase().contains("as planned"), "{text}");
    }
    // A key and a practical have no ratio of key to fill, and a light alone no level.
    for text in words(tidewater("14a")) {
        assert!(text.contains("2.8 stops under key") && !text.contains(":1 key alone"), "{text}");
    }
    for text in words(tidewater("3")) {
        assert!(!text.contains("under key") && !text.contains("over key"), "{text}");
    }
    let mut dark = tidewater("7b").clone();
    dark.lights[1].reading = None;
    for text in words(&dark) {
        assert!(text.contains("no reading") && !text.contains("under key") && !text.contains(":1 key alone"), "{text}");
    }
    let mut unread = tidewater("7b").clone();
    unread.lights[0].reading = None;
    assert!(unread.over_level_stops().is_empty() && unread.key_to_fill().is_none());
    let mut two_fills = tidewater("7b").clone();
    let mut second = two_fills.lights[1].clone();
    second.role = "Fill, bow".to_owned();
    two_fills.lights.push(second);
    assert!((two_fills.key_to_fill().unwrap() - 150.0 / 76.0).abs() < 1e-12, "all fills together");
}

#[test]
fn there_is_room_for_a_pen_on_paper_and_none_on_a_screen() {
    for (name, sheet) in all() {
        let html = setup_sheet_html(sheet);
        let page = Page::read(name, &html);
        let pens = page.values("class").filter(|class| class.split(' ').any(|class| class == "paper")).count();
        assert_eq!(pens, sheet.lights.len() + 1, "{name}: a row a light, and one for date, take and name");
        assert_eq!(html.matches("measured: lx").count(), sheet.lights.len(), "{name}");
        let (screen, print) = html.split_once("@media print").unwrap();
        assert!(screen.contains(".paper, .stack tr.paper { display: none; }"), "{name}");
        assert!(print.contains("p.paper { display: flex; }"), "{name}");
        assert!(print.contains(".stack tr.paper { display: table-row; }"), "{name}");
        let number = format!("content: \"setup {}, page \" counter(page)", sheet.id);
        assert!(html.split_once("</style>").unwrap().0.contains(&number), "{name}");
    }
}

#[test]
fn the_second_page_says_what_it_belongs_to() {
    for (name, sheet) in all().iter().filter(|(_, sheet)| sheet.ways.is_some()) {
        let html = setup_sheet_html(sheet);
        let page = Page::read(name, &html);
        let line = page
            .texts_in("p")
            .find(|text| text.starts_with("Setup ") && text.contains("fingerprint"))
            .unwrap_or_else(|| panic!("{name}"));
        for part in [&sheet.id, &sheet.look.fingerprint] {
            assert!(line.contains(part.as_str()), "{name}: {line}");
        }
        assert!(line.contains(&sheet.show.replace('\u{202e}', "")), "{name}: {line}");
    }
}

/// Nothing is less than nothing: "-0", "−0.0" and "+0.000" are not numbers of people.
#[test]
fn zero_has_no_sign() {
    for (name, sheet) in all() {
        for text in words(sheet) {
            for word in text.split(|c: char| !(c.is_ascii_digit() || "+-−.".contains(c))) {
                let signed = word.strip_prefix(['+', '-', '−']).filter(|digits| digits.starts_with('0'));
                let is_zero = |digits: &str| digits.chars().all(|c| matches!(c, '0' | '.'));
                assert!(!signed.is_some_and(is_zero), "{name}: {word}");
            }
        }
    }
}

/// 7b's fill has 79.66 mired at a balance of 232.56: −153, while its cast is −144.
#[test]
fn mireds_that_are_not_the_cast_are_told_and_why_once() {
    const WHY: &str = "mired arithmetic takes Wien";
    let cool = |sheet: &SetupSheet| sheet.lights[1].mired.unwrap() - 1e6 / 4300.0;
    assert!((cool(tidewater("7b")) + 153.0).abs() < 0.5);
    for text in words(tidewater("7b")) {
        assert_eq!((text.matches("153 mired cool").count(), text.matches(WHY).count()), (1, 1), "{text}");
    }
    for text in words(tidewater("3")) {
        assert!(!text.contains(WHY) && !text.contains("plain difference"), "{text}");
    }
}

#[test]
fn sources_and_figures_have_the_names_of_the_trade() {
    for text in words(tidewater("14a")) {
        assert!(text.contains("tungsten 3200 K") && text.contains("exposed for it"), "{text}");
        assert!(text.contains("end of the recording") && text.contains("a sensor may clip earlier"), "{text}");
    }
    // No filament is that hot: tungsten melts at 3695 K.
    let mut hot = tidewater("14a").clone();
    hot.lights[0].kelvin = 6500.0;
    for text in words(&hot) {
        assert!(text.contains("black body 6500 K"), "{text}");
    }
    let mut dim = tidewater("14a").clone();
    let reading = dim.lights[1].reading.as_mut().unwrap();
    (reading.lux, reading.foot_candles) = (0.3, 0.3 * 0.3048 * 0.3048);
    for text in words(&dim) {
        assert!(text.contains("0.30 lx, 0.028 fc"), "{text}");
    }
}

#[test]
fn sun_and_sky_bring_no_cautions_of_lamps() {
    let titles = |id: &str| tidewater(id).cautions.iter().map(|caution| caution.title).collect::<Vec<_>>();
    assert_eq!(titles("3"), ["Above this sheet"]);
    assert_eq!(titles("21"), ["Smoke detection", "Haze", "Above this sheet"]);
    assert_eq!(titles("11"), ["Overhead", "Power", "Flashing light", "Above this sheet"]);
    assert_eq!(titles("14a"), ["Filters on hot lamps", "Overhead", "Power", "Flashing light", "Above this sheet"]);
}

#[test]
fn the_white_of_a_changed_version_is_not_known() {
    let mut changed = tidewater("3").clone();
    changed.look.changed = true;
    changed.look.white = None;
    for text in words(&changed) {
        assert!(text.contains("not known any more") && !text.contains("as recorded"), "{text}");
    }
}
