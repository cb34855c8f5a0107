//! Still pictures in files: PNG, JPEG, TIFF and OpenEXR.
//!
//! A picture here is a signal or scene light as numbers: colour profiles, gamma and chromaticity notes in a file are
//! not applied, because log pictures carry none that mean anything and a look says what its input is. [`read_still`] tells what a file
//! declares and says beside its picture, [`write_still`] puts a profile and notes into one.

mod contents;
mod declared;
mod directories;
mod exr_header;
mod gather;
mod gather_jpeg;
mod gather_png;
mod markers;
mod notes;
mod put;
mod put_exr;
mod put_tiff;
mod read;
mod save;
mod write;

pub use contents::PictureFormat;
pub use declared::{Declared, DeclaredBy, Sureness, Suspicion};
pub use directories::Exif;
pub use notes::{MAX_DESCRIPTION, Metadata, Notes, Per, Resolution, Text, Warning};
pub use read::{
    MAX_DECODED_BYTES_PER_FILE_BYTE, MAX_FRAME_BYTES, Still, read, read_bytes, read_still, read_still_bytes,
};
pub use write::{Encoded, WriteOptions, encode, encode_still, write, write_still};
