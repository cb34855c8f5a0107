//! Reading back what [`Prepared`](super::Prepared) writes into a file's comments.
//!
//! A comment is evidence, not proof: anybody can edit it, and other programs may drop it. It says what a file claims to be.

use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::{self, Curve};
use crate::colour::gamuts::{self, Gamut};
use crate::plan::{Camera, Levels};

/// What the header says about the display.
#[derive(Clone, Copy, Debug)]
pub struct Monitor {
    /// Encoding of the signal.
    pub encoding: DisplayEncoding,
    /// Primaries and white.
    pub gamut: &'static Gamut,
    /// Luminance of display white in cd/m², where the encoding needs it.
    pub peak_nits: Option<f64>,
}

/// The text behind `name: ` in the first comment that begins so; `None` where there is none, or nothing behind it.
#[must_use]
pub fn fact_in<'a>(comments: &'a [String], name: &str) -> Option<&'a str> {
    comments
        .iter()
        .find_map(|comment| comment.trim().strip_prefix(name)?.strip_prefix(':'))
        .map(str::trim)
        .filter(|fact| !fact.is_empty())
}

/// The fingerprint of the plan that a file was made from; `None` where no comment gives one, or it is not hexadecimal.
///
/// ```
/// use lookwright::compile::fingerprint_in;
///
/// let comments = ["look: Quayside".to_owned(), "fingerprint: 8d0da987cf649db6".to_owned()];
/// assert_eq!(fingerprint_in(&comments), Some("8d0da987cf649db6"));
/// assert_eq!(fingerprint_in(&["fingerprint: unknown".to_owned()]), None);
/// ```
#[must_use]
pub fn fingerprint_in(comments: &[String]) -> Option<&str> {
    fact_in(comments, "fingerprint").filter(|text| text.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

/// The camera that a file was made for; `None` where no comment gives one that is known.
#[must_use]
pub fn camera_in(comments: &[String]) -> Option<Camera> {
    let (curve, gamut) = fact_in(comments, "camera")?.split_once('/')?;
    let (encoding, index) = match curve.split_once(" EI ") {
        Some((encoding, index)) => (encoding, Some(index.trim().parse().ok()?)),
        None => (curve, None),
    };
    let curve = Curve::new(encodings::find(encoding.trim())?, index).ok()?;
    Some(Camera { curve, gamut: gamuts::find(gamut.trim())? })
}

/// The display that a file was made for; `None` where no comment gives one that is known.
#[must_use]
pub fn monitor_in(comments: &[String]) -> Option<Monitor> {
    let (encoding, rest) = fact_in(comments, "monitor")?.split_once('/')?;
    let mut words = rest.split_whitespace();
    let gamut = gamuts::find(words.next()?)?;
    let peak_nits =
        words.next().and_then(|nits| nits.parse().ok()).filter(|nits: &f64| nits.is_finite() && *nits > 0.0);
    Some(Monitor { encoding: DisplayEncoding::find(encoding.trim())?, gamut, peak_nits })
}

/// The input and the output levels that a file was made for; `None` where no comment gives both.
#[must_use]
pub fn levels_in(comments: &[String]) -> Option<(Levels, Levels)> {
    let (input, output) = fact_in(comments, "levels")?.split_once(',')?;
    let find = |text: &str, name: &str| {
        let id = text.trim().strip_prefix(name)?.trim();
        Levels::ALL.into_iter().find(|levels| levels.id() == id)
    };
    Some((find(input, "input")?, find(output, "output")?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn comments(lines: &[&str]) -> Vec<String> {
        lines.iter().map(|line| (*line).to_owned()).collect()
    }

    #[test]
    fn a_header_says_what_the_file_was_made_for() {
        let header = comments(&[
            "look: Quayside / dusk",
            "fingerprint: 00ff",
            "camera: logc3 EI 800 / awg3",
            "monitor: pq / bt2020 1000 nits",
            "levels: input legal, output full",
        ]);
        assert_eq!(fact_in(&header, "look"), Some("Quayside / dusk"));
        assert_eq!(fingerprint_in(&header), Some("00ff"));
        let camera = camera_in(&header).expect("a camera");
        assert_eq!((camera.curve.encoding().id, camera.curve.exposure_index()), ("logc3", Some(800)));
        assert_eq!(camera.gamut.id, "awg3");
        let monitor = monitor_in(&header).expect("a monitor");
        assert_eq!((monitor.encoding.id(), monitor.gamut.id, monitor.peak_nits), ("pq", "bt2020", Some(1000.0)));
        assert_eq!(levels_in(&header), Some((Levels::Legal, Levels::Full)));
    }

    #[test]
    fn what_is_not_known_is_nothing() {
        for line in
            ["camera: logc3 / awg3", "camera: logc3 EI 801 / awg3", "camera: logc3 EI x / awg3", "camera: s-log3"]
        {
            assert!(camera_in(&comments(&[line])).is_none(), "{line}");
        }
        assert!(fingerprint_in(&comments(&["fingerprint:", "a fingerprint: 00"])).is_none());
        assert!(levels_in(&comments(&["levels: full"])).is_none());
        assert!(monitor_in(&comments(&["monitor: bt1886"])).is_none());
    }
}
