//! A show that is made for these tests: two looks with variants, three cameras, four monitors, and names that nobody would
//! choose.

use lookwright::diagnostics::Diagnostic;
use lookwright::show::consistency::Matrix;
use lookwright::show::{
    self, CameraProof, CardMap, Ledger, LoadingCard, LookProof, MapNote, MapState, MapZone, MonitorProof, Options,
    Proof, Run, Selection, Show, Work,
};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;
use std::sync::atomic::AtomicBool;
use tempfile::TempDir;

pub const HOSTILE_SHOW: &str = "Tidewater <script>alert('x')</script> & \"Co\"";
pub const HOSTILE_LOOK: &str = "Noon \u{202e}</bdi><b>מעבורת\" onclick='x'";

pub struct Sample {
    pub folder: TempDir,
    /// Files that were made and verified.
    pub card: LoadingCard,
    /// The same files, and exposure maps on the first two monitors.
    pub with_maps: LoadingCard,
    /// The same show before anything was made.
    pub not_made: LoadingCard,
    pub proof: Proof,
    /// The same show with tolerances that its grids don't hold, and a camera whose encoding clips.
    pub out: Proof,
    /// A run that was stopped at once.
    pub unfinished: Proof,
}

impl Sample {
    /// Leaves a page to be looked at.
    pub fn leave(&self, name: &str, text: &str) {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report");
        fs::create_dir_all(&folder).and_then(|()| fs::write(folder.join(name), text)).unwrap();
    }
}

pub fn sample() -> &'static Sample {
    static SAMPLE: OnceLock<Sample> = OnceLock::new();
    SAMPLE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let recipes = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes");
        for recipe in ["crossing-noon.toml", "dusk-car-deck.toml"] {
            let mut text = fs::read_to_string(recipes.join(recipe)).unwrap();
            if recipe == "crossing-noon.toml" {
                let name = text.lines().find(|line| line.starts_with("name")).unwrap().to_owned();
                text = text.replace(&name, &format!("name = {}", toml::Value::String(HOSTILE_LOOK.to_owned())));
            }
            fs::write(folder.path().join(recipe), text).unwrap();
        }
        let work = prepared(folder.path(), "show.toml", &show_text("s-log3", "s-gamut3.cine", 0.5, 3.0));
        let empty = Ledger::read(&folder.path().join("nowhere")).unwrap();
        let not_made = LoadingCard::new(&work, &empty, &[]);
        let unfinished = Proof::new(&work, &made(&work, folder.path(), "stopped", false, true));
        let run = made(&work, folder.path(), "out", true, false);
        let (card, proof) = (LoadingCard::new(&work, &run.ledger, &[]), Proof::new(&work, &run));
        let with_maps = LoadingCard::new(&work, &run.ledger, &maps());
        let work = prepared(folder.path(), "out.toml", &show_text("acesproxy10", "acescg", 0.05, 0.4));
        let out = Proof::new(&work, &made(&work, folder.path(), "wrong", false, false));
        Sample { folder, card, with_maps, not_made, proof, out, unfinished }
    })
}

/// Maps of two cameras with the same zones, and one with others: a name that nobody would choose, and a zone that is never shown.
fn maps() -> Vec<(usize, CardMap)> {
    let zone = |name: &str, ends: [Option<f64>; 2], hex: &str| MapZone {
        name: name.to_owned(),
        from_stops: ends[0],
        to_stops: ends[1],
        shown: ends != [None; 2],
        hex: hex.to_owned(),
        held: (ends != [None; 2]).then_some(name != "noise floor"),
    };
    let zones = vec![
        zone("noise floor", [None, Some(-6.4)], "004a75"),
        zone(HOSTILE_LOOK, [Some(-0.2), Some(0.2)], "0087d0"),
        zone("clip", [None, None], "ffdea2"),
    ];
    let note = MapNote { size: 17, sized: true, set: vec!["map.dim=0.5".to_owned()], zero_stops: 0.5, zones };
    let map = |camera: &str, state: MapState, note: &MapNote| CardMap {
        file: format!("onboard/exposure.map/EXPOSURE_{camera}.cube").into(),
        legend: Some(format!("onboard/exposure.map/EXPOSURE_{camera}.png").into()),
        camera: camera.to_owned(),
        records: "s-log3 / s-gamut3.cine".to_owned(),
        fingerprint: "0123abcd".to_owned(),
        state,
        note: note.clone(),
    };
    let plain = MapNote { zones: note.zones[..2].to_vec(), set: Vec::new(), sized: false, ..note.clone() };
    vec![
        (0, map("a", MapState::AsAsked, &note)),
        (0, map("b", MapState::Outdated, &note)),
        (1, map("crash", MapState::Replaced, &plain)),
    ]
}

fn messages(found: &[Diagnostic]) -> Vec<&str> {
    found.iter().map(|diagnostic| diagnostic.message.as_str()).collect()
}

fn prepared(folder: &Path, name: &str, text: &str) -> Work {
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    let (show, doubts) = Show::load(&path, None).unwrap_or_else(|found| panic!("{:?}", messages(&found)));
    show::prepare(show, doubts).unwrap_or_else(|found| panic!("{:?}", messages(&found)))
}

fn made(work: &Work, folder: &Path, out: &str, verified: bool, stopped: bool) -> Run {
    let options = Options { out: folder.join(out), verified, force: false, selection: Selection::All };
    show::run(work, &options, &AtomicBool::new(stopped), &|_| {})
        .unwrap_or_else(|found| panic!("{:?}", messages(&found)))
}

fn show_text(encoding: &str, gamut: &str, mean: f64, worst: f64) -> String {
    let name = toml::Value::String(HOSTILE_SHOW.to_owned());
    format!(
        r#"lookwright = 1
[show]
name = {name}
[consistency]
mean_de = {mean}
max_de = {worst}
[[camera]]
id = "a"
encoding = "{encoding}"
gamut = "{gamut}"
[[camera]]
id = "b"
encoding = "logc4"
gamut = "awg4"
[[camera]]
id = "crash"
encoding = "v-log"
gamut = "v-gamut"
[[monitor]]
id = "onboard"
encoding = "bt1886"
gamut = "bt709"
size = 33
input_levels = "legal"
output_levels = "full"
slots = 10
file = {{ name_max = 20, charset = "upper" }}
note = "on each camera"
[[monitor]]
id = "director"
encoding = "gamma22"
gamut = "bt709"
size = 33
file = {{ name_max = 12, charset = "lower", newline = "crlf", comments = false, sizes = [17, 33] }}
note = "wireless, 7 inch"
[[monitor]]
id = "client"
encoding = "bt1886"
gamut = "p3-d65"
size = 33
interpolation = "trilinear"
output_levels = "legal"
file = {{ name_max = 120, charset = "mixed" }}
note = "television in the lounge, behind a converter that holds the LUT"
[[monitor]]
id = "hdr"
encoding = "pq"
gamut = "bt2020"
peak_nits = 1000
size = 33
file = {{ name = "look.cube" }}
note = "grading trolley"
[[look]]
id = "noon"
recipe = "crossing-noon.toml"
variants = [{{ id = "p1", exposure_stops = 1.0 }}, {{ id = "mono", monochrome = true }}]
[[look]]
id = "dusk"
recipe = "dusk-car-deck.toml"
[[setup]]
id = "3"
look = "noon"
cameras = ["a", "b"]
[[setup]]
id = "7b"
look = "dusk"
"#
    )
}

/// A proof of many looks, cameras and monitors, whose pairs are those of the sample over and over; one camera is out of
/// tolerance on every monitor.
pub fn large(sample: &Sample, looks: usize, cameras: usize, monitors: usize) -> Proof {
    let camera_ids: Vec<String> = (1..=cameras).map(|place| format!("camera-{place}")).collect();
    let monitor_ids: Vec<String> = (1..=monitors).map(|place| format!("monitor-{place}")).collect();
    let good = &sample.proof.looks[0];
    let bad = &sample.out.looks[0].monitors[0].cameras;
    let fails = bad.pairs.iter().find(|pair| !pair.pass).unwrap();
    let look = |place: usize| LookProof {
        id: format!("look-{place}"),
        name: format!("Look number {place}"),
        part: String::new(),
        monitors: monitor_ids
            .iter()
            .map(|id| {
                let mut cameras = of(&good.monitors[0].cameras, &camera_ids);
                for pair in cameras.pairs.iter_mut().filter(|pair| pair.b == camera_ids.len() - 1) {
                    let (a, b) = (pair.a, pair.b);
                    *pair = fails.clone();
                    (pair.a, pair.b) = (a, b);
                }
                cameras.pass = false;
                MonitorProof { id: id.clone(), display: "bt1886 / bt709".to_owned(), cameras }
            })
            .collect(),
        cameras: camera_ids
            .iter()
            .map(|id| CameraProof { id: id.clone(), monitors: of(&good.cameras[0].monitors, &monitor_ids) })
            .collect(),
    };
    Proof { show: "Tidewater".to_owned(), looks: (1..=looks).map(look).collect(), pass: false, ..sample.proof.clone() }
}

fn of(matrix: &Matrix, ids: &[String]) -> Matrix {
    let places = (0..ids.len()).flat_map(|a| (a + 1..ids.len()).map(move |b| (a, b)));
    let pairs = places.zip(matrix.pairs.iter().cycle()).map(|((a, b), pair)| {
        let mut pair = pair.clone();
        (pair.a, pair.b) = (a, b);
        pair
    });
    let nits = |nits: &[f64]| nits.iter().copied().cycle().take(ids.len()).collect();
    Matrix {
        ids: ids.to_vec(),
        white_nits: nits(&matrix.white_nits),
        grey_nits: nits(&matrix.grey_nits),
        pairs: pairs.collect(),
        ..matrix.clone()
    }
}
