//! A small show in a folder of its own, its package, and the program.

use lookwright::formats::package::{CHECKSUMS, Checksum, format_checksums};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// Two cameras, one with a trim; two monitors; a look that is only a grade, and one that is more, with a variant and a version; setups with
/// haze, with diffusion on the lens, with clips. Small tables, for what counts here is not their accuracy.
pub const SHOW: &str = r#"lookwright = 1

[show]
name = "Quay handover"
note = "first week, on the quay"

[consistency]
mean_de = 5
p95_de = 20
max_de = 60

[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"
note = "deck"

[[camera]]
id = "b"
encoding = "logc3"
gamut = "awg3"
exposure_index = 1280
trim = "trims/b.toml"

[[monitor]]
id = "onboard"
size = 17
input_levels = "legal"

[[monitor]]
id = "hdr"
encoding = "pq"
gamut = "bt2020"
peak_nits = 203
size = 17

[[look]]
id = "graded"
recipe = "looks/graded.toml"
cameras = ["a"]
monitors = ["onboard"]
note = "said \"warm\", e\u0301toile"

[[look]]
id = "dusk"
recipe = "looks/dusk.toml"
variants = [{ id = "half", strength = 0.5 }]

[[setup]]
id = "7b"
look = "dusk"
cameras = ["a", "b"]
balance_kelvin = 4300
iso = 800
stop = "T2.8"
haze = true
clips = ["A003", "B003C00*"]
note = "ramp closes at 18:40"

[[setup]]
id = "14"
look = "graded"
cameras = ["a"]
diffusion_on_lens = "1/8"
clips = ["TW_014"]

[[setup]]
id = "9"
look = "dusk"
variant = "half"
cameras = ["b"]

[[version]]
setup = "7b"
id = "7b-b"
from = "7b"
set = ["white.warmer_mired=25"]
changed = "5 mired warmer"
made = "2026-11-28 18:40"
look_fingerprint = "LOOK_FINGERPRINT"
"#;

const BASE: &str = "lookwright = 1
[look]
name = \"quay\"
note = \"e\u{301}toile \\\"du\\\" quai\\nsecond line\"
[camera]
encoding = \"s-log3\"
gamut = \"s-gamut3.cine\"
[tone]
contrast = 1.3
[verify]
grey_neutral_codes = 90
grey_codes = 300
grey_de = 60
patch_mean_de = 20
patch_max_de = 60
";

pub const GRADED: &str = "lookwright = 1
[look]
name = \"graded\"
extends = \"base.toml\"
[grade]
slope = [1.05, 1.0, 0.95]
offset = [0.01, 0.0, -0.01]
power = [1.0, 1.0, 1.1]
saturation = 0.9
";

const DUSK: &str = "lookwright = 1
[look]
name = \"dusk\"
extends = \"base.toml\"
[exposure]
stops = 0.25
[white]
warmer_mired = 20
[diffusion]
grade = \"1/4\"
[grade]
saturation = 0.95
[split]
shadows = { warmer_mired = -15 }
[[colour.band]]
centre_deg = 135
width_deg = 45
shift_deg = -10
saturation = 0.8
";

const TRIM: &str = "lookwright = 1
[trim]
stops = 0.1
matrix = [[0.97, 0.03, 0.0], [0.0, 1.0, 0.0], [0.01, -0.01, 1.0]]
";

/// An event of each kind: by its reel, by its clip, of no setup.
pub const REEL: &str = "TITLE: QUAY_DAY_1\nFCM: NON-DROP FRAME\n\n\
    001  A003C012 V     C        01:02:03:04 01:02:08:04 10:00:00:00 10:00:05:00\n* FROM CLIP NAME: TW_007_0010\n\
    002  X001C001 V     C        01:02:03:04 01:02:08:04 10:00:05:00 10:00:10:00\n* FROM CLIP NAME: TW_014_0020\n\
    003  Z001C001 V     C        01:02:03:04 01:02:08:04 10:00:10:00 10:00:15:00\n* FROM CLIP NAME: TW_099_0010\n";

pub const DATE: &str = "2026-11-30";

/// A show's folder.
pub struct Set {
    pub folder: tempfile::TempDir,
}

impl Set {
    pub fn new() -> Self {
        Self::in_folder(tempfile::Builder::new().prefix("quay-machine-").tempdir().expect("a folder"))
    }

    /// A set that stays until the next run, for nothing ends what all tests of a program share.
    fn kept(name: &str) -> Self {
        let (room, prefix) = (Path::new(env!("CARGO_TARGET_TMPDIR")), format!("quay-machine-{name}-"));
        for entry in fs::read_dir(room).expect("cargo made it").flatten() {
            if entry.file_name().to_string_lossy().starts_with(&prefix) {
                let _ = fs::remove_dir_all(entry.path());
            }
        }
        Self::in_folder(tempfile::Builder::new().prefix(&prefix).tempdir_in(room).expect("a folder"))
    }

    fn in_folder(folder: tempfile::TempDir) -> Self {
        let set = Self { folder };
        set.write("looks/base.toml", BASE);
        set.write("looks/graded.toml", GRADED);
        set.write("looks/dusk.toml", DUSK);
        set.write("trims/b.toml", TRIM);
        set.write("reel.edl", REEL);
        set.write("show.toml", &SHOW.replace("LOOK_FINGERPRINT", version_fingerprint()));
        set
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        write(&self.path(name), text.as_bytes());
    }

    pub fn change(&self, name: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(name)).expect("there");
        assert!(text.contains(from), "{name} has no {from:?}");
        self.write(name, &text.replacen(from, to, 1));
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        run_in(self.folder.path(), arguments, None)
    }

    /// Hands the show over; it must succeed.
    pub fn handoff(&self, out: &str, more: &[&str], threads: Option<usize>) -> PathBuf {
        let mut all = vec!["handoff", "show.toml", "--out", out, "--date", DATE];
        all.extend(more);
        if more.contains(&"--setups") {
            // Those of the whole show are enough: they are a third of the time.
            all.push("--no-reports");
        }
        let output = run_in(self.folder.path(), &all, threads);
        assert_eq!(output.status.code(), Some(0), "{all:?}: {}", String::from_utf8_lossy(&output.stderr));
        self.path(out)
    }

    /// Runs, and gives the exit code and what was told of what is wrong.
    pub fn refused(&self, arguments: &[&str]) -> (Option<i32>, String) {
        let output = self.run(arguments);
        (output.status.code(), String::from_utf8(output.stderr).expect("UTF-8"))
    }
}

/// The fingerprint of the version, as the program itself notes it: it must not be made up.
fn version_fingerprint() -> &'static str {
    static FOUND: OnceLock<String> = OnceLock::new();
    FOUND.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        write(&at("looks/base.toml"), BASE.as_bytes());
        write(&at("looks/graded.toml"), GRADED.as_bytes());
        write(&at("looks/dusk.toml"), DUSK.as_bytes());
        write(&at("trims/b.toml"), TRIM.as_bytes());
        let (before, _) = SHOW.split_once("[[version]]").expect("it has a version");
        write(&at("show.toml"), before.as_bytes());
        let all = ["compile", "show.toml", "--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"];
        let output = run_in(folder.path(), &all, None);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let text = fs::read_to_string(at("show.toml")).expect("there");
        let (_, found) = text.split_once("look_fingerprint = \"").expect("the version was noted");
        found.split('"').next().expect("text").to_owned()
    })
}

fn run_in(folder: &Path, arguments: &[&str], threads: Option<usize>) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lookwright"));
    command.args(arguments).current_dir(folder);
    if let Some(threads) = threads {
        command.args(["--threads", &threads.to_string()]);
    }
    command.output().expect("the program starts")
}

pub fn write(path: &Path, bytes: &[u8]) {
    fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    // A file that is linked elsewhere too must stay as it is there.
    let _ = fs::remove_file(path);
    fs::write(path, bytes).expect("written");
}

pub fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!("{error}: {}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
    })
}

/// Every file below a folder, by its path in it.
pub fn files(root: &Path) -> BTreeMap<String, PathBuf> {
    let mut found = BTreeMap::new();
    let mut folders = vec![root.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let inside = path.strip_prefix(root).expect("inside");
                let parts: Vec<&str> = inside.iter().map(|part| part.to_str().expect("UTF-8")).collect();
                found.insert(parts.join("/"), path);
            }
        }
    }
    found
}

/// The package of the whole show as a folder, made once.
pub fn whole() -> &'static (Set, PathBuf) {
    static MADE: OnceLock<(Set, PathBuf)> = OnceLock::new();
    MADE.get_or_init(|| {
        let set = Set::kept("whole");
        let package = set.handoff("whole", &["--edl", "reel.edl"], None);
        (set, package)
    })
}

/// The package of the setup whose look is only a grade, as a folder, made once.
pub fn small() -> &'static (Set, PathBuf) {
    static MADE: OnceLock<(Set, PathBuf)> = OnceLock::new();
    MADE.get_or_init(|| {
        let set = Set::kept("small");
        let package = set.handoff("small", &["--setups", "14", "--edl", "reel.edl"], None);
        (set, package)
    })
}

/// A package that may be changed.
pub struct Copied {
    folder: tempfile::TempDir,
}

impl Copied {
    /// Of the package of the whole show; its files are linked, for they are many.
    pub fn whole() -> Self {
        Self::of(&whole().1)
    }

    pub fn of(package: &Path) -> Self {
        let copied = Self { folder: tempfile::tempdir_in(package.parent().expect("a folder")).expect("a folder") };
        for (name, path) in files(package) {
            let to = copied.path(&name);
            fs::create_dir_all(to.parent().expect("a folder")).expect("made");
            fs::hard_link(path, to).expect("linked");
        }
        copied
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn write(&self, name: &str, text: &str) {
        write(&self.path(name), text.as_bytes());
    }

    /// Replaces the first `from`.
    pub fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.read(name);
        assert!(text.contains(from), "{name} has no {from:?}");
        self.write(name, &text.replacen(from, to, 1));
    }

    pub fn remove(&self, name: &str) {
        fs::remove_file(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    }

    pub fn swap(&self, one: &str, other: &str) {
        let (first, second) = (self.read(one), self.read(other));
        assert_ne!(first, second, "{one} and {other} are the same");
        self.write(one, &second);
        self.write(other, &first);
    }

    /// The only file whose path has these parts.
    pub fn one(&self, parts: &[&str]) -> String {
        let all = files(self.folder.path());
        let found: Vec<&String> = all.keys().filter(|name| parts.iter().all(|part| name.contains(part))).collect();
        assert_eq!(found.len(), 1, "{parts:?}: {found:?}");
        found[0].clone()
    }

    /// Makes the list of checksums right again, as whoever changes a package on purpose would.
    pub fn sum_again(&self) {
        let all = files(self.folder.path());
        let sums: Vec<Checksum> = all
            .iter()
            .filter(|(name, _)| *name != CHECKSUMS)
            .map(|(name, path)| Checksum {
                path: name.clone(),
                sha256: Sha256::digest(fs::read(path).expect("read")).into(),
            })
            .collect();
        self.write(CHECKSUMS, &format_checksums(&sums));
    }

    pub fn receive(&self) -> Arrived {
        receive(self.folder.path())
    }
}

/// What `receive` says of a package.
pub struct Arrived {
    pub code: Option<i32>,
    pub document: Value,
}

pub fn receive(package: &Path) -> Arrived {
    let output = run_in(package.parent().expect("a folder"), &["receive", &package.to_string_lossy(), "--json"], None);
    Arrived { code: output.status.code(), document: json(&output) }
}

impl Arrived {
    /// The words for each file.
    pub fn findings(&self) -> BTreeMap<String, Vec<String>> {
        let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for one in self.document["findings"].as_array().expect("a list") {
            let [file, what] = ["file", "what"].map(|key| one[key].as_str().expect("text").to_owned());
            found.entry(file).or_default().push(what);
        }
        found
    }

    pub fn told(&self, file: &str) -> String {
        let all = self.document["findings"].as_array().expect("a list");
        let told: Vec<&str> =
            all.iter().filter(|one| one["file"] == file).filter_map(|one| one["told"].as_str()).collect();
        told.join(" | ")
    }

    /// The code of the first error.
    pub fn refusal(&self) -> &str {
        self.document["diagnostics"][0]["code"].as_str().unwrap_or_default()
    }
}
