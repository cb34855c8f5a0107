//! Reading a picture: by content, within limits, or a clear error.

use super::contents::{BEGINNING_BYTES, CONVERT, PictureFormat, recognise};
use super::declared::{Declared, Suspicion, suspicion};
use super::exr_header::{self, Fault, Header};
use super::gather::{Gathered, gather};
use super::markers::{jpeg_is_complete, png_beginning};
use super::notes::{Metadata, Warning};
use crate::diagnostics::{Diagnostic, codes};
use crate::picture::{Frame, MAX_PIXELS, MAX_SIDE, pixel_count};
use image::codecs::{jpeg::JpegDecoder, openexr::OpenExrDecoder, png::PngDecoder, tiff::TiffDecoder};
use image::{DynamicImage, ImageDecoder, ImageError, Limits};
use std::fs::File;
use std::io::{BufRead, BufReader, Cursor, ErrorKind, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// The most bytes that the samples of a picture may take once decoded: [`MAX_PIXELS`] of 16-bit RGB.
pub const MAX_FRAME_BYTES: u64 = MAX_PIXELS as u64 * 6;

/// A picture that claims more decoded bytes than this for each byte of its file can't be complete, or is made to
/// exhaust memory. Deflate, the strongest compression in use here, never gains more than 1032 to 1 (zlib's technical
/// notes), and a sample of one bit becomes eight.
pub const MAX_DECODED_BYTES_PER_FILE_BYTE: u64 = 1032 * 8;

/// Pictures up to this size are small enough to be tried whatever their file claims.
const ALWAYS_TRIED_BYTES: u64 = 4 << 20;

/// Memory for a decoder's own purposes, such as an embedded profile, beside what grows with the picture.
const WORKING_BYTES: u64 = 64 << 20;

/// The largest JPEG file, which its decoder holds in memory whole: more than the largest picture takes at the highest
/// quality.
const MAX_JPEG_FILE_BYTES: u64 = 1 << 30;

/// Reads a picture. The first one counts where a file holds several.
///
/// Grey becomes RGB, palettes and CMYK become RGB, alpha is kept, and an orientation in the file (TIFF or Exif) is
/// applied. 8-bit and 16-bit codes and floats come out as they are; fewer bits come out as 8, half floats as floats.
///
/// # Errors
/// One diagnostic: the file can't be read, is not a picture, is damaged or ends too early, is of an unsupported kind,
/// or is larger than a frame may be ([`MAX_SIDE`], [`MAX_PIXELS`], [`MAX_FRAME_BYTES`],
/// [`MAX_DECODED_BYTES_PER_FILE_BYTE`]).
pub fn read(path: &Path) -> Result<Frame, Vec<Diagnostic>> {
    let (name, mut reader, file_bytes) = open(path)?;
    decode(&name, &mut reader, file_bytes).map(|decoded| decoded.frame).map_err(|diagnostic| vec![diagnostic])
}

/// A picture with what its file says beside it.
#[derive(Clone, Debug)]
pub struct Still {
    /// The picture, as [`read`] gives it.
    pub frame: Frame,
    /// The format of the file.
    pub format: PictureFormat,
    /// What is kept for a picture that is made from this one.
    pub metadata: Metadata,
    /// What the file declares its numbers to mean. Nothing of it is applied.
    pub profile: Option<Declared>,
    /// What was left out, and whether there are more pictures in the file.
    pub warnings: Vec<Warning>,
}

impl Still {
    /// Why the picture is perhaps one for a display and not a camera's log signal, and how sure that is; `None` if nothing
    /// speaks for it. For a caller who was told that it is log.
    #[must_use]
    pub fn looks_finished(&self) -> Option<Suspicion> {
        suspicion(self.format, &self.metadata, self.profile.as_ref())
    }
}

/// Reads a picture as [`read`] does, and what its file says beside it.
///
/// What is taken is bounded: 1 MB an item, 4 MB in all, 200 texts. What is broken or larger is left out with a [`Warning`]; it never
/// makes a picture unreadable.
///
/// # Errors
/// As [`read`].
pub fn read_still(path: &Path) -> Result<Still, Vec<Diagnostic>> {
    let (name, reader, file_bytes) = open(path)?;
    still(&name, reader, file_bytes)
}

/// Reads a picture and what is said beside it from the bytes of a file, as [`read_still`] does.
///
/// # Errors
/// As [`read`].
pub fn read_still_bytes(name: &str, bytes: &[u8]) -> Result<Still, Vec<Diagnostic>> {
    still(name, Cursor::new(bytes), bytes.len() as u64)
}

fn still<R: BufRead + Seek>(name: &str, mut reader: R, file_bytes: u64) -> Result<Still, Vec<Diagnostic>> {
    let decoded = decode(name, &mut reader, file_bytes).map_err(|diagnostic| vec![diagnostic])?;
    let Gathered { metadata, declared, warnings, .. } =
        gather(decoded.format, &mut reader, file_bytes, decoded.exr.as_ref());
    Ok(Still { frame: decoded.frame, format: decoded.format, metadata, profile: declared, warnings })
}

/// A file that can be read, with its name for messages and its length.
type Open = (String, BufReader<File>, u64);

fn open(path: &Path) -> Result<Open, Vec<Diagnostic>> {
    let name = path.display().to_string();
    let unreadable = |why: String| {
        vec![Diagnostic::error(&codes::FILE_UNREADABLE, format!("{name} can't be read: {why}")).help("check the path")]
    };
    let metadata = std::fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if metadata.is_dir() {
        return Err(unreadable("it is a folder".to_owned()));
    }
    if !metadata.is_file() {
        return Err(unreadable("it is not an ordinary file".to_owned()));
    }
    let file = File::open(path).map_err(|error| unreadable(error.to_string()))?;
    Ok((name, BufReader::with_capacity(1 << 20, file), metadata.len()))
}

/// Reads a picture from the bytes of a file, as [`read`] does. `name` is what diagnostics call it.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(name: &str, bytes: &[u8]) -> Result<Frame, Vec<Diagnostic>> {
    let mut reader = Cursor::new(bytes);
    let decoded = decode(name, &mut reader, bytes.len() as u64);
    decoded.map(|decoded| decoded.frame).map_err(|diagnostic| vec![diagnostic])
}

/// A picture in a file, on its way in.
struct Incoming<'a> {
    name: &'a str,
    format: PictureFormat,
    file_bytes: u64,
}

/// A picture, with what was found out on the way.
struct Decoded {
    frame: Frame,
    format: PictureFormat,
    exr: Option<Header>,
}

fn decode<R: BufRead + Seek>(name: &str, reader: &mut R, file_bytes: u64) -> Result<Decoded, Diagnostic> {
    let mut beginning = Vec::new();
    let looked = reader.by_ref().take(BEGINNING_BYTES as u64).read_to_end(&mut beginning);
    let io_error = |error: std::io::Error| {
        Diagnostic::error(&codes::FILE_UNREADABLE, format!("{name} can't be read: {error}")).help("check the disk")
    };
    looked.map_err(io_error)?;
    let format = recognise(name, &beginning)?;
    let incoming = Incoming { name, format, file_bytes };
    let mut exr = None;
    match format {
        PictureFormat::Png => incoming.check_png(reader)?,
        PictureFormat::Jpeg => incoming.check_jpeg(reader)?,
        PictureFormat::OpenExr => exr = Some(incoming.check_exr(reader)?),
        PictureFormat::Tiff => {}
    }
    reader.seek(SeekFrom::Start(0)).map_err(io_error)?;
    // A decoder that fails an assertion of its own on a damaged file must not take the program with it.
    let frame = catch_unwind(AssertUnwindSafe(|| incoming.decode(reader)))
        .unwrap_or_else(|_| Err(incoming.damaged("its parts contradict each other")))?;
    Ok(Decoded { frame, format, exr })
}

impl Incoming<'_> {
    fn decode<R: BufRead + Seek>(&self, reader: R) -> Result<Frame, Diagnostic> {
        let opened = match self.format {
            PictureFormat::Png => {
                PngDecoder::with_limits(reader, limits(WORKING_BYTES)).map(|decoder| self.picture(decoder))
            }
            PictureFormat::Jpeg => JpegDecoder::new(reader).map(|decoder| self.picture(decoder)),
            PictureFormat::Tiff => TiffDecoder::new(reader).map(|decoder| self.picture(decoder)),
            PictureFormat::OpenExr => OpenExrDecoder::new(reader).map(|decoder| self.picture(decoder)),
        };
        opened.map_err(|error| self.refused(&error))?
    }

    fn picture(&self, mut decoder: impl ImageDecoder) -> Result<Frame, Diagnostic> {
        let (width, height) = decoder.dimensions();
        self.check_size(width, height, decoder.total_bytes())?;
        // Twice: the decoder may hold the picture once more than the result.
        let most = limits(2 * decoder.total_bytes() + WORKING_BYTES);
        decoder.set_limits(most).map_err(|error| self.refused(&error))?;
        let orientation = decoder.orientation().map_err(|error| self.refused(&error))?;
        let mut picture = DynamicImage::from_decoder(decoder).map_err(|error| self.refused(&error))?;
        picture.apply_orientation(orientation);
        self.frame(picture)
    }

    fn check_size(&self, width: u32, height: u32, bytes: u64) -> Result<(), Diagnostic> {
        let (name, format, file_bytes) = (self.name, self.format.name(), self.file_bytes);
        if width == 0 || height == 0 {
            return Err(self.damaged(&format!("it claims a size of {width} × {height} pixels")));
        }
        if pixel_count(width as usize, height as usize).is_none() || bytes > MAX_FRAME_BYTES {
            return Err(self.too_large(u64::from(width), u64::from(height)));
        }
        if bytes > ALWAYS_TRIED_BYTES && bytes / MAX_DECODED_BYTES_PER_FILE_BYTE > file_bytes {
            let message = format!("{name} claims {width} × {height} pixels in a {format} file of {file_bytes} bytes");
            return Err(Diagnostic::error(&codes::PICTURE_TOO_LARGE, message).help(
                "no real picture is that small on disk: the file is incomplete or its size is wrong; export it again",
            ));
        }
        Ok(())
    }

    fn frame(&self, picture: DynamicImage) -> Result<Frame, Diagnostic> {
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        let frame = match picture {
            DynamicImage::ImageLuma8(grey) => Frame::from_eight_bit(width, height, false, &rgb_from_grey(&grey)),
            DynamicImage::ImageLumaA8(grey) => Frame::from_eight_bit(width, height, true, &rgba_from_grey(&grey)),
            DynamicImage::ImageRgb8(rgb) => Frame::from_eight_bit(width, height, false, &rgb),
            DynamicImage::ImageRgba8(rgba) => Frame::from_eight_bit(width, height, true, &rgba),
            DynamicImage::ImageLuma16(grey) => Frame::from_sixteen_bit(width, height, false, rgb_from_grey(&grey)),
            DynamicImage::ImageLumaA16(grey) => Frame::from_sixteen_bit(width, height, true, rgba_from_grey(&grey)),
            DynamicImage::ImageRgb16(rgb) => Frame::from_sixteen_bit(width, height, false, rgb.into_raw()),
            DynamicImage::ImageRgba16(rgba) => Frame::from_sixteen_bit(width, height, true, rgba.into_raw()),
            DynamicImage::ImageRgb32F(rgb) => Frame::from_floats(width, height, false, rgb.into_raw()),
            DynamicImage::ImageRgba32F(rgba) => Frame::from_floats(width, height, true, rgba.into_raw()),
            _ => return Err(self.unsupported("its samples are of a kind that is not known here")),
        };
        frame.ok_or_else(|| self.damaged("its size and its samples contradict each other"))
    }

    /// A JPEG that ends before its end-of-image marker is refused here: its decoder would fill what is missing with
    /// grey.
    fn check_jpeg<R: BufRead + Seek>(&self, reader: &mut R) -> Result<(), Diagnostic> {
        if self.file_bytes > MAX_JPEG_FILE_BYTES {
            let message = format!("{} is a JPEG file of {} MB", self.name, self.file_bytes / 1_000_000);
            return Err(Diagnostic::error(&codes::PICTURE_TOO_LARGE, message)
                .help(format!("the most is {} MB", MAX_JPEG_FILE_BYTES / 1_000_000)));
        }
        let complete = reader.seek(SeekFrom::Start(2)).and_then(|_| jpeg_is_complete(reader));
        match complete {
            Ok(true) => Ok(()),
            Ok(false) => Err(self.ends_early()),
            Err(error) => Err(self.refused(&ImageError::IoError(error))),
        }
    }

    fn check_png<R: BufRead + Seek>(&self, reader: &mut R) -> Result<(), Diagnostic> {
        let io_error = |error| self.refused(&ImageError::IoError(error));
        reader.seek(SeekFrom::Start(8)).map_err(io_error)?;
        let found = png_beginning(reader).map_err(io_error)?;
        let [width, height] = found.sides;
        if width as usize > MAX_SIDE || height as usize > MAX_SIDE {
            return Err(self.too_large(u64::from(width), u64::from(height)));
        }
        found.palette_bytes.filter(|bytes| bytes % 3 != 0).map_or(Ok(()), |bytes| {
            Err(self.damaged(&format!("its palette has {bytes} bytes, which is no whole number of colours")))
        })
    }

    fn check_exr<R: BufRead + Seek>(&self, reader: &mut R) -> Result<Header, Diagnostic> {
        reader.seek(SeekFrom::Start(0)).map_err(|error| self.refused(&ImageError::IoError(error)))?;
        exr_header::check(reader).map_err(|fault| match fault {
            Fault::Damaged(why) => self.damaged(&why),
            Fault::Unsupported(why) => self.unsupported(&why),
            Fault::TooLarge(width, height) => self.too_large(width, height),
        })
    }

    fn too_large(&self, width: u64, height: u64) -> Diagnostic {
        let message = format!("{} claims {width} × {height} pixels", self.name);
        Diagnostic::error(&codes::PICTURE_TOO_LARGE, message)
            .help(format!(
                "the most is {MAX_SIDE} pixels a side, {} megapixels and {} MB decoded",
                MAX_PIXELS / 1_000_000,
                MAX_FRAME_BYTES / 1_000_000
            ))
            .help("scale or crop the picture, or export it again if the size is wrong")
    }

    fn refused(&self, error: &ImageError) -> Diagnostic {
        match error {
            ImageError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => self.ends_early(),
            // Decoders report some faults of the data as faults of reading.
            ImageError::IoError(error)
                if matches!(error.kind(), ErrorKind::InvalidData | ErrorKind::InvalidInput | ErrorKind::Other) =>
            {
                self.damaged(&error.to_string())
            }
            ImageError::IoError(error) => {
                Diagnostic::error(&codes::FILE_UNREADABLE, format!("{} can't be read: {error}", self.name))
                    .help("check the disk")
            }
            ImageError::Limits(_) => {
                let message = format!("{} needs more memory than a picture of its size should", self.name);
                Diagnostic::error(&codes::PICTURE_TOO_LARGE, message)
                    .help("export it again, without compression if possible")
            }
            ImageError::Unsupported(error) => self.unsupported(&error.to_string()),
            error => self.damaged(&error.to_string()),
        }
    }

    fn ends_early(&self) -> Diagnostic {
        self.damaged(&format!("it ends after {} bytes, before the picture is complete", self.file_bytes))
    }

    fn damaged(&self, why: &str) -> Diagnostic {
        let message = format!("{} is a damaged {} picture: {}", self.name, self.format.name(), one_line(why));
        Diagnostic::error(&codes::PICTURE_DAMAGED, message).help("copy it again from where it came, or export it again")
    }

    fn unsupported(&self, why: &str) -> Diagnostic {
        let message = format!(
            "{} is a {} picture of a kind that can't be read: {}",
            self.name,
            self.format.name(),
            one_line(why)
        );
        Diagnostic::error(&codes::PICTURE_UNSUPPORTED, message).help(CONVERT)
    }
}

/// Limits of a decoder's memory; the size of the picture is checked apart, with a better message.
fn limits(bytes: u64) -> Limits {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(bytes);
    limits
}

fn rgb_from_grey<T: Copy>(grey: &[T]) -> Vec<T> {
    grey.iter().flat_map(|&value| [value; 3]).collect()
}

fn rgba_from_grey<T: Copy>(grey_alpha: &[T]) -> Vec<T> {
    let (pixels, _) = grey_alpha.as_chunks::<2>();
    pixels.iter().flat_map(|&[value, alpha]| [value, value, value, alpha]).collect()
}

/// Words of a decoder, fit to stand in a sentence.
fn one_line(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").trim_end_matches('.').to_owned()
}
