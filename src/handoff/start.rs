//! What stands on the first page of a package, in plain words.

use super::manifest::Manifest;
use super::pack::key_of_setup;
use super::parts::{part_stem, part_words};
use crate::show::{Job, Setup, Work};
use std::collections::BTreeSet;

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
            "What was seen on set, for post: {of}; {}. Made by lookwright {}, and the same bytes whenever it is made again from the same texts.",
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
        row("the same as steps, for a colour pipeline that reads the Common LUT Format", "post/clf/LOOK.CAMERA.clf"),
        row(
            "an ACES project: input, look and output, one behind the other, named by a metadata file",
            "post/aces/LOOK.CAMERA.amf",
        ),
        row("scene-linear pictures in ACES2065-1 (renders, graphics)", "post/linear/LOOK.clf"),
        row(
            "the recipe's [grade] alone as ASC CDL; in nearest/ the CDL that comes nearest to the whole look",
            "post/cdl/LOOK.cc",
        ),
        row("the files that were made for the monitors, byte for byte", "monitors/"),
        row("every setting and where it comes from; the texts themselves", "resolved/LOOK.toml; show/"),
        row("see a log still through a look, without any program but a browser", "viewer.html"),
        row("frames with and without the look; grey scale and patches", "frames/; tables/"),
        row(
            "what people wrote; every version of every setup's look; what each look does",
            "notes.txt; versions.txt; reports/",
        ),
    ];
    if !setups(work, manifest).is_empty() {
        rows.push(row("lights, filters, stops, balance, setup by setup", "setups/SETUP.html"));
    }
    if manifest.lists > 0 {
        rows.push(row(
            "edit decision lists with the [grade] of each event's setup, where its look has one",
            "post/edl/",
        ));
    }
    let mut text = vec![format!(
        "LOOK is the look's name, with its variant or version behind a dot; CAMERA the camera's. Files in post/ take full-range signal (10-bit \
             code / 1023) and give full-range signal for {} / {}{peak}, the display of monitor {}. A look is applied once: take one row of this \
             table, never two.",
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
fn setups<'a>(work: &'a Work, manifest: &Manifest) -> Vec<(usize, &'a Setup)> {
    let named = |setup: &Setup| manifest.setups.as_ref().is_none_or(|ids| ids.iter().any(|id| setup.id.is(id)));
    work.show.setups.iter().enumerate().filter(|(_, setup)| named(setup)).collect()
}

fn monitored(work: &Work, manifest: &Manifest) -> Section {
    let show = &work.show;
    let rows: Vec<Vec<String>> = setups(work, manifest)
        .into_iter()
        .map(|(index, setup)| {
            let key = key_of_setup(show, index);
            let balance = setup.balance_kelvin.map_or("not said".to_owned(), |kelvin| format!("{kelvin} K"));
            let cameras: Vec<&str> =
                setup.cameras.iter().map(|camera| show.cameras[*camera].id.text.as_str()).collect();
            let iso = setup.iso.map_or(String::new(), |iso| format!("ISO {iso}"));
            let stop = setup.t_stop.map_or(String::new(), |stop| format!(" T{stop}"));
            let stem = part_stem(show, key);
            let files: Vec<String> = cameras.iter().map(|camera| format!("{stem}.{}", camera.to_lowercase())).collect();
            vec![
                setup.id.text.clone(),
                part_words(work, key),
                files.join(", "),
                balance,
                format!("{iso}{stop}").trim().to_owned(),
            ]
        })
        .collect();
    let monitors: BTreeSet<&str> = manifest.luts.iter().map(|lut| lut.monitor.as_str()).collect();
    let monitors: Vec<&str> = monitors.into_iter().collect();
    let mut text = vec![format!(
        "The LUT files in monitors/ were made for the monitors {}; whoever was on set saw the pictures through them. How near the monitors come to each \
         other: {}.",
        monitors.join(", "),
        if manifest.setups.is_none() { "reports/consistency.html" } else { "the proof of the whole show" }
    )];
    let missed = manifest.luts.iter().filter(|lut| lut.pass == Some(false)).count();
    if missed > 0 {
        text.push(format!("{missed} of {} of these files miss a tolerance of their recipes: their tables are too coarse for the look.", manifest.luts.len()));
    }
    if rows.is_empty() {
        text.push("The show names no setups.".to_owned());
        return section("What was monitored", &text);
    }
    Section {
        title: "What was monitored",
        text,
        table: Some((vec!["setup", "seen through", "LOOK.CAMERA", "balance", "ISO and stop"], rows)),
    }
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
            "The look is not in it, and neither is its exposure (a variant that lifts or lowers the picture by a stop says that the negative is a stop thinner or denser): the camera's balance and what hung before lamp and lens are. If a recording looks graded \
             already, the LUT was recorded into it: say so before anybody grades on top."
                .to_owned(),
        ],
    )
}

fn not_in_the_lut(work: &Work, manifest: &Manifest) -> Section {
    let setups = setups(work, manifest);
    let with = |what: &dyn Fn(&Setup) -> Option<String>| -> Vec<String> {
        setups
            .iter()
            .filter_map(|(_, setup)| what(setup).map(|said| format!("setup {}{said}", setup.id.text)))
            .collect()
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
        text.push("A look with [diffusion] imitates a filter's veil and softened highlights; its halo is spatial, and no LUT holds that.".to_owned());
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
    let cube = worst(manifest.post.iter().map(|post| post.cube_error.max_de).collect());
    let cube_mean = worst(manifest.post.iter().map(|post| post.cube_error.mean_de).collect());
    let clf = worst(manifest.post.iter().map(|post| post.clf_error.max_de).collect());
    let clf_mean = worst(manifest.post.iter().map(|post| post.clf_error.mean_de).collect());
    let mut text = vec![format!(
        "Held against the exact look on a 24-patch chart and skins from -3 to +3 stops (CIEDE2000; about 1 is just seen side by side): cubes miss it by \
         {cube_mean:.2} on average in the worst file and {cube:.2} at most, steps by {clf_mean:.2} and {clf:.2}. Each file's own figures: package.json, and in \
         the file."
    )];
    let fits: Vec<&super::manifest::FitNote> = manifest.grades.iter().filter_map(|grade| grade.fit.as_ref()).collect();
    if !fits.is_empty() {
        let (least, most) = fits
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |(least, most), fit| (least.min(fit.mean_de), most.max(fit.mean_de)));
        let worst = worst(fits.iter().map(|fit| fit.max_de).collect());
        text.push(format!(
            "{} of {} looks are more than an ASC CDL: the nearest ones (post/cdl/nearest/LOOK.cc, seen through LOOK.plain.clf) miss them by {least:.1} to \
             {most:.1} on average and {worst:.1} at most. They are a place to start from, never the look.",
            fits.len(),
            manifest.grades.len()
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
    if graded < manifest.grades.len() {
        text.push(format!(
            "{graded} of {} looks have a [grade] at all: post/cdl/LOOK.cc of the others is the identity, and does nothing.",
            manifest.grades.len()
        ));
    }
    section("How true the files are", &text)
}

fn check() -> Section {
    section(
        "How to check it",
        &[
            "Whether anything was changed on the way: sha256sum -c SHA256SUMS, in this folder. The same hashes stand in ascmhl/ for programs that read media hash \
             lists."
                .to_owned(),
            "Whether the files are what the recipes say: lookwright receive PACKAGE compiles all of them again and compares, byte for byte.".to_owned(),
        ],
    )
}
