//! Writing a picture, by the extension of its name.

use super::contents::PictureFormat;
use super::notes::{Notes, Warning};
use super::put::{self, Put};
use super::save::save_bytes;
use super::{put_exr, put_tiff};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::icc::Profile;
use crate::picture::{Frame, SampleDepth, Samples};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{
    EncodableLayout, ImageBuffer, ImageEncoder, ImageError, ImageResult, Pixel, PixelWithColorType, Rgb, Rgba,
};
use std::io::{Cursor, Write};
use std::path::Path;

/// The quality of JPEG pictures unless another is asked for: contact sheets without visible blocks (common practice,
/// no source).
const JPEG_QUALITY: u8 = 92;

/// How a picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WriteOptions {
    /// The depth of the file. `None`: the frame's own, or the nearest that the format has.
    pub depth: Option<SampleDepth>,
    /// Quality of a JPEG, 1..100; what lies outside is clamped.
    pub jpeg_quality: u8,
    /// The display that the samples are the signal of: an ICC profile in PNG, JPEG and TIFF, chromaticities in OpenEXR. It changes
    /// no sample. `None`: nothing is declared.
    pub profile: Option<Profile>,
}

impl Default for WriteOptions {
    fn default() -> Self {
        Self { depth: None, jpeg_quality: JPEG_QUALITY, profile: None }
    }
}

/// Writes a frame in the format that the extension of `path` names, whole or not at all. Samples are rounded to the
/// nearest code of the file; nothing is clipped on the way.
///
/// | format | depths |
/// |---|---|
/// | `.png` | 8, 16 |
/// | `.tif`, `.tiff` | 8, 16, float |
/// | `.jpg`, `.jpeg` | 8; no alpha |
/// | `.exr` | float |
///
/// # Errors
/// The extension is unknown, the format doesn't have the depth that was asked for or can't hold the alpha, floats lie
/// outside the codes of the file (clamp them with [`Frame::to_depth`], which counts them), or the file can't be
/// written.
pub fn write(path: &Path, frame: &Frame, options: &WriteOptions) -> Result<(), Vec<Diagnostic>> {
    write_still(path, frame, options, &Notes::default()).map(drop)
}

/// Writes a frame as [`write()`] does, with what stands beside it. The warnings say what the format can't hold of it.
///
/// | | PNG | JPEG | TIFF | OpenEXR |
/// |---|---|---|---|---|
/// | Exif, XMP, resolution | yes | yes, up to 64 kB each | yes | no |
/// | texts | yes | comments, 64 kB each | tag 270, ASCII | `comments`, ASCII |
/// | comments | as texts | yes | tag 270, ASCII | `comments`, ASCII |
/// | description | text `Description` | comment | tag 270, behind what stood there | `comments` |
/// | name of this program, with a description | text `Software` | no | tag 305 | `software` |
///
/// A text that is no comment or description stands elsewhere behind its keyword: `Title: Dusk`. What stands there already is not said again.
///
/// The frame counts as upright, so that an orientation becomes 1; sizes and colour space in Exif become those of the new
/// picture. The same input gives the same bytes.
///
/// # Errors
/// As [`write()`].
pub fn write_still(
    path: &Path,
    frame: &Frame,
    options: &WriteOptions,
    notes: &Notes,
) -> Result<Vec<Warning>, Vec<Diagnostic>> {
    let extension = path.extension().map(|extension| extension.to_string_lossy().into_owned()).unwrap_or_default();
    let Some(format) = PictureFormat::from_extension(&extension) else {
        let message = format!("{} doesn't end in the name of a picture format", path.display());
        let known: Vec<String> =
            PictureFormat::ALL.iter().flat_map(|format| format.extensions()).map(|name| format!(".{name}")).collect();
        return Err(vec![
            Diagnostic::error(&codes::PICTURE_UNWRITABLE, message).help(format!("use one of {}", known.join(", "))),
        ]);
    };
    let encoded = encode_still(format, frame, options, notes)?;
    save_bytes(path, &encoded.bytes)?;
    Ok(encoded.warnings)
}

/// The bytes of a file, and what it could not hold beside the picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Encoded {
    /// The file.
    pub bytes: Vec<u8>,
    /// What was left out.
    pub warnings: Vec<Warning>,
}

/// The bytes of the file that [`write()`] would write in this format.
///
/// # Errors
/// As [`write()`], but for those of the disk.
pub fn encode(format: PictureFormat, frame: &Frame, options: &WriteOptions) -> Result<Vec<u8>, Vec<Diagnostic>> {
    encode_still(format, frame, options, &Notes::default()).map(|encoded| encoded.bytes)
}

/// The bytes of the file that [`write_still`] would write in this format.
///
/// # Errors
/// As [`write_still`], but for those of the disk.
pub fn encode_still(
    format: PictureFormat,
    frame: &Frame,
    options: &WriteOptions,
    notes: &Notes,
) -> Result<Encoded, Vec<Diagnostic>> {
    let refuse =
        |message: String, help: &str| Err(vec![Diagnostic::error(&codes::PICTURE_UNWRITABLE, message).help(help)]);
    let Some(depth) = file_depth(format, frame.depth(), options.depth) else {
        let wanted = options.depth.unwrap_or(frame.depth()).name();
        return refuse(
            format!("{} has no {wanted} samples", format.name()),
            "TIFF has all depths, PNG 8 and 16 bits, JPEG 8, OpenEXR floats",
        );
    };
    if depth != SampleDepth::Float && frame.samples_outside_codes() > 0 {
        let outside = frame.samples_outside_codes();
        return refuse(
            format!(
                "{outside} samples are outside 0..1 and can't be written to a {} {} file",
                depth.name(),
                format.name()
            ),
            "write an .exr or a float .tif, or clamp the picture first",
        );
    }
    if format == PictureFormat::Jpeg && !frame.is_opaque() {
        return refuse("JPEG can't hold the picture's alpha".to_owned(), "write a .png or a .tif");
    }
    let mut put = Put::new(notes, options.profile, [frame.width(), frame.height()]);
    match encode_picture(format, frame, depth, options, &mut put) {
        Ok(bytes) => Ok(Encoded { bytes, warnings: put.warnings }),
        Err(why) => refuse(
            format!("the picture can't be written as {}: {why}", format.name()),
            "try another format or a smaller picture",
        ),
    }
}

/// The whole file, or why it can't be written.
fn encode_picture(
    format: PictureFormat,
    frame: &Frame,
    depth: SampleDepth,
    options: &WriteOptions,
    put: &mut Put,
) -> Result<Vec<u8>, String> {
    let mut file = Cursor::new(Vec::new());
    match format {
        // The faster setting costs a tenth of the time of the default for about the same size on pictures with grain.
        PictureFormat::Png => {
            let encoder = PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Adaptive);
            encode_png(encoder, frame, depth).map_err(|error| error.to_string())?;
            put::insert(file.get_mut(), put::PNG_PLACE, put::png_chunks(put));
        }
        PictureFormat::Jpeg => {
            let quality = options.jpeg_quality.clamp(1, 100);
            let mut encoder = JpegEncoder::new_with_quality(&mut file, quality);
            encoder.set_pixel_density(put::jpeg_density(put.metadata.resolution));
            encode_jpeg(encoder, frame).map_err(|error| error.to_string())?;
            let place = put::jpeg_place(file.get_ref());
            put::insert(file.get_mut(), place, put::jpeg_segments(put));
        }
        PictureFormat::Tiff => put_tiff::write(&mut file, frame, depth, put).map_err(|error| error.to_string())?,
        PictureFormat::OpenExr => put_exr::write(&mut file, frame, put).map_err(|error| error.to_string())?,
    }
    Ok(file.into_inner())
}

/// The depth of the file, or `None` if the format doesn't have the one that was asked for.
fn file_depth(format: PictureFormat, own: SampleDepth, wanted: Option<SampleDepth>) -> Option<SampleDepth> {
    use SampleDepth::{Eight, Float, Sixteen};
    let (depths, otherwise): (&[SampleDepth], SampleDepth) = match format {
        PictureFormat::Png => (&[Eight, Sixteen], Sixteen),
        PictureFormat::Tiff => (&[Eight, Sixteen, Float], Sixteen),
        PictureFormat::Jpeg => (&[Eight], Eight),
        PictureFormat::OpenExr => (&[Float], Float),
    };
    match wanted {
        Some(depth) => depths.contains(&depth).then_some(depth),
        None => Some(if depths.contains(&own) { own } else { otherwise }),
    }
}

fn encode_png(encoder: impl ImageEncoder, frame: &Frame, depth: SampleDepth) -> ImageResult<()> {
    match (depth, frame.samples()) {
        (SampleDepth::Eight, _) => encode_samples(encoder, frame, &frame.to_eight_bit_codes()),
        (_, Samples::Codes(codes)) => encode_samples(encoder, frame, codes),
        (_, Samples::Floats(_)) => encode_png(encoder, &frame.to_depth(SampleDepth::Sixteen).frame, depth),
    }
}

fn encode_samples<T>(encoder: impl ImageEncoder, frame: &Frame, samples: &[T]) -> ImageResult<()>
where
    T: image::Primitive,
    Rgb<T>: PixelWithColorType + Pixel<Subpixel = T>,
    Rgba<T>: PixelWithColorType + Pixel<Subpixel = T>,
    [T]: EncodableLayout,
{
    if frame.has_alpha() {
        encode_pixels::<Rgba<T>>(encoder, frame, samples)
    } else {
        encode_pixels::<Rgb<T>>(encoder, frame, samples)
    }
}

fn encode_pixels<P>(encoder: impl ImageEncoder, frame: &Frame, samples: &[P::Subpixel]) -> ImageResult<()>
where
    P: PixelWithColorType,
    [P::Subpixel]: EncodableLayout,
{
    // A frame's sides are below 2^32 and its samples are complete, so that the buffer always exists.
    ImageBuffer::<P, _>::from_raw(frame.width() as u32, frame.height() as u32, samples)
        .ok_or_else(|| ImageError::IoError(std::io::ErrorKind::InvalidInput.into()))?
        .write_with_encoder(encoder)
}

fn encode_jpeg(encoder: JpegEncoder<impl Write>, frame: &Frame) -> ImageResult<()> {
    let codes = frame.to_eight_bit_codes();
    let rgb: Vec<u8> = match frame.has_alpha() {
        true => codes.as_chunks::<4>().0.iter().flat_map(|&[r, g, b, _]| [r, g, b]).collect(),
        false => codes,
    };
    encode_pixels::<Rgb<u8>>(encoder, frame, &rgb)
}
