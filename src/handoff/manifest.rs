//! What a package says of itself, for programs: `package.json`.

use crate::exchange::WholeError;
use serde::{Deserialize, Serialize};

/// Name of the file in a package.
pub const MANIFEST: &str = "package.json";

/// Form of the file.
pub const FORM: u32 = 1;

/// What a package holds.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// Form of this file.
    pub form: u32,
    /// Version of the program that made the package.
    pub program: String,
    /// Name of the show.
    pub show: String,
    /// When it was made, as was said.
    pub date: String,
    /// The show's file in the package.
    pub source: String,
    /// Ids of the setups that it is for; `None` for the whole show.
    pub setups: Option<Vec<String>>,
    /// The display of the files for post.
    pub reference: Reference,
    /// The looks, variants and versions, and which setups each is for.
    #[serde(default)]
    pub looks: Vec<LookNote>,
    /// The LUT files of cameras and monitors.
    pub luts: Vec<LutNote>,
    /// The files for post, one for each look, variant or version and camera.
    pub post: Vec<PostNote>,
    /// How many edit decision lists there are.
    pub lists: usize,
    /// How many looks have a report.
    #[serde(default)]
    pub reports: usize,
    /// What became of each list's events.
    #[serde(default)]
    pub edl: Vec<ListNote>,
    /// The grades, one for each look, variant or version.
    pub grades: Vec<CdlNote>,
}

impl Manifest {
    /// The text of `package.json`.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}\n", serde_json::to_string_pretty(self).unwrap_or_default())
    }
}

/// The display of the files for post.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reference {
    /// Id of the monitor whose display it is.
    pub monitor: String,
    /// Its encoding.
    pub encoding: String,
    /// Its gamut.
    pub gamut: String,
    /// Luminance of its white, cd/m².
    pub peak_nits: f64,
}

/// A look, variant or version, and what the package's setups make of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LookNote {
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// How the names of its files begin.
    pub files: String,
    /// Setups that are seen through it.
    pub setups: Vec<String>,
    /// Setups that were seen through it until a version took its place: it is not theirs any more.
    pub superseded: Vec<Superseded>,
}

/// A setup that has a newer version.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Superseded {
    /// Id of the setup.
    pub setup: String,
    /// How the names of the files begin that are the setup's now.
    pub by: String,
}

/// A LUT file of a camera and monitor.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct LutNote {
    /// Path in the package.
    pub file: String,
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// Id of the camera.
    pub camera: String,
    /// Id of the monitor.
    pub monitor: String,
    /// Points a side.
    pub size: usize,
    /// Levels of input and output.
    pub levels: [String; 2],
    /// Fingerprint of what it means.
    pub fingerprint: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// Whether it holds all tolerances; `None` where nobody asked.
    pub pass: Option<bool>,
}

/// The files for post of a look, variant or version and camera.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PostNote {
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// Id of the camera.
    pub camera: String,
    /// Id of the monitor whose display it is for.
    pub monitor: String,
    /// Fingerprint of what the cube means.
    pub fingerprint: String,
    /// From the camera's signal to the display's, 65 points, full levels.
    pub cube: String,
    /// The same in steps, in the Common LUT Format.
    pub clf: String,
    /// What those steps miss of the look.
    pub clf_error: WholeError,
    /// What the cube misses of the look.
    pub cube_error: WholeError,
    /// From the camera's signal to ACES2065-1, in the Common LUT Format.
    pub input: String,
    /// The look from ACES2065-1 to ACES2065-1; `None` for looks without a scene side.
    pub scene: Option<String>,
    /// From ACES2065-1 to the display's signal.
    pub output: String,
    /// Both together, for scene-linear pictures.
    pub linear: String,
    /// The ACES Metadata File that names the three.
    pub amf: String,
}

/// An edit decision list: each of its events is counted once in all but `replaced`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ListNote {
    /// Path in the package.
    pub file: String,
    /// How many events it has.
    pub events: usize,
    /// Events that have the grade of their setup.
    pub annotated: usize,
    /// Those of them that had other numbers when the list came.
    pub replaced: usize,
    /// Events whose setup has a look without a `[grade]` that could stand there.
    pub without_grade: usize,
    /// Events of no setup of the package.
    pub without_setup: usize,
    /// Events that belong to two setups of different looks alike, and have got the grade of neither.
    pub of_two_setups: usize,
}

/// The grade of a look, variant or version.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct CdlNote {
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// The file with the recipe's `[grade]`.
    pub file: String,
    /// Whether the look is nothing but this.
    pub is_all: bool,
    /// For other looks, the CDL that comes nearest.
    pub fit: Option<FitNote>,
}

/// The CDL that comes nearest to a look, and what it misses.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct FitNote {
    /// Its file.
    pub file: String,
    /// The plain conversion that it is seen through: ACES2065-1 to the display's signal.
    pub through: String,
    /// Mean CIEDE2000 of chart and skins, −3..+3 stops.
    pub mean_de: f64,
    /// 95 % lie at or below this.
    pub de_95: f64,
    /// The largest.
    pub max_de: f64,
    /// Mean CIEDE2000 of the plain conversion alone.
    pub plain_mean_de: f64,
}
