//! Writing a picture, by the extension of its name.

use super::contents::PictureFormat;
use super::save::save_bytes;
use crate::diagnostics::{Diagnostic, codes};
use crate::picture::{Frame, SampleDepth, Samples};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::codecs::{jpeg::JpegEncoder, openexr::OpenExrEncoder, tiff::TiffEncoder};
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
}

impl Default for WriteOptions {
    fn default() -> Self {
        Self { depth: None, jpeg_quality: JPEG_QUALITY }
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
    let extension = path.extension().map(|extension| extension.to_string_lossy().into_owned()).unwrap_or_default();
    let Some(format) = PictureFormat::from_extension(&extension) else {
        let message = format!("{} doesn't end in the name of a picture format", path.display());
        let known: Vec<String> =
            PictureFormat::ALL.iter().flat_map(|format| format.extensions()).map(|name| format!(".{name}")).collect();
        return Err(vec![
            Diagnostic::error(&codes::PICTURE_UNWRITABLE, message).help(format!("use one of {}", known.join(", "))),
        ]);
    };
    let bytes = encode(format, frame, options)?;
    save_bytes(path, &bytes)
}

/// The bytes of the file that [`write()`] would write in this format.
///
/// # Errors
/// As [`write()`], but for those of the disk.
pub fn encode(format: PictureFormat, frame: &Frame, options: &WriteOptions) -> Result<Vec<u8>, Vec<Diagnostic>> {
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
    let mut file = Cursor::new(Vec::new());
    let written = match format {
        // The faster setting costs a tenth of the time of the default for about the same size on pictures with grain.
        PictureFormat::Png => encode_with(
            PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Adaptive),
            frame,
            depth,
        ),
        PictureFormat::Tiff => encode_with(TiffEncoder::new(&mut file), frame, depth),
        PictureFormat::OpenExr => encode_with(OpenExrEncoder::new(&mut file), frame, depth),
        PictureFormat::Jpeg => encode_jpeg(&mut file, frame, options.jpeg_quality),
    };
    match written {
        Ok(()) => Ok(file.into_inner()),
        Err(error) => refuse(
            format!("the picture can't be written as {}: {error}", format.name()),
            "try another format or a smaller picture",
        ),
    }
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

fn encode_with(encoder: impl ImageEncoder, frame: &Frame, depth: SampleDepth) -> ImageResult<()> {
    match (depth, frame.samples()) {
        (SampleDepth::Eight, _) => encode_samples(encoder, frame, &frame.to_eight_bit_codes()),
        (SampleDepth::Sixteen, Samples::Codes(codes)) => encode_samples(encoder, frame, codes),
        (SampleDepth::Float, Samples::Floats(values)) => encode_samples(encoder, frame, values),
        (SampleDepth::Sixteen | SampleDepth::Float, _) => encode_with(encoder, &frame.to_depth(depth).frame, depth),
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

fn encode_jpeg(file: impl Write, frame: &Frame, quality: u8) -> ImageResult<()> {
    let codes = frame.to_eight_bit_codes();
    let encoder = JpegEncoder::new_with_quality(file, quality.clamp(1, 100));
    let rgb: Vec<u8> = match frame.has_alpha() {
        true => codes.as_chunks::<4>().0.iter().flat_map(|&[r, g, b, _]| [r, g, b]).collect(),
        false => codes,
    };
    encode_pixels::<Rgb<u8>>(encoder, frame, &rgb)
}
