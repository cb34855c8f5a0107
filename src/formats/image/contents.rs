//! Which kind of file it is, by what stands in it.

use crate::diagnostics::{Diagnostic, codes};

/// A picture format that can be read and written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureFormat {
    /// Portable Network Graphics (ISO/IEC 15948): 8 or 16 bits, lossless.
    Png,
    /// JPEG (ISO/IEC 10918-1): 8 bits, lossy.
    Jpeg,
    /// Tag Image File Format (revision 6.0): 8 or 16 bits, or floats.
    Tiff,
    /// OpenEXR: floats.
    OpenExr,
}

/// What can be done with the pictures that can't be read.
pub(super) const CONVERT: &str = "export the frame as a 16-bit TIFF or PNG, or as OpenEXR, and use that";

/// Beginnings of the formats that are read: the published signatures of ISO/IEC 15948 section 5.2, ISO/IEC 10918-1
/// annex B (start of image, then any marker), TIFF 6.0 section 2, and the OpenEXR file layout.
const READABLE: &[(&[u8], PictureFormat)] = &[
    (b"\x89PNG\r\n\x1a\n", PictureFormat::Png),
    (b"\xff\xd8\xff", PictureFormat::Jpeg),
    (b"II*\0", PictureFormat::Tiff),
    (b"MM\0*", PictureFormat::Tiff),
    (b"II+\0", PictureFormat::Tiff),
    (b"MM\0+", PictureFormat::Tiff),
    (b"\x76\x2f\x31\x01", PictureFormat::OpenExr),
];

/// Beginnings of files that people may take for a readable picture: where, what, and what to call it.
const RECOGNISED: &[(usize, &[u8], &str)] = &[
    (0, b"SDPX", "a DPX frame"),
    (0, b"XPDS", "a DPX frame"),
    (0, b"\x80\x2a\x5f\xd7", "a Cineon frame"),
    (0, b"GIF8", "a GIF picture"),
    (8, b"WEBP", "a WebP picture"),
    (4, b"ftypavif", "an AVIF picture"),
    (4, b"ftyphei", "an HEIF picture"),
    (4, b"ftypmif1", "an HEIF picture"),
    (4, b"ftyp", "a movie, not a still picture"),
    (0, b"\x06\x0e\x2b\x34", "an MXF file, not a still picture"),
    (0, b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (0, b"#?RADIANCE", "an RGBE picture"),
    (0, b"BM", "a bitmap picture"),
    (0, b"%PDF", "a PDF document"),
    (0, b"PK\x03\x04", "a zip file"),
];

/// How many bytes of a file [`recognise`] needs to see.
pub(super) const BEGINNING_BYTES: usize = 64;

impl PictureFormat {
    /// Every format.
    pub const ALL: &[Self] = &[Self::Png, Self::Jpeg, Self::Tiff, Self::OpenExr];

    /// What people call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Tiff => "TIFF",
            Self::OpenExr => "OpenEXR",
        }
    }

    /// The extensions that stand for it, without a dot and in lower case; the usual one first.
    #[must_use]
    pub fn extensions(self) -> &'static [&'static str] {
        match self {
            Self::Png => &["png"],
            Self::Jpeg => &["jpg", "jpeg"],
            Self::Tiff => &["tif", "tiff"],
            Self::OpenExr => &["exr"],
        }
    }

    /// The format that an extension stands for, in any case.
    #[must_use]
    pub fn from_extension(extension: &str) -> Option<Self> {
        let lower = extension.to_lowercase();
        Self::ALL.iter().copied().find(|format| format.extensions().contains(&lower.as_str()))
    }
}

/// The format of a file, from its first [`BEGINNING_BYTES`] bytes, or what was found instead.
pub(super) fn recognise(name: &str, beginning: &[u8]) -> Result<PictureFormat, Diagnostic> {
    if let Some((_, format)) = READABLE.iter().find(|(signature, _)| beginning.starts_with(signature)) {
        return Ok(*format);
    }
    let message = format!("{name} is {}, not a picture that can be read", describe(beginning));
    Err(Diagnostic::error(&codes::PICTURE_UNKNOWN, message)
        .help("expected PNG, JPEG, TIFF or OpenEXR; what counts is what is in the file, not its name")
        .help(CONVERT))
}

fn describe(beginning: &[u8]) -> String {
    if beginning.is_empty() {
        return "empty".to_owned();
    }
    let stands_at = |(offset, bytes, _): &&(usize, &[u8], &str)| {
        beginning.get(*offset..).is_some_and(|rest| rest.starts_with(bytes))
    };
    if let Some((_, _, what)) = RECOGNISED.iter().find(stands_at) {
        return (*what).to_owned();
    }
    let printable = |byte: &u8| matches!(byte, b' '..=b'~' | b'\t' | b'\r' | b'\n');
    if beginning.iter().all(printable) {
        let text = String::from_utf8_lossy(beginning);
        let line: String = text.lines().next().unwrap_or_default().chars().take(24).collect();
        return format!("text that begins with “{line}”");
    }
    let hexadecimal: Vec<String> = beginning.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    format!("a file that begins with the bytes {}", hexadecimal.join(" "))
}
