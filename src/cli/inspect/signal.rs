//! What the caller knows about a file's signals, as arguments.

use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::{self, Curve};
use lookwright::colour::gamuts;
use lookwright::diagnostics::{Diagnostic, codes, nearest};
use lookwright::plan::{Camera, DisplayTarget, Levels};
use lookwright::verify::inspection::Assumptions;

/// What the caller knows about a file's signals.
#[derive(clap::Args)]
pub struct SignalArguments {
    /// Encoding of the camera's signal (default: the file's comments, else a guess or a stated assumption)
    #[arg(long, value_name = "ID")]
    encoding: Option<String>,

    /// Gamut of the camera's signal (default: the first one published with the encoding)
    #[arg(long, value_name = "ID", requires = "encoding")]
    gamut: Option<String>,

    /// Exposure index, for encodings that depend on it
    #[arg(long, value_name = "N", requires = "encoding")]
    exposure_index: Option<u32>,

    /// Encoding of the display (default: the file's comments, else bt1886)
    #[arg(long, value_name = "ID")]
    display: Option<String>,

    /// Gamut of the display (default: the file's comments, else bt709)
    #[arg(long, value_name = "ID")]
    display_gamut: Option<String>,

    /// Luminance of display white in cd/m²; needed for pq and hlg
    #[arg(long, value_name = "N")]
    peak_nits: Option<f64>,

    /// What 0..1 means at the LUT's input
    #[arg(long, value_name = "full|legal")]
    input_levels: Option<String>,

    /// What 0..1 means at the LUT's output
    #[arg(long, value_name = "full|legal")]
    output_levels: Option<String>,
}

impl SignalArguments {
    /// The options that were given.
    pub fn named(&self) -> impl Iterator<Item = &'static str> {
        [
            ("--encoding", self.encoding.is_some()),
            ("--gamut", self.gamut.is_some()),
            ("--exposure-index", self.exposure_index.is_some()),
            ("--display", self.display.is_some()),
            ("--display-gamut", self.display_gamut.is_some()),
            ("--peak-nits", self.peak_nits.is_some()),
            ("--input-levels", self.input_levels.is_some()),
            ("--output-levels", self.output_levels.is_some()),
        ]
        .into_iter()
        .filter(|(_, given)| *given)
        .map(|(option, _)| option)
    }

    /// The names as published things.
    pub fn assumptions(&self) -> Result<Assumptions, Vec<Diagnostic>> {
        let mut faults = Vec::new();
        let mut keep = |result: Result<(), Diagnostic>| faults.extend(result.err());
        let mut known = Assumptions::default();
        keep(self.camera().map(|camera| known.camera = camera));
        keep(self.target().map(|target| known.display = target));
        keep(self.levels().map(|levels| known.levels = levels));
        if faults.is_empty() { Ok(known) } else { Err(faults) }
    }

    fn camera(&self) -> Result<Option<Camera>, Diagnostic> {
        let Some(name) = &self.encoding else { return Ok(None) };
        let encoding = encodings::find(name)
            .ok_or_else(|| unknown("--encoding", name, encodings::ENCODINGS.iter().map(|e| e.id)))?;
        let gamut = match &self.gamut {
            Some(name) => {
                gamuts::find(name).ok_or_else(|| unknown("--gamut", name, gamuts::GAMUTS.iter().map(|g| g.id)))?
            }
            None => encoding.gamuts.first().and_then(|id| gamuts::find(id)).unwrap_or(&gamuts::ACESCG),
        };
        let curve = Curve::new(encoding, self.exposure_index).map_err(|fault| {
            Diagnostic::error(&codes::EXPOSURE_INDEX, fault.to_string()).help("give one with --exposure-index")
        })?;
        Ok(Some(Camera { curve, gamut }))
    }

    fn target(&self) -> Result<Option<DisplayTarget>, Diagnostic> {
        if self.display.is_none() && self.display_gamut.is_none() && self.peak_nits.is_none() {
            return Ok(None);
        }
        let name = self.display.as_deref().unwrap_or("bt1886");
        let encoding = DisplayEncoding::find(name)
            .ok_or_else(|| unknown("--display", name, DisplayEncoding::ALL.iter().map(|d| d.id())))?;
        let usual = if encoding == DisplayEncoding::Hlg { "bt2020" } else { "bt709" };
        let name = self.display_gamut.as_deref().unwrap_or(usual);
        let gamut = gamuts::find(name)
            .ok_or_else(|| unknown("--display-gamut", name, lookwright::recipe::parameter::DISPLAY_GAMUTS))?;
        let peak_nits = match self.peak_nits {
            Some(peak) if peak.is_finite() && peak > 0.0 => peak,
            Some(peak) => {
                let message = format!("--peak-nits is {peak}");
                return Err(
                    Diagnostic::error(&codes::OUT_OF_RANGE, message).help("give the luminance of white in cd/m²")
                );
            }
            None if encoding.needs_peak() => {
                let message = format!("{} needs the luminance of display white", encoding.id());
                return Err(Diagnostic::error(&codes::MISSING_KEY, message).help("for example --peak-nits 1000"));
            }
            None => 100.0,
        };
        Ok(Some(DisplayTarget { encoding, gamut, peak_nits }))
    }

    fn levels(&self) -> Result<Option<(Levels, Levels)>, Diagnostic> {
        let find = |option: &str, name: &Option<String>| match name {
            None => Ok(None),
            Some(name) => Levels::ALL
                .into_iter()
                .find(|levels| levels.id() == name.to_lowercase())
                .map(Some)
                .ok_or_else(|| unknown(option, name, Levels::ALL.map(Levels::id))),
        };
        let (input, output) =
            (find("--input-levels", &self.input_levels)?, find("--output-levels", &self.output_levels)?);
        Ok((input.is_some() || output.is_some())
            .then(|| (input.unwrap_or(Levels::Full), output.unwrap_or(Levels::Full))))
    }
}

fn unknown(option: &str, name: &str, known: impl IntoIterator<Item = &'static str> + Clone) -> Diagnostic {
    let diagnostic = Diagnostic::error(&codes::UNKNOWN_NAME, format!("{option} is unknown: {name}"));
    let listed: Vec<&str> = known.clone().into_iter().collect();
    match nearest(name, known) {
        Some(near) => diagnostic.help(format!("did you mean {near}?")),
        None => diagnostic.help(format!("one of {}", listed.join(", "))),
    }
}
