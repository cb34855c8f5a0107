//! The pages that are printed and read: the loading card and the consistency proof of a show that is really made, and reports on
//! looks, files and two of them.
//!
//! The pages are left in the target's temporary folder, to be looked at.

mod contrast;
mod html;
mod looks;
mod sample;
mod sheets;
mod viewer;

use html::Page;
use lookwright::report::{consistency_html, consistency_text, loading_card_html, loading_card_text};
use lookwright::show::consistency::Pair;
use lookwright::show::{CardEntry, LoadingCard, Proof};
use sample::{HOSTILE_LOOK, HOSTILE_SHOW, large, sample};

/// Columns of a text, as the pages promise.
const COLUMNS: usize = 100;

/// Bytes of the page of a large show that a phone still opens; this project's own choice.
const PAGE_BYTES: usize = 5_000_000;

fn pages() -> Vec<(&'static str, String)> {
    let sample = sample();
    let pages = vec![
        ("card.html", loading_card_html(&sample.card)),
        ("card-maps.html", loading_card_html(&sample.with_maps)),
        ("card-not-made.html", loading_card_html(&sample.not_made)),
        ("consistency.html", consistency_html(&sample.proof)),
        ("consistency-out.html", consistency_html(&sample.out)),
        ("consistency-large.html", consistency_html(&large(sample, 40, 6, 5))),
    ];
    let pages: Vec<(&str, String)> = pages.into_iter().chain(looks::pages().iter().cloned()).collect();
    for (name, page) in &pages {
        sample.leave(name, page);
    }
    pages
}

fn texts() -> Vec<(&'static str, String)> {
    let sample = sample();
    let texts = vec![
        ("card.txt", loading_card_text(&sample.card)),
        ("card-maps.txt", loading_card_text(&sample.with_maps)),
        ("consistency.txt", consistency_text(&sample.proof)),
        ("consistency-out.txt", consistency_text(&sample.out)),
    ];
    for (name, text) in &texts {
        sample.leave(name, text);
    }
    texts
}

#[test]
fn pages_are_whole_and_need_nothing_but_themselves() {
    for (name, text) in pages() {
        assert!(text.starts_with("<!DOCTYPE html><html lang=\"en-GB\">"), "{name}");
        let page = Page::read(name, &text);
        for forbidden in ["link", "iframe", "object", "base", "form", "use", "image"] {
            assert!(!page.tags().any(|tag| tag.name == forbidden), "{name}: <{forbidden}>");
        }
        viewer::check(name, &page, &text);
        for tag in page.tags() {
            let embedded = |key: &str, value: &str| key == "src" && value.starts_with("data:image/jpeg;base64,");
            let handler = tag.attributes.iter().find(|(key, value)| {
                key.starts_with("on") || key == "style" || (key == "src" && !embedded(key, value))
            });
            assert!(handler.is_none(), "{name}: {handler:?} in <{}>", tag.name);
        }
        // Pictures stand in the page itself, and patterns are named in it.
        let text = looks::without_data(&text).replace("url(#", "");
        for reference in ["http", "src=", "url(", "@import", "//"] {
            assert!(!text.contains(reference), "{name}: {reference}");
        }
    }
}

#[test]
fn ids_are_unique_and_what_refers_to_them_finds_them() {
    for (name, text) in pages() {
        let page = Page::read(name, &text);
        let mut ids: Vec<&str> = page.values("id").collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{name}: an id stands twice");
        let references =
            page.values("aria-labelledby").chain(page.values("href").filter_map(|href| href.strip_prefix('#')));
        for reference in references {
            assert!(ids.contains(&reference), "{name}: no {reference}");
        }
    }
}

#[test]
fn headings_come_in_order_and_pictures_and_boxes_have_words() {
    for (name, text) in pages() {
        let page = Page::read(name, &text);
        let levels: Vec<u8> = page.tags().filter_map(html::Tag::heading).collect();
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1, "{name}");
        assert_eq!(levels.first(), Some(&1), "{name}");
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{name}: {levels:?}");
        for tag in page.tags().filter(|tag| tag.name == "img") {
            assert!(tag.value("alt").is_some_and(|alt| alt.len() > 10), "{name}");
        }
        let seen = |tag: &&html::Tag| tag.value("aria-hidden") != Some("true");
        for tag in page.tags().filter(|tag| ["svg", "input"].contains(&tag.name.as_str())).filter(seen) {
            assert!(tag.value("aria-label").is_some_and(|label| label.len() > 3), "{name}: {tag:?}");
        }
    }
}

#[test]
fn names_stay_text_whatever_is_in_them() {
    let sample = sample();
    for (name, text) in pages().into_iter().filter(|(name, _)| !name.contains("large") && !name.starts_with("look")) {
        let page = Page::read(name, &text);
        let isolated: Vec<&str> = page.texts_in("bdi").collect();
        for hostile in [HOSTILE_SHOW, HOSTILE_LOOK] {
            // Only what would turn the direction of everything after it is taken away.
            let kept = hostile.replace('\u{202e}', "");
            assert!(isolated.contains(&kept.as_str()), "{name}: {kept} is not in {isolated:?}");
        }
        assert!(!text.contains('\u{202e}'), "{name}");
    }
    assert_eq!(sample.card.show, HOSTILE_SHOW);
}

#[test]
fn texts_keep_their_width_and_are_ascii() {
    for (name, text) in texts() {
        for line in text.lines() {
            assert!(line.len() <= COLUMNS, "{name}: {} columns: {line}", line.len());
            assert!(line.is_ascii(), "{name}: {line}");
            assert_eq!(line.trim_end(), line, "{name}");
        }
        assert!(text.contains("<script>"), "{name}: a plain text needs no escapes");
    }
}

#[test]
fn nothing_of_the_machine_is_on_a_page() {
    let folder = sample().folder.path().to_string_lossy().into_owned();
    for (name, text) in pages().into_iter().chain(texts()) {
        assert!(!text.contains(&folder), "{name}");
    }
}

#[test]
fn contrast_is_enough_in_light_and_dark() {
    let (_, page) = &pages()[0];
    contrast::check(page);
}

#[test]
fn the_card_says_every_file_with_what_belongs_to_it() {
    let card = &sample().card;
    let html = loading_card_html(card);
    let page = Page::read("card", &html);
    let rows: Vec<String> = page.rows().collect();
    let text = loading_card_text(card);
    let entries: Vec<&CardEntry> = card.devices.iter().flat_map(|device| &device.entries).collect();
    // Two rows of headings for each device: its name with its levels, for the pages that follow, and the columns.
    assert_eq!(rows.len(), entries.len() + 2 * card.devices.len());
    for device in &card.devices {
        let again = format!("{}: input levels {}", device.id, device.input_levels.to_uppercase());
        assert!(rows.iter().any(|row| row.starts_with(&again)), "{again}");
    }
    for entry in entries {
        let file = entry.file.file_name().unwrap().to_str().unwrap();
        let folder = entry.file.parent().unwrap().to_str().unwrap();
        let facts = [file, folder, &entry.code, &entry.fingerprint, &entry.camera];
        assert!(rows.iter().any(|row| facts.iter().all(|fact| row.contains(fact))), "{facts:?}");
        assert!(text.lines().any(|line| line.contains(file) && line.contains(&entry.fingerprint)), "{file}");
    }
    for device in &card.devices {
        let large: Vec<&str> = page.texts_of_class("value").collect();
        assert!(large.contains(&device.input_levels.to_uppercase().as_str()));
        assert!(large.contains(&device.output_levels.to_uppercase().as_str()));
    }
    assert!(text.contains(">> INPUT LEVELS   LEGAL") && text.contains(">> INPUT LEVELS   FULL"));
    assert!(text.contains("lookwright identify FILE") && html.contains("lookwright identify FILE"));
}

/// Every zone with its number in its colour; maps of the same zones share a legend.
#[test]
fn the_card_says_what_the_colours_of_exposure_maps_mean() {
    let sample = sample();
    let (html, text) = (loading_card_html(&sample.with_maps), loading_card_text(&sample.with_maps));
    let page = Page::read("card-maps", &html);
    let swatches: Vec<(&str, &str)> = page
        .tags()
        .zip(page.tags().skip(1))
        .filter(|(svg, _)| svg.value("class") == Some("swatch"))
        .map(|(svg, rect)| (svg.value("aria-label").unwrap_or_default(), rect.value("fill").unwrap_or_default()))
        .collect();
    let [clip, grey, floor] = [
        ("zone 3, colour #ffdea2", "#ffdea2"),
        ("zone 2, colour #0087d0", "#0087d0"),
        ("zone 1, colour #004a75", "#004a75"),
    ];
    assert_eq!(swatches, [clip, grey, floor, grey, floor]);
    // The numbers in them, in ink that is told from the colour: black on the light ones, white on the dark one.
    let numbers: Vec<&str> = page.texts_in("text").collect();
    assert_eq!(numbers, ["3", "2", "1", "2", "1"]);
    let inks: Vec<&str> = page.tags().filter(|tag| tag.name == "text").filter_map(|tag| tag.value("fill")).collect();
    assert_eq!(inks, ["#000000", "#000000", "#ffffff", "#000000", "#ffffff"]);
    for (words, times) in [
        ("cameras a and b, stops counted from 0.5 over grey", 1),
        ("camera crash, stops counted from 0.5 over grey", 1),
        ("pale or off their edges in so small a table: noise floor", 3),
        ("as the show asks", 1),
        ("as it was made; show or recipe ask for another now", 1),
        ("NOT THE FILE THAT WAS MADE", 1),
        ("17 points", 2),
        ("made with map.dim=0.5", 2),
        ("never shown", 1),
        ("below −6.4", 2),
        ("−0.2 to +0.2", 2),
    ] {
        let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(html.matches(words).count(), times, "{words}");
        assert_eq!(joined.matches(&words.replace('−', "-")).count(), times, "{words}: {text}");
    }
}

#[test]
fn the_card_tells_verified_from_what_is_not() {
    let sample = sample();
    let states = |card: &LoadingCard, words: &str| {
        (
            loading_card_html(card).to_lowercase().matches(words).count(),
            loading_card_text(card).to_lowercase().matches(words).count(),
        )
    };
    let files: usize = sample.card.devices.iter().map(|device| device.entries.len()).sum();
    let devices = sample.card.devices.len();
    // Each file, and what is said of each device's files together.
    assert_eq!(states(&sample.not_made, "not made yet"), (files + devices, files + devices));
    assert_eq!(states(&sample.card, "not made yet"), (0, 0));
    let mut changed = sample.card.clone();
    let all: Vec<&mut CardEntry> = changed.devices.iter_mut().flat_map(|device| &mut device.entries).collect();
    for (place, entry) in all.into_iter().enumerate() {
        entry.pass = [Some(true), Some(false), None][place % 3];
    }
    for words in ["out of tolerance", "not verified"] {
        assert_eq!(states(&changed, words), (files / 3 + devices, files / 3 + devices), "{words}");
    }
}

#[test]
fn the_proof_groups_what_must_show_one_picture() {
    let sample = sample();
    let proof = &sample.proof;
    // Two looks, one of them with two variants.
    assert_eq!(proof.looks.len(), 4);
    for look in &proof.looks {
        let monitors: Vec<&str> = look.monitors.iter().map(|monitor| monitor.id.as_str()).collect();
        assert_eq!(monitors, ["onboard", "director", "client", "hdr"]);
        for monitor in &look.monitors {
            assert_eq!(monitor.cameras.ids, ["a", "b", "crash"]);
            assert_eq!(monitor.cameras.pairs.len(), 3);
        }
        let cameras: Vec<&str> = look.cameras.iter().map(|camera| camera.id.as_str()).collect();
        assert_eq!(cameras, ["a", "b", "crash"]);
        assert!(look.cameras.iter().all(|camera| camera.monitors.pairs.len() == 6));
    }
    assert!(proof.missing.is_empty());
    let all = proof.looks.iter().flat_map(|look| look.matrices()).all(|matrix| matrix.pass);
    assert_eq!(proof.pass, all);
    let document = serde_json::to_value(proof).unwrap();
    assert_eq!(document["looks"][0]["monitors"][0]["cameras"]["pairs"][0]["a"], 0);
}

#[test]
fn files_that_were_not_made_are_told_and_no_proof() {
    let proof = &sample().unfinished;
    assert!(!proof.pass && proof.looks.is_empty());
    assert_eq!(proof.missing.len(), sample().proof.looks.len() * 12);
    let text = consistency_text(proof);
    assert!(text.contains("48 files were not made") && text.contains("and 42 more"), "{text}");
    let html = consistency_html(proof);
    Page::read("unfinished", &html);
    assert!(html.contains("48 files were not made"));
}

#[test]
fn the_page_has_the_figures_of_every_pair() {
    let proof = &sample().proof;
    let (html, text) = (consistency_html(proof), consistency_text(proof));
    for pair in pairs(proof) {
        let figures = format!("{:.2} / {:.2} / {:.2}", pair.held.mean, pair.held.p95, pair.held.max);
        assert!(html.contains(&figures), "{figures}");
    }
    for matrix in proof.looks.iter().flat_map(|look| look.matrices()) {
        let limits = &matrix.limits;
        let share = |pair: &&Pair| {
            let held = &pair.held;
            (held.mean / limits.mean).max(held.p95 / limits.p95).max(held.max / limits.max)
        };
        let worst = &matrix.pairs.iter().max_by(|a, b| share(a).total_cmp(&share(b))).unwrap().held;
        let figures = format!("{:>6.2}{:>7.2}{:>7.2}", worst.mean, worst.p95, worst.max);
        assert!(text.contains(&figures), "{figures}");
    }
    for nits in &proof.looks[0].cameras[0].monitors.white_nits {
        assert!(html.contains(&format!(">{nits:.1}<")), "{nits}");
    }
}

#[test]
fn what_is_out_of_tolerance_comes_first_with_reason_and_remedy() {
    let out = &sample().out;
    assert!(!out.pass);
    let html = consistency_html(out);
    let page = Page::read("out", &html);
    let headings: Vec<&str> = page.texts_in("h2").collect();
    assert_eq!(headings[0], "Out of tolerance");
    let text = consistency_text(out);
    let words: String = text.split_whitespace().collect();
    for reason in pairs(out).filter_map(|pair| pair.reason.as_ref()) {
        let cause =
            page.texts_in("h3").filter(|title| reason.members.iter().all(|id| title.contains(id.as_str()))).count();
        assert!(cause > 0, "{reason:?}");
    }
    let worst = pairs(out).filter(|pair| !pair.pass).max_by(|a, b| a.held.max.total_cmp(&b.held.max)).unwrap();
    let reason = worst.reason.as_ref().unwrap();
    assert!(page.texts_in("bdi").any(|text| text == reason.remedy), "{}", reason.remedy);
    let remedy: String = reason.remedy.replace('"', "'").replace('Δ', "d").split_whitespace().collect();
    assert!(words.contains(&remedy), "{remedy}");
}

#[test]
fn what_is_no_number_is_said_so() {
    let mut proof = sample().proof.clone();
    let pair = &mut proof.looks[0].monitors[0].cameras.pairs[0];
    (pair.held.mean, pair.held.max, pair.pass) = (f64::NAN, f64::NAN, false);
    let (html, text) = (consistency_html(&proof), consistency_text(&proof));
    assert!(html.contains("no number / ") && text.contains("no number"));
    assert!(!html.contains("NaN") && !text.contains("NaN"));
    assert!(text.lines().all(|line| line.len() <= COLUMNS));
}

#[test]
fn a_large_show_stays_a_page_and_says_what_is_left_out() {
    let page = consistency_html(&large(sample(), 40, 6, 5));
    assert!(page.len() < PAGE_BYTES, "{} bytes", page.len());
    assert!(page.contains("Left out of this page"));
    assert!(!consistency_html(&sample().proof).contains("Left out of this page"));
    println!("40 looks, 6 cameras, 5 monitors: {} bytes", page.len());
}

fn pairs(proof: &Proof) -> impl Iterator<Item = &Pair> {
    proof.looks.iter().flat_map(|look| look.matrices()).flat_map(|matrix| &matrix.pairs)
}
