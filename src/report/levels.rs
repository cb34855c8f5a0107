//! What levels mean at the two ends of a LUT, in words.

/// At the input of the LUT, for levels by their id.
pub(super) fn input_means(levels: &str) -> &'static str {
    match levels {
        "legal" => "codes 64 to 940 of 1023 become 0 to 1 before the LUT",
        _ => "codes 0 to 1023 go to the LUT as they are",
    }
}

/// At its output.
pub(super) fn output_means(levels: &str) -> &'static str {
    match levels {
        "legal" => "black leaves the LUT at code 64, white at code 940 of 1023",
        _ => "black leaves the LUT at code 0, white at code 1023",
    }
}
