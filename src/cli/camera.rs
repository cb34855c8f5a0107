//! A camera that is named on the command line: its encoding, gamut and exposure index.

use lookwright::colour::encodings::{self, Curve, CurveFault, ENCODINGS, Encoding};
use lookwright::colour::gamuts::{self, GAMUTS, Gamut};
use lookwright::diagnostics::{Diagnostic, codes, nearest};
use lookwright::plan::Camera;

/// How the three are given, for what is said where one is wrong.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    /// How a gamut is added.
    pub gamut: &'static str,
    /// How an exposure index is added.
    pub index: &'static str,
}

/// The camera that was named, and what is doubtful about it.
pub fn camera(
    given: Given,
    encoding: &str,
    gamut: Option<&str>,
    index: Option<u32>,
) -> Result<(Camera, Vec<Diagnostic>), Vec<Diagnostic>> {
    let encoding = encodings::find(encoding)
        .ok_or_else(|| unknown("encoding", encoding, ENCODINGS.iter().map(|encoding| encoding.id)));
    let gamut = match gamut {
        Some(name) => {
            gamuts::find(name).ok_or_else(|| unknown("gamut", name, GAMUTS.iter().map(|gamut| gamut.id))).map(Some)
        }
        None => Ok(None),
    };
    let (encoding, gamut) = match (encoding, gamut) {
        (Ok(encoding), Ok(gamut)) => (encoding, gamut),
        (encoding, gamut) => return Err(encoding.err().into_iter().chain(gamut.err()).collect()),
    };
    let gamut = match gamut {
        Some(gamut) => gamut,
        None => own_gamut(given, encoding).map_err(|fault| vec![fault])?,
    };
    let curve = Curve::new(encoding, index).map_err(|fault| vec![index_fault(given, &fault)])?;
    let mut warnings = Vec::new();
    if !encoding.gamuts.is_empty() && !encoding.gamuts.contains(&gamut.id) {
        let message = format!("{} does not belong to {}", gamut.name, encoding.name);
        let help = format!("published with {}: {}", encoding.name, encoding.gamuts.join(", "));
        warnings.push(Diagnostic::warning(&codes::FOREIGN_GAMUT, message).help(help));
    }
    Ok((Camera { curve, gamut }, warnings))
}

fn unknown(what: &str, written: &str, known: impl Iterator<Item = &'static str>) -> Diagnostic {
    let diagnostic = Diagnostic::error(&codes::UNKNOWN_NAME, format!("there is no {what} \"{written}\""));
    match nearest(written, known) {
        Some(name) => diagnostic.help(format!("did you mean \"{name}\"?")),
        None => diagnostic.help("`lookwright encodings` lists all encodings and gamuts"),
    }
}

fn own_gamut(given: Given, encoding: &Encoding) -> Result<&'static Gamut, Diagnostic> {
    if let [only] = encoding.gamuts
        && let Some(gamut) = gamuts::find(only)
    {
        return Ok(gamut);
    }
    let known =
        if encoding.gamuts.is_empty() { "none is published with it".to_owned() } else { encoding.gamuts.join(", ") };
    let message =
        format!("{} is missing: {} alone does not say which gamut the camera records", given.gamut, encoding.name);
    Err(Diagnostic::error(&codes::MISSING_KEY, message).help(format!("gamuts of {}: {known}", encoding.name)))
}

fn index_fault(given: Given, fault: &CurveFault) -> Diagnostic {
    let help = match fault {
        CurveFault::ExposureIndexNotUsed { .. } => format!("leave out {}", given.index),
        _ => format!("give the index that the camera is set to with {}", given.index),
    };
    Diagnostic::error(&codes::EXPOSURE_INDEX, fault.to_string()).help(help)
}
