//! Curves drawn in characters: Braille cells of two by four dots, or ASCII where the locale has no Braille, with axes that carry their
//! units.

use super::console::Console;
use lookwright::verify::CurvePoint;
use std::fmt::Write as _;

/// Columns of the terminal where nothing says it, and the most that a drawing takes.
const USUAL_COLUMNS: usize = 80;

/// Wider terminals are taken for this wide.
const MOST_COLUMNS: usize = 1000;

/// Cells of a curve across, at least and at most.
const CELLS: [usize; 2] = [24, 65];

/// Columns of the upright axis and its labels.
const AXIS: usize = 10;

/// Columns right of the curve: the lower axis's words reach there.
const RIGHT: usize = 5;

/// First character of the Braille patterns; the eight low bits are the dots.
const BLANK_CELL: u32 = 0x2800;

/// The bit of the dot in column 0 or 1 and row 0..3 of a cell (Unicode, Braille Patterns).
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// Rows of cells from one label of the upright axis to the next.
const ROWS_PER_LABEL: usize = 4;

/// Where scales around zero end at the least: a ten-thousandth.
const SMALLEST_END: f64 = 1e-4;

/// A cast that is drawn: a mired, half a thousandth of Duv. Less nobody sees side by side (common practice, no source).
const DRAWN_MIRED: f64 = 1.0;
const DRAWN_DUV: f64 = 5e-4;

/// Channels that part by this much of the signal are drawn apart: a dot's height.
const PARTED: f64 = 1.0 / 64.0;

/// Letters of two curves stand this many cells apart, at least.
const LETTERS_APART: usize = 3;

/// What a terminal can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Whether its characters are Unicode's.
    pub unicode: bool,
    /// Whether it takes colour.
    pub colour: bool,
    /// Columns across.
    pub columns: usize,
}

impl Paper {
    /// The terminal at hand.
    pub fn new(console: &Console) -> Self {
        let variable = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(variable);
        let told = variable("COLUMNS").and_then(|columns| columns.parse().ok()).filter(|columns| *columns > 0);
        let columns = told.or_else(|| terminal_size::terminal_size().map(|(width, _)| usize::from(width.0)));
        Self {
            unicode: locale.is_none_or(|locale| is_unicode(&locale)),
            colour: console.takes_colour(),
            columns: columns.unwrap_or(USUAL_COLUMNS).min(MOST_COLUMNS),
        }
    }

    fn cells(self) -> usize {
        self.columns.saturating_sub(AXIS + RIGHT).clamp(CELLS[0], CELLS[1])
    }

    /// Unicode characters of a frame, or what stands for them.
    fn frame(self) -> [char; 5] {
        if self.unicode { ['┤', '│', '└', '─', '┬'] } else { ['+', '|', '+', '-', '+'] }
    }
}

/// Whether a locale's characters are Unicode's. `C` and `POSIX` are ASCII; a name without a character set is taken for UTF-8, which
/// is what systems have now (common practice, no source).
fn is_unicode(locale: &str) -> bool {
    let name = locale.split('@').next().unwrap_or_default();
    match name.split_once('.') {
        Some((_, set)) => ["utf-8", "utf8"].iter().any(|known| set.eq_ignore_ascii_case(known)),
        None => !matches!(name, "C" | "POSIX"),
    }
}

/// A curve of a drawing.
#[derive(Clone, Debug)]
pub struct Curve<'a> {
    /// Its letter, where there are several.
    pub letter: char,
    /// Its colour, as the number of an ANSI colour.
    pub colour: u8,
    /// (Stops, value), from left to right. A value that is not a number draws nothing.
    pub points: &'a [(f64, f64)],
}

/// A value of the upright axis in words, at most eight characters.
type Label = fn(f64) -> String;

/// What the upright axis says.
#[derive(Clone, Debug)]
pub struct Scale {
    /// Values at the lower and the upper end; what lies outside is held to them.
    pub ends: [f64; 2],
    /// Rows of cells, a multiple of four.
    pub rows: usize,
    /// Its values in words.
    pub label: Label,
}

impl Scale {
    /// Signals of 0..1.
    pub const SIGNAL: Self = Self { ends: [0.0, 1.0], rows: 16, label: |value| format!("{:.0} %", 100.0 * value) };

    /// The smallest scale around zero that ends in 1, 2 or 5 times a power of ten and holds all values; half as high as that of signals.
    pub fn around_zero(points: &[(f64, f64)], label: Label) -> Self {
        let values = || points.iter().map(|point| point.1).filter(|value| value.is_finite());
        let (low, high) = (values().fold(0.0, f64::min), values().fold(0.0, f64::max));
        let most = high.max(-low);
        let mut end = SMALLEST_END;
        for factor in [2.0, 2.5, 2.0].into_iter().cycle() {
            if end >= most {
                break;
            }
            end *= factor;
        }
        let ends = [if low < -0.05 * end { -end } else { 0.0 }, if high > 0.05 * end { end } else { 0.0 }];
        Self { ends, rows: 8, label }
    }
}

/// Draws curves over their whole range of stops.
pub fn plot(paper: Paper, scale: &Scale, curves: &[Curve<'_>]) -> String {
    let Some((from, to)) = curves.iter().find_map(|curve| Some((curve.points.first()?.0, curve.points.last()?.0)))
    else {
        return String::new();
    };
    let cells =
        if paper.unicode { braille(paper, scale, curves, [from, to]) } else { ascii(paper, scale, curves, [from, to]) };
    let [tick, line, ..] = paper.frame();
    let mut text = String::new();
    for (row, cells) in cells.iter().enumerate() {
        let value = scale.ends[1] + (scale.ends[0] - scale.ends[1]) * row as f64 / scale.rows as f64;
        let (label, line) =
            if row % ROWS_PER_LABEL == 0 { ((scale.label)(value), tick) } else { (String::new(), line) };
        let _ = writeln!(text, "{label:>8} {line}{}", drawn(paper, cells));
    }
    text.push_str(&axis(paper, scale, [from, to]));
    text
}

/// The signal of a grey scale: one curve, or its three channels where they part. Under a line that says what it is.
pub fn greys(paper: Paper, greys: &[CurvePoint]) -> String {
    let spread = |point: &CurvePoint| {
        let [r, g, b] = point.signal;
        r.max(g).max(b) - r.min(g).min(b)
    };
    if greys.iter().all(|point| spread(point) < PARTED) {
        let points = points(greys, |point| Some(point.neutral_signal));
        return format!("  display signal of a grey\n{}", plot(paper, &Scale::SIGNAL, &[one(&points)]));
    }
    let channels = [0, 1, 2].map(|channel| points(greys, |point| Some(point.signal[channel])));
    let curves: Vec<Curve<'_>> = [('R', 91), ('G', 92), ('B', 94)]
        .into_iter()
        .zip(&channels)
        .map(|((letter, colour), points)| Curve { letter, colour, points })
        .collect();
    format!("  display signal of a grey: red, green, blue\n{}", plot(paper, &Scale::SIGNAL, &curves))
}

/// The cast along a grey scale: what of it there is to be seen, warmer and greener apart. Empty where there is none.
pub fn casts(paper: Paper, greys: &[CurvePoint]) -> String {
    let draw = |what: &str, least: f64, points: Points, label: Label| {
        if !points.iter().any(|point| point.1.abs() >= least) {
            return String::new();
        }
        let drawing = plot(paper, &Scale::around_zero(&points, label), &[one(&points)]);
        format!("\n  cast of a grey: {what}\n{drawing}")
    };
    let mired = points(greys, |point| point.warmer_mired);
    let duv = points(greys, |point| point.greener_duv);
    let warmer = draw("warmer (+) or cooler (-) than display white, mired", DRAWN_MIRED, mired, |value| {
        if value.fract() == 0.0 { signed(value) } else { format!("{value:+.1}") }
    });
    let greener = draw("greener (+) or more magenta (-), Duv", DRAWN_DUV, duv, |value| {
        if value == 0.0 { signed(value) } else { format!("{value:+.4}") }
    });
    warmer + &greener
}

/// A whole number with its sign.
fn signed(value: f64) -> String {
    if value == 0.0 { "0".to_owned() } else { format!("{value:+.0}") }
}

/// (Stops, value).
type Points = Vec<(f64, f64)>;

fn points(greys: &[CurvePoint], value: impl Fn(&CurvePoint) -> Option<f64>) -> Points {
    greys.iter().map(|point| (point.stops, value(point).unwrap_or(f64::NAN))).collect()
}

/// A curve that is alone.
fn one(points: &[(f64, f64)]) -> Curve<'_> {
    Curve { letter: '*', colour: 0, points }
}

/// The signals of two looks.
pub fn two(paper: Paper, a: &[CurvePoint], b: &[CurvePoint]) -> String {
    let [a, b] = [a, b].map(|greys| points(greys, |point| Some(point.neutral_signal)));
    let curves = [Curve { letter: 'A', colour: 96, points: &a }, Curve { letter: 'B', colour: 93, points: &b }];
    plot(paper, &Scale::SIGNAL, &curves)
}

/// A cell of a drawing: its character, and the colour of the one curve that is in it.
type Cell = (char, Option<u8>);

const BLANK: Cell = (' ', None);

/// A row of cells, without the blanks at its end.
fn drawn(paper: Paper, cells: &[Cell]) -> String {
    let end = cells.iter().rposition(|cell| *cell != BLANK).map_or(0, |last| last + 1);
    let mut text = String::new();
    for same in cells[..end].chunk_by(|a, b| a.1 == b.1) {
        let characters: String = same.iter().map(|cell| cell.0).collect();
        match same[0].1.filter(|_| paper.colour) {
            Some(colour) => text.push_str(&format!("\u{1b}[{colour}m{characters}\u{1b}[0m")),
            None => text.push_str(&characters),
        }
    }
    text
}

/// Which dots of each column a curve covers, from and to, counted from the top.
fn traced(
    curve: &Curve<'_>,
    scale: &Scale,
    [from, to]: [f64; 2],
    width: usize,
    height: usize,
) -> Vec<Option<[usize; 2]>> {
    let [low, high] = scale.ends;
    let mut before: Option<usize> = None;
    let column = |x: usize| {
        let stops = from + (to - from) * x as f64 / (width - 1) as f64;
        let part = (between(curve.points, stops) - low) / (high - low);
        // A value that is not a number draws nothing.
        let y = (!part.is_nan()).then(|| ((1.0 - part.clamp(0.0, 1.0)) * (height - 1) as f64).round() as usize);
        // A steep curve stays one line: the column is filled up to where the last one ended.
        let start = y.map(|y| before.map_or(y, |before| if before > y { before - 1 } else { (before + 1).min(y) }));
        before = y;
        start.zip(y).map(|(start, y)| [start.min(y), start.max(y)])
    };
    (0..width).map(column).collect()
}

/// The value at some stops, by a straight line between the two points around them.
fn between(points: &[(f64, f64)], stops: f64) -> f64 {
    let after = points.partition_point(|point| point.0 < stops);
    match (after.checked_sub(1).and_then(|index| points.get(index)), points.get(after)) {
        // On a point its own value counts, also beside one that is not a number.
        (_, Some((x, y))) if *x == stops => *y,
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (stops - x0) / (x1 - x0),
        (None, Some((_, y))) | (Some((_, y)), None) => *y,
        (None, None) => f64::NAN,
    }
}

fn ascii(paper: Paper, scale: &Scale, curves: &[Curve<'_>], ends: [f64; 2]) -> Vec<Vec<Cell>> {
    let width = paper.cells();
    let mut cells = vec![vec![BLANK; width]; scale.rows];
    for curve in curves {
        let own = if curves.len() > 1 { (curve.letter, Some(curve.colour)) } else { ('*', None) };
        for (x, dots) in traced(curve, scale, ends, width, scale.rows).into_iter().enumerate() {
            for y in dots.into_iter().flat_map(|[first, last]| first..=last) {
                // Where curves meet, none of their letters would be true.
                cells[y][x] = if cells[y][x] == BLANK { own } else { ('*', None) };
            }
        }
    }
    cells
}

fn braille(paper: Paper, scale: &Scale, curves: &[Curve<'_>], ends: [f64; 2]) -> Vec<Vec<Cell>> {
    let width = paper.cells();
    let traces: Vec<_> = curves.iter().map(|curve| traced(curve, scale, ends, 2 * width, 4 * scale.rows)).collect();
    let mut bits = vec![vec![(0, None); width]; scale.rows];
    for (curve, trace) in curves.iter().zip(&traces) {
        for (x, dots) in trace.iter().enumerate() {
            for y in dots.iter().flat_map(|[first, last]| *first..=*last) {
                let (dots, owner) = &mut bits[y / 4][x / 2];
                let shared = *dots != 0 && *owner != Some(curve.colour);
                *owner = (!shared && curves.len() > 1).then_some(curve.colour);
                *dots |= DOTS[x % 2][y % 4];
            }
        }
    }
    let cell = |(dots, owner): (u32, Option<u8>)| match char::from_u32(BLANK_CELL + dots) {
        Some(character) if dots != 0 => (character, owner),
        _ => BLANK,
    };
    let mut cells: Vec<Vec<Cell>> = bits.into_iter().map(|row| row.into_iter().map(cell).collect()).collect();
    if curves.len() > 1 {
        letters(&mut cells, curves, &traces);
    }
    cells
}

/// Puts each curve's letter onto it, in either half where it is farthest from the others.
fn letters(cells: &mut [Vec<Cell>], curves: &[Curve<'_>], traces: &[Vec<Option<[usize; 2]>>]) {
    let width = cells.first().map_or(0, Vec::len);
    let height =
        |curve: usize, column: usize| traces[curve][2 * column].map(|[first, last]| (first + last) as f64 / 8.0);
    let mut taken: Vec<usize> = Vec::new();
    for half in [0..width / 2, width / 2..width] {
        for (place, curve) in curves.iter().enumerate() {
            let apart = |column: usize| {
                let own = height(place, column)?;
                let others =
                    (0..curves.len()).filter(|other| *other != place).filter_map(|other| height(other, column));
                Some(others.map(|other| (own - other).abs()).fold(f64::INFINITY, f64::min))
            };
            let free = |column: &usize| taken.iter().all(|taken| taken.abs_diff(*column) >= LETTERS_APART);
            let found = half.clone().filter(free).filter_map(|column| Some((column, apart(column)?)));
            // Where curves lie in one cell, a letter on one of them would say the wrong thing of the other.
            let best = found.filter(|found| found.1 >= 0.5).max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((column, _)) = best
                && let Some(y) = height(place, column)
                && let Some(cell) = cells.get_mut(y as usize).and_then(|row| row.get_mut(column))
            {
                *cell = (curve.letter, Some(curve.colour));
                taken.push(column);
            }
        }
    }
}

/// The lower axis with a mark every second stop.
fn axis(paper: Paper, scale: &Scale, [from, to]: [f64; 2]) -> String {
    let width = paper.cells();
    let [_, _, corner, along, mark] = paper.frame();
    let mut line: Vec<char> = vec![along; width];
    let mut labels: Vec<char> = vec![' '; width + 2];
    let mut stops = from;
    while stops <= to {
        let column = ((width - 1) as f64 * (stops - from) / (to - from)).round() as usize;
        line[column] = mark;
        let label = signed(stops);
        let start = column.saturating_sub(label.chars().count() / 2);
        for (offset, character) in label.chars().enumerate() {
            if let Some(place) = labels.get_mut(start + offset) {
                *place = character;
            }
        }
        stops += 2.0;
    }
    let (line, labels): (String, String) = (line.into_iter().collect(), labels.into_iter().collect());
    let label = (scale.label)(scale.ends[0]);
    format!("{label:>8} {corner}{line}\n{:AXIS$}{}\n{:AXIS$}stops from grey\n", "", labels.trim_end(), "")
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAPER: Paper = Paper { unicode: true, colour: false, columns: 80 };

    fn one(points: &[(f64, f64)]) -> String {
        plot(PAPER, &Scale::SIGNAL, &[Curve { letter: 'A', colour: 96, points }])
    }

    #[test]
    fn a_rising_line_goes_from_the_lower_left_to_the_upper_right() {
        let drawing = one(&[(-8.0, 0.0), (8.0, 1.0)]);
        let lines: Vec<&str> = drawing.lines().collect();
        assert_eq!(lines.len(), 19, "{drawing}");
        assert!(lines[0].starts_with("   100 % ┤"), "{drawing}");
        assert_eq!(lines[0].chars().count(), AXIS + CELLS[1], "the line ends at the right edge:\n{drawing}");
        let first_cell = |line: &str| line.chars().nth(AXIS);
        assert_eq!(first_cell(lines[0]), Some(' '), "nothing at the upper left:\n{drawing}");
        assert!(first_cell(lines[15]).is_some_and(|cell| cell > '\u{2800}'), "the lower left:\n{drawing}");
    }

    #[test]
    fn a_step_stays_one_line() {
        let drawing = one(&[(-8.0, 0.0), (-0.01, 0.0), (0.01, 1.0), (8.0, 1.0)]);
        let middle = drawing.lines().nth(8).unwrap_or_default();
        assert!(middle.chars().skip(AXIS).any(|cell| cell > '\u{2800}'), "{drawing}");
    }

    #[test]
    fn nothing_draws_nothing() {
        assert_eq!(one(&[]), "");
        assert!(one(&[(-1.0, f64::NAN), (1.0, f64::NAN)]).contains("stops"));
    }

    #[test]
    fn two_curves_keep_their_letters_apart_and_narrow_terminals_are_kept_to() {
        let (low, high) = ([(-8.0, 0.0), (8.0, 0.5)], [(-8.0, 0.0), (8.0, 1.0)]);
        let curves =
            [Curve { letter: 'A', colour: 96, points: &low }, Curve { letter: 'B', colour: 93, points: &high }];
        for (columns, unicode, colour) in [(80, true, false), (80, false, false), (50, true, true), (200, false, true)]
        {
            let paper = Paper { unicode, colour, columns };
            let drawing = plot(paper, &Scale::SIGNAL, &curves);
            let plain =
                drawing.split('\u{1b}').map(|part| part.split_once('m').filter(|_| colour).map_or(part, |part| part.1));
            // Escapes are taken off where there are any; the first part has none.
            let plain: String =
                if colour { drawing.split('\u{1b}').take(1).chain(plain.skip(1)).collect() } else { drawing.clone() };
            let widest = plain.lines().map(|line| line.chars().count()).max().unwrap_or_default();
            assert!(widest <= columns.min(80), "{widest} of {columns}\n{plain}");
            assert_eq!(drawing.contains('\u{1b}'), colour);
            assert!(unicode || plain.is_ascii(), "{plain}");
            let row_of =
                |letter: char| plain.lines().position(|line| line.chars().skip(AXIS).any(|cell| cell == letter));
            assert!(row_of('B') < row_of('A') && row_of('B').is_some(), "the higher curve's letter is higher\n{plain}");
        }
    }

    #[test]
    fn scales_around_zero_hold_their_values() {
        for (values, ends) in [
            ([3.0, -0.5], [-5.0, 5.0]),
            ([0.0041, 0.0], [0.0, 0.005]),
            ([-18.0, 0.2], [-20.0, 0.0]),
            ([1.0, 1.0], [0.0, 1.0]),
            ([f64::NAN, 60.0], [0.0, 100.0]),
        ] {
            let scale = Scale::around_zero(&[(0.0, values[0]), (1.0, values[1])], |value| format!("{value}"));
            assert!((0..2).all(|end| (scale.ends[end] - ends[end]).abs() < 1e-9), "{values:?}: {:?}", scale.ends);
        }
    }

    #[test]
    fn locales_say_their_characters() {
        for (locale, unicode) in [
            ("C", false),
            ("POSIX", false),
            ("C.UTF-8", true),
            ("de_DE.utf8@euro", true),
            ("en_GB.ISO-8859-1", false),
            ("en_GB", true),
        ] {
            assert_eq!(is_unicode(locale), unicode, "{locale}");
        }
    }
}
