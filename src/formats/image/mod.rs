//! Still pictures in files: PNG, JPEG, TIFF and OpenEXR.
//!
//! A picture here is a signal or scene light as numbers: colour profiles, gamma and chromaticity notes in a file are
//! not applied, because log pictures carry none that mean anything and a look says what its input is.

mod contents;
mod exr_header;
mod markers;
mod read;
mod save;
mod write;

pub use contents::PictureFormat;
pub use read::{MAX_DECODED_BYTES_PER_FILE_BYTE, MAX_FRAME_BYTES, read, read_bytes};
pub use write::{WriteOptions, encode, write};
