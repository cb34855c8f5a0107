//! A small show in a folder of its own, and the program.

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Two cameras, two monitors, two looks, two setups; small tables, for what counts here is not their accuracy.
pub const SHOW: &str = r#"lookwright = 1
[show]
name = "Quay test"
[consistency]
mean_de = 5
p95_de = 20
max_de = 60
[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"
[[camera]]
id = "b"
encoding = "v-log"
gamut = "v-gamut"
[[monitor]]
id = "onboard"
size = 9
file = { name_max = 16, charset = "upper" }
[[monitor]]
id = "client"
size = 9
file = { charset = "lower", comments = false, newline = "crlf" }
[[look]]
id = "warm"
recipe = "warm.toml"
variants = [{ id = "p1", exposure_stops = 1.0 }]
[[look]]
id = "cold"
recipe = "cold.toml"
[[setup]]
id = "7b"   # the ramp
look = "warm"
cameras = ["a"]
[[setup]]
id = "9"
look = "cold"
"#;

/// A recipe that says nothing about camera and display, and whose tolerances a table of nine points holds.
pub const WARM: &str = "lookwright = 1
[look]
name = \"Quay warm\"
[white]
warmer_mired = 24
[tone]
contrast = 1.25
[verify]
grey_neutral_codes = 90
grey_codes = 300
grey_de = 60
patch_mean_de = 20
patch_max_de = 60
";

/// Files in a folder.
pub struct Set {
    pub folder: tempfile::TempDir,
}

impl Set {
    /// The show [`SHOW`] with its recipes.
    pub fn new() -> Self {
        let set = Self { folder: tempfile::tempdir().expect("a folder") };
        set.write("show.toml", SHOW);
        set.write("warm.toml", WARM);
        set.write("cold.toml", &WARM.replace("Quay warm", "Quay cold").replace("= 24", "= -24"));
        set
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("the folder can be written");
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.read(name);
        assert!(text.contains(from), "{name} has no {from:?}");
        self.write(name, &text.replacen(from, to, 1));
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().expect("the program starts")
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lookwright"));
        command.args(arguments).current_dir(self.folder.path());
        command
    }

    /// Runs with `--json`; gives the exit code and the document.
    pub fn json(&self, arguments: &[&str]) -> (Option<i32>, Value) {
        let mut all = arguments.to_vec();
        all.push("--json");
        let output = self.run(&all);
        let text = String::from_utf8(output.stdout).expect("UTF-8");
        let document = serde_json::from_str(&text)
            .unwrap_or_else(|error| panic!("{all:?}: {error}\n{text}\n{}", String::from_utf8_lossy(&output.stderr)));
        (output.status.code(), document)
    }

    /// Every cube file under `luts-out`, with its bytes, by its path.
    pub fn cubes(&self) -> BTreeMap<String, Vec<u8>> {
        let mut cubes = BTreeMap::new();
        gather(&self.path("luts-out"), &self.path("luts-out"), &mut cubes);
        cubes
    }
}

fn gather(root: &Path, folder: &Path, cubes: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            gather(root, &path, cubes);
        } else if path.extension().is_some_and(|end| end == "cube") {
            let name = path.strip_prefix(root).expect("inside").to_string_lossy().replace('\\', "/");
            cubes.insert(name, fs::read(&path).expect("readable"));
        }
    }
}

/// How many of a document's files have a status.
pub fn count(document: &Value, status: &str) -> usize {
    let luts = document["luts"].as_array().expect("a list");
    luts.iter().filter(|lut| lut["status"] == status).count()
}
