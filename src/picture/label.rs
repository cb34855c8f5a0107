//! Small labels for test frames: digits, signs and the letters that the fields need, five pixels by seven.

/// Pixels of a character across and down, before scaling.
pub(super) const GLYPH_WIDTH: usize = 5;
pub(super) const GLYPH_HEIGHT: usize = 7;

/// From one character to the next.
const ADVANCE: usize = GLYPH_WIDTH + 1;

/// The width of a text at a scale of 1.
pub(super) fn text_width(text: &str) -> usize {
    (text.chars().count() * ADVANCE).saturating_sub(1)
}

/// Calls `dot` with the column and row of every pixel that is set, at a scale of 1. Unknown characters are blank.
pub(super) fn draw_text(text: &str, mut dot: impl FnMut(usize, usize)) {
    for (place, character) in text.chars().enumerate() {
        for (row, bits) in glyph(character).iter().enumerate() {
            for column in (0..GLYPH_WIDTH).filter(|column| bits >> (GLYPH_WIDTH - 1 - column) & 1 == 1) {
                dot(place * ADVANCE + column, row);
            }
        }
    }
}

/// Rows from the top; the highest of five bits is the left pixel.
#[rustfmt::skip]
fn glyph(character: char) -> [u8; GLYPH_HEIGHT] {
    match character {
        '0' => [0b01110, 0b10001, 0b10011, 0b10101, 0b11001, 0b10001, 0b01110],
        '1' => [0b00100, 0b01100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110],
        '2' => [0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111],
        '3' => [0b11110, 0b00001, 0b00001, 0b01110, 0b00001, 0b00001, 0b11110],
        '4' => [0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010],
        '5' => [0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110],
        '6' => [0b00110, 0b01000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110],
        '7' => [0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b01000, 0b01000],
        '8' => [0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110],
        '9' => [0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00010, 0b01100],
        '+' => [0b00000, 0b00100, 0b00100, 0b11111, 0b00100, 0b00100, 0b00000],
        '-' => [0b00000, 0b00000, 0b00000, 0b11111, 0b00000, 0b00000, 0b00000],
        '.' => [0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b01100, 0b01100],
        '%' => [0b11001, 0b11001, 0b00010, 0b00100, 0b01000, 0b10011, 0b10011],
        'R' => [0b11110, 0b10001, 0b10001, 0b11110, 0b10100, 0b10010, 0b10001],
        'Y' => [0b10001, 0b10001, 0b01010, 0b00100, 0b00100, 0b00100, 0b00100],
        'G' => [0b01110, 0b10001, 0b10000, 0b10111, 0b10001, 0b10001, 0b01111],
        'C' => [0b01110, 0b10001, 0b10000, 0b10000, 0b10000, 0b10001, 0b01110],
        'B' => [0b11110, 0b10001, 0b10001, 0b11110, 0b10001, 0b10001, 0b11110],
        'M' => [0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001],
        'N' => [0b10001, 0b11001, 0b10101, 0b10011, 0b10001, 0b10001, 0b10001],
        _ => [0; GLYPH_HEIGHT],
    }
}
