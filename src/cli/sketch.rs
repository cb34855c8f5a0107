//! A curve drawn in characters: Braille cells of two by four dots, with axes that carry their units.

use std::fmt::Write as _;

/// Character cells across and down; a cell has two by four dots.
const COLUMNS: usize = 65;
const ROWS: usize = 16;

/// First character of the Braille patterns; the eight low bits are the dots.
const BLANK_CELL: u32 = 0x2800;

/// The bit of the dot in column 0 or 1 and row 0..3 of a cell (Unicode, Braille Patterns).
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// Rows of cells from one label of the upright axis to the next.
const ROWS_PER_LABEL: usize = 4;

/// Draws a curve of (stops, signal) points over their whole range of stops; signals are held to 0..1. The points run
/// from left to right.
pub fn curve(points: &[(f64, f64)]) -> String {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return String::new() };
    let cells = cells(points, first.0, last.0);
    let mut text = String::new();
    for (row, line) in cells.iter().enumerate() {
        let label = if row % ROWS_PER_LABEL == 0 {
            format!("{:>4} % ┤", 100 - 100 * row / ROWS)
        } else {
            "       │".to_owned()
        };
        let drawn: String = line.iter().filter_map(|bits| char::from_u32(BLANK_CELL + bits)).collect();
        let _ = writeln!(text, "  {label}{}", drawn.trim_end_matches('\u{2800}'));
    }
    text.push_str(&axis(first.0, last.0));
    text
}

fn cells(points: &[(f64, f64)], from: f64, to: f64) -> Vec<[u32; COLUMNS]> {
    let (width, height) = (2 * COLUMNS, 4 * ROWS);
    let mut cells = vec![[0; COLUMNS]; ROWS];
    let mut before: Option<usize> = None;
    for x in 0..width {
        let stops = from + (to - from) * x as f64 / (width - 1) as f64;
        let signal = between(points, stops).clamp(0.0, 1.0);
        // A signal that is not a number draws nothing.
        if signal.is_nan() {
            before = None;
            continue;
        }
        let y = ((1.0 - signal) * (height - 1) as f64).round() as usize;
        // A steep curve stays one line: the column is filled up to where the last one ended.
        let start = before.map_or(y, |before| if before > y { before - 1 } else { (before + 1).min(y) });
        for dot in start.min(y)..=start.max(y) {
            cells[dot / 4][x / 2] |= DOTS[x % 2][dot % 4];
        }
        before = Some(y);
    }
    cells
}

/// The signal at some stops, by a straight line between the two points around them.
fn between(points: &[(f64, f64)], stops: f64) -> f64 {
    let after = points.partition_point(|point| point.0 < stops);
    match (after.checked_sub(1).and_then(|index| points.get(index)), points.get(after)) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (stops - x0) / (x1 - x0),
        (None, Some((_, y))) | (Some((_, y)), None) => *y,
        (None, None) => f64::NAN,
    }
}

/// The lower axis with a mark every second stop.
fn axis(from: f64, to: f64) -> String {
    let mut line: Vec<char> = vec!['─'; COLUMNS];
    let mut labels: Vec<char> = vec![' '; COLUMNS + 2];
    let mut stops = from;
    while stops <= to {
        let column = ((COLUMNS - 1) as f64 * (stops - from) / (to - from)).round() as usize;
        line[column] = '┬';
        let label = if stops == 0.0 { "0".to_owned() } else { format!("{stops:+.0}") };
        let start = column.saturating_sub(label.chars().count() / 2);
        for (offset, character) in label.chars().enumerate() {
            if let Some(place) = labels.get_mut(start + offset) {
                *place = character;
            }
        }
        stops += 2.0;
    }
    let (line, labels): (String, String) = (line.into_iter().collect(), labels.into_iter().collect());
    format!("     0 % └{line}\n          {}  stops from grey\n", labels.trim_end())
}

#[cfg(test)]
mod tests {
    use super::{COLUMNS, curve};

    #[test]
    fn a_rising_line_goes_from_the_lower_left_to_the_upper_right() {
        let drawing = curve(&[(-8.0, 0.0), (8.0, 1.0)]);
        let lines: Vec<&str> = drawing.lines().collect();
        assert_eq!(lines.len(), 18, "{drawing}");
        assert!(lines[0].starts_with("   100 % ┤"), "{drawing}");
        assert_eq!(lines[0].chars().count(), 10 + COLUMNS, "the line ends at the right edge:\n{drawing}");
        let first_cell = |line: &str| line.chars().nth(10);
        assert_eq!(first_cell(lines[0]), Some('\u{2800}'), "nothing at the upper left:\n{drawing}");
        assert!(first_cell(lines[15]).is_some_and(|cell| cell > '\u{2800}'), "the lower left:\n{drawing}");
    }

    #[test]
    fn a_step_stays_one_line() {
        let drawing = curve(&[(-8.0, 0.0), (-0.01, 0.0), (0.01, 1.0), (8.0, 1.0)]);
        let middle = drawing.lines().nth(8).unwrap_or_default();
        assert!(middle.chars().skip(10).any(|cell| cell > '\u{2800}'), "{drawing}");
    }

    #[test]
    fn nothing_draws_nothing() {
        assert_eq!(curve(&[]), "");
        assert!(curve(&[(-1.0, f64::NAN), (1.0, f64::NAN)]).contains("stops"));
    }
}
