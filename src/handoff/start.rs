//! What stands on the first page of a package, in plain words.

use super::manifest::{LookNote, Manifest};
use super::parts::{are, counted};
use crate::exchange::WholeError;
use crate::show::{Job, Setup, Work};
use std::collections::BTreeSet;

/// Rows of the table of setups that fit on the page; longer shows have all of them in `tables/looks.csv`.
const MOST_ROWS: usize = 12;

/// Looks without a setup that are named.
const MOST_NAMES: usize = 12;

/// A part of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Its title.
    pub title: &'static str,
    /// Paragraphs.
    pub text: Vec<String>,
    /// A table: its head, and its rows.
    pub table: Option<(Vec<&'static str>, Vec<Vec<String>>)>,
}

/// The first page of a package.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StartHere {
    /// Name of the show.
    pub show: String,
    /// What the package is, in one sentence.
    pub summary: String,
    /// Its parts.
    pub sections: Vec<Section>,
}

impl StartHere {
    /// For a package of a show.
    #[must_use]
    pub fn new(work: &Work, manifest: &Manifest) -> Self {
        let show = &work.show;
        let of = match &manifest.setups {
            None => "all looks of the show".to_owned(),
            Some(setups) if setups.len() == 1 => format!("the look of setup {}", setups[0]),
            Some(setups) => format!("the looks of setups {}", setups.join(", ")),
        };
        let summary = format!(
            "What was seen on set, for post: {of}; {}. Made by lookwright {}.",
            day(&manifest.date),
            manifest.program
        );
        let sections = vec![
            files(work, manifest),
            monitored(work, manifest),
            negative(work, manifest),
            not_in_the_lut(work, manifest),
            honest(work, manifest),
            check(),
        ];
        Self { show: show.name.text.clone(), summary, sections }
    }
}

/// The day of a date; all of it where it says more than midnight.
fn day(date: &str) -> String {
    if date.starts_with("1980-01-01") {
        return "no date was given".to_owned();
    }
    format!("dated {}", date.strip_suffix("T00:00:00Z").unwrap_or(date))
}

fn section(title: &'static str, text: &[String]) -> Section {
    Section { title, text: text.to_vec(), table: None }
}

/// The names of looks and cameras in the files' names.
fn files(work: &Work, manifest: &Manifest) -> Section {
    let reference = &manifest.reference;
    let peak = if matches!(reference.encoding.as_str(), "pq" | "hlg") {
        format!(", white at {} cd/m²", reference.peak_nits)
    } else {
        String::new()
    };
    let row = |want: &str, file: &str| vec![want.to_owned(), file.to_owned()];
    let mut rows = vec![
        row("the look on log pictures, in anything that reads a cube", "post/cube/LOOK.CAMERA.cube"),
        row("the same as steps, for what reads the Common LUT Format", "post/clf/LOOK.CAMERA.clf"),
        row("an ACES project: input, look and output, named by a metadata file", "post/aces/LOOK.CAMERA.amf"),
        row("scene-linear pictures in ACES2065-1 (renders, graphics)", "post/linear/LOOK.clf"),
        row(
            "an ASC CDL: the [grade] alone; the nearest to the whole look",
            "post/cdl/LOOK.cc; post/cdl/nearest/LOOK.cc",
        ),
    ];
    if !manifest.edl.is_empty() {
        let graded: usize = manifest.edl.iter().map(|list| list.annotated).sum();
        let events = counted(manifest.edl.iter().map(|list| list.events).sum(), "event");
        rows.push(row(
            &format!("edit decision lists; {graded} of {events} with the [grade] of their setup"),
            "post/edl/",
        ));
    }
    rows.push(row("the files that the monitors held, byte for byte", "monitors/"));
    rows.push(row("a log still seen through any look, in a browser, offline", "viewer.html"));
    if !setups(work, manifest).is_empty() {
        rows.push(row("lights, filters, stops, balance, setup by setup", "setups/SETUP.html"));
    }
    rows.push(row("every setting and where it comes from; the texts themselves", "resolved/LOOK.toml; show/"));
    rows.push(row("frames with and without the look; grey scales and patches", "frames/; tables/"));
    let reports = if manifest.reports > 0 { "; reports/" } else { "" };
    let what = if manifest.reports > 0 { "; what each look does" } else { "" };
    rows.push(row(
        &format!("what people wrote; every version of every setup's look{what}"),
        &format!("notes.txt; versions.txt{reports}"),
    ));
    let mut text = vec![format!(
        "LOOK and CAMERA stand in the next table. Files in post/ take full-range signal (10-bit code / 1023) and give full-range signal for {} / {}{peak}, \
         the display of monitor {}. A look is applied once: take one row of this table, never two.",
        reference.encoding, reference.gamut, reference.monitor
    )];
    // Looks that the monitor never showed.
    let others: BTreeSet<String> = manifest
        .post
        .iter()
        .filter(|post| post.monitor != reference.monitor)
        .map(|post| format!("look {} for monitor {}", post.look, post.monitor))
        .collect();
    if !others.is_empty() {
        let others: Vec<String> = others.into_iter().collect();
        text.push(format!(
            "Not seen on that monitor, and therefore for the display of another: {}. The files say which in their heads.",
            others.join("; ")
        ));
    }
    Section { title: "Which file for what", text, table: Some((vec!["you want", "take"], rows)) }
}

/// The setups of the package.
fn setups<'a>(work: &'a Work, manifest: &Manifest) -> Vec<&'a Setup> {
    let named = |setup: &&Setup| manifest.setups.as_ref().is_none_or(|ids| ids.iter().any(|id| setup.id.is(id)));
    work.show.setups.iter().filter(named).collect()
}

fn monitored(work: &Work, manifest: &Manifest) -> Section {
    let monitors: BTreeSet<&str> = manifest.luts.iter().map(|lut| lut.monitor.as_str()).collect();
    let monitors: Vec<&str> = monitors.into_iter().collect();
    let near =
        if manifest.setups.is_none() { " How near these come to each other: reports/consistency.html." } else { "" };
    let mut text = vec![format!(
        "On set the pictures were seen through the files in monitors/, made for the monitor{} {}.{near}",
        if monitors.len() == 1 { "" } else { "s" },
        monitors.join(", ")
    )];
    let missed = manifest.luts.iter().filter(|lut| lut.pass == Some(false)).count();
    if missed > 0 {
        let (miss, table) = if missed == 1 { ("misses", "its table is") } else { ("miss", "their tables are") };
        text.push(format!(
            "{missed} of {} {miss} a tolerance of the recipe: {table} too coarse for the look.",
            counted(manifest.luts.len(), "file")
        ));
    }
    if setups(work, manifest).is_empty() {
        text.push("The show names no setups.".to_owned());
    }
    if manifest.looks.iter().any(|look| !look.superseded.is_empty()) {
        text.push(
            "What is marked NOT was changed on set: its cubes lie here too, and are not what that setup was seen through in the end."
                .to_owned(),
        );
    }
    text.extend(unused(manifest));
    let (mut rows, mut marked) = (rows_of_setups(work, manifest), rows_of_superseded(manifest));
    let all = rows.len() + marked.len();
    if all > MOST_ROWS {
        text.push(format!("{MOST_ROWS} of {all} rows; all looks and their setups stand in tables/looks.csv."));
        // What must not be taken is told before anything else.
        marked.truncate(MOST_ROWS);
        rows.truncate(MOST_ROWS - marked.len());
    }
    rows.append(&mut marked);
    let head = vec!["setup", "LOOK", "CAMERA", "balance, ISO, stop"];
    Section { title: "What was monitored", text, table: (!rows.is_empty()).then_some((head, rows)) }
}

/// What each setup was seen through.
fn rows_of_setups(work: &Work, manifest: &Manifest) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for setup in setups(work, manifest) {
        let of = |look: &&LookNote| look.setups.iter().any(|id| setup.id.is(id));
        let cameras: Vec<String> =
            setup.cameras.iter().map(|camera| work.show.cameras[*camera].id.text.to_lowercase()).collect();
        let row = |look: &str, words: String| vec![setup.id.text.clone(), look.to_owned(), cameras.join(", "), words];
        rows.push(match manifest.looks.iter().find(of) {
            Some(look) => row(&look.files, camera_words(setup)),
            // A version whose recipe was changed since can't be made any more.
            None => row("none", "its version's recipe was changed since: no file here is it".to_owned()),
        });
    }
    rows
}

/// What a version took the place of.
fn rows_of_superseded(manifest: &Manifest) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for look in manifest.looks.iter().filter(|look| !look.superseded.is_empty()) {
        let cameras: BTreeSet<String> = manifest
            .post
            .iter()
            .filter(|post| post.look == look.look && post.part == look.part)
            .map(|post| post.camera.to_lowercase())
            .collect();
        let cameras: Vec<String> = cameras.into_iter().collect();
        let ids: Vec<&str> = look.superseded.iter().map(|one| one.setup.as_str()).collect();
        rows.push(vec![
            format!("NOT {}", ids.join(", ")),
            look.files.clone(),
            cameras.join(", "),
            format!("superseded: {}", look.superseded_words()),
        ]);
    }
    rows
}

/// Looks that are packed with the rest and that no setup uses, or ever used.
fn unused(manifest: &Manifest) -> Option<String> {
    let of = |look: &&LookNote| look.setups.is_empty() && look.superseded.is_empty();
    let mut names: Vec<&str> = manifest.looks.iter().filter(of).map(|look| look.files.as_str()).collect();
    let more = names.len().saturating_sub(MOST_NAMES);
    names.truncate(MOST_NAMES);
    let more = if more == 0 { String::new() } else { format!(" and {more} more (tables/looks.csv)") };
    (!names.is_empty())
        .then(|| format!("Packed with the rest, though no setup here uses them: LOOK {}{more}.", names.join(", ")))
}

/// What the camera was set to.
fn camera_words(setup: &Setup) -> String {
    let said = [
        setup.balance_kelvin.map(|kelvin| format!("{kelvin} K")),
        setup.iso.map(|iso| format!("ISO {iso}")),
        setup.t_stop.map(|stop| format!("T{stop}")),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    if said.is_empty() { "not said".to_owned() } else { said.join(" ") }
}

fn negative(work: &Work, manifest: &Manifest) -> Section {
    let show = &work.show;
    let used: BTreeSet<&str> = manifest.post.iter().map(|post| post.camera.as_str()).collect();
    let mut cameras = Vec::new();
    for camera in show.cameras.iter().filter(|camera| used.contains(camera.id.text.as_str())) {
        let job = work.jobs.iter().find(|job| show.cameras[job.camera].id.is(&camera.id.text));
        let Some(job) = job else { continue };
        let curve = &job.plan.camera.curve;
        let index = curve.exposure_index().map_or(String::new(), |index| format!(" at EI {index}"));
        let trim = if camera.trim.is_some() { ", with a trim in every file that brings it to the others" } else { "" };
        cameras.push(format!(
            "{}: {}{index} / {}{trim}",
            camera.id.text,
            curve.encoding().name,
            job.plan.camera.gamut.name
        ));
    }
    section(
        "What is in the negative",
        &[
            format!("The cameras' own log signal. {}.", cameras.join("; ")),
            "The look is not in it, and neither is its exposure (a variant that lifts or lowers the picture by a stop says that the negative is a \
             stop thinner or denser): the camera's balance and what hung before lamp and lens are. If a recording looks graded already, the LUT \
             was recorded into it: say so before anybody grades on top."
                .to_owned(),
        ],
    )
}

fn not_in_the_lut(work: &Work, manifest: &Manifest) -> Section {
    let setups = setups(work, manifest);
    let with = |what: &dyn Fn(&Setup) -> Option<String>| -> Vec<String> {
        setups.iter().filter_map(|setup| what(setup).map(|said| format!("setup {}{said}", setup.id.text))).collect()
    };
    let diffusion = with(&|setup| setup.diffusion_on_lens.as_ref().map(|grade| format!(" (grade {})", grade.text)));
    let haze = with(&|setup| setup.haze.then(String::new));
    let mut text = Vec::new();
    if !diffusion.is_empty() {
        text.push(format!(
            "Diffusion on the lens: {}. It is in the negative; no file here adds it again.",
            diffusion.join(", ")
        ));
    }
    if !haze.is_empty() {
        text.push(format!(
            "Haze in the air: {}. It is in the negative, and lifts the blacks from take to take.",
            haze.join(", ")
        ));
    }
    let show = &work.show;
    let is_packed = |job: &&Job| {
        let (look, part) = (&show.looks[job.look].id, show.part_id(job.look, job.part));
        manifest.post.iter().any(|post| look.is(&post.look) && post.part.eq_ignore_ascii_case(part))
    };
    if work.jobs.iter().filter(is_packed).any(|job| !job.plan.diffusion.is_identity()) {
        text.push(
            "A look with [diffusion] imitates a filter's veil and softened highlights; its halo is spatial, and no LUT holds that."
                .to_owned(),
        );
    }
    text.push(
        "Lights, gels, filters and stops. Exposure maps were for looking only and are not part of the look.".to_owned(),
    );
    section("What is not in the LUT", &text)
}

fn honest(work: &Work, manifest: &Manifest) -> Section {
    let worst = |values: Vec<f64>| {
        values.into_iter().fold(0.0_f64, |worst, value| if value > worst || value.is_nan() { value } else { worst })
    };
    let cubes =
        |figure: fn(&WholeError) -> f64| worst(manifest.post.iter().map(|post| figure(&post.cube_error)).collect());
    let steps =
        |figure: fn(&WholeError) -> f64| worst(manifest.post.iter().map(|post| figure(&post.clf_error)).collect());
    let mut text = vec![format!(
        "Held against the exact look on a 24-patch chart and skins from -3 to +3 stops (CIEDE2000; about 1 is just seen side by side): cubes miss it by \
         {:.2} on average in the worst file and {:.2} at most, steps by {:.2} and {:.2}. With all hues and -6 to +6 stops single channels are off by up to \
         {:.0} ten-bit codes in cubes and {:.0} in steps, mostly in saturated or nearly white colours. Each file's own figures: package.json, and in the file.",
        cubes(|error| error.mean_de),
        cubes(|error| error.max_de),
        steps(|error| error.mean_de),
        steps(|error| error.max_de),
        cubes(|error| error.codes),
        steps(|error| error.codes),
    )];
    let all = manifest.grades.len();
    let fits: Vec<&super::manifest::FitNote> = manifest.grades.iter().filter_map(|grade| grade.fit.as_ref()).collect();
    if !fits.is_empty() {
        let (least, most) = fits
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |(least, most), fit| (least.min(fit.mean_de), most.max(fit.mean_de)));
        let worst = worst(fits.iter().map(|fit| fit.max_de).collect());
        let range = if fits.len() == 1 { format!("{most:.1}") } else { format!("{least:.1} to {most:.1}") };
        let (these, they) = if fits.len() == 1 {
            ("the nearest one (post/cdl/nearest/LOOK.cc, seen through LOOK.plain.clf) misses it", "It is")
        } else {
            ("the nearest ones (post/cdl/nearest/LOOK.cc, seen through LOOK.plain.clf) miss them", "They are")
        };
        text.push(format!(
            "{} of {} {} more than an ASC CDL: {these} by {range} on average and {worst:.1} at most. {they} a place to start from, never the look.",
            fits.len(),
            counted(all, "look"),
            are(fits.len()),
        ));
    }
    let graded = |note: &&super::manifest::CdlNote| {
        let show = &work.show;
        let of = |job: &&crate::show::Job| {
            show.looks[job.look].id.is(&note.look) && show.part_id(job.look, job.part).eq_ignore_ascii_case(&note.part)
        };
        work.jobs.iter().find(of).is_some_and(|job| job.plan.grade != crate::plan::Cdl::IDENTITY)
    };
    let graded = manifest.grades.iter().filter(graded).count();
    if graded == 0 {
        text.push("No look has a [grade]: post/cdl/LOOK.cc is the identity, and does nothing.".to_owned());
    } else if graded < all {
        let have = if graded == 1 { "has" } else { "have" };
        text.push(format!(
            "{graded} of {} {have} a [grade] at all: post/cdl/LOOK.cc of the others is the identity, and does nothing.",
            counted(all, "look"),
        ));
    }
    section("How true the files are", &text)
}

fn check() -> Section {
    section(
        "How to check it",
        &[
            "Was anything changed on the way? sha256sum -c SHA256SUMS, in this folder. The same hashes stand in ascmhl/ for programs that read media hash \
             lists."
                .to_owned(),
            "Are the files what the recipes say? lookwright receive PACKAGE compiles all of them again and compares, byte for byte.".to_owned(),
        ],
    )
}
