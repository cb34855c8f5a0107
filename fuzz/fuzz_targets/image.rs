//! Any bytes as a picture: a frame or errors, never a crash, and no more memory than the limits of the reader.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::image::{PictureFormat, WriteOptions, encode, read_bytes};

fuzz_target!(|bytes: &[u8]| {
    match read_bytes("fuzzed", bytes) {
        Ok(frame) => {
            // What was read can be written, but for floats outside 0..1; as TIFF it comes back as it was.
            if let Ok(file) = encode(PictureFormat::Tiff, &frame, &WriteOptions::default()) {
                let back = read_bytes("written", &file).expect("a written file can be read");
                assert_eq!((back.width(), back.height()), (frame.width(), frame.height()));
                assert_eq!(back.depth(), frame.depth());
            }
        }
        Err(diagnostics) => assert!(diagnostics.iter().any(|diagnostic| diagnostic.is_error())),
    }
});
