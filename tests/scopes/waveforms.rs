//! Luma and R, G, B of colours whose codes are known.

use crate::frames::{BAR, bars, columns, full, legal};
use lookwright::colour::encodings::{Curve, find};
use lookwright::colour::gamuts;
use lookwright::picture::Frame;
use lookwright::picture::scopes::{LumaCoding, Trace, Waveform, log_marks};
use lookwright::plan::Levels;

/// The one code of a column, which all its pixels have.
fn only_code(trace: &Trace, column: usize) -> usize {
    let codes: Vec<usize> = (0..trace.counts.rows()).filter(|row| trace.counts.at(column, *row) > 0).collect();
    assert_eq!(codes.len(), 1, "column {column}: {codes:?}");
    codes[0]
}

#[test]
fn luma_of_colour_bars_is_that_of_the_standards() {
    for coding in [LumaCoding::Bt709, LumaCoding::Bt2020] {
        let bars = bars(coding);
        let frame = columns(&bars.iter().map(legal).collect::<Vec<_>>());
        let waveform = Waveform::luma(&frame, coding, Levels::Legal, usize::MAX);
        let [trace] = &waveform.traces[..] else { panic!("one trace") };
        assert_eq!(trace.counts.columns(), frame.width());
        for (index, bar) in bars.iter().enumerate() {
            // INT[(219 Y′ + 16) · 4 + 0.5] with the weights of BT.709-6 and BT.2020-2 as they are printed.
            let weights = match coding {
                LumaCoding::Bt709 => [0.2126, 0.7152, 0.0722],
                LumaCoding::Bt2020 => [0.2627, 0.6780, 0.0593],
            };
            let [r, g, b] = full(bar);
            let luma = weights[0] * r + weights[1] * g + weights[2] * b;
            let expected = ((219.0 * luma + 16.0) * 4.0 + 0.5) as usize;
            assert_eq!(expected, bar.y, "{}: the standard and the reference library", bar.name);
            for column in index * BAR[0]..(index + 1) * BAR[0] {
                assert_eq!(only_code(trace, column), bar.y, "{} {} %", bar.name, bar.percent);
                assert_eq!(trace.counts.at(column, bar.y), BAR[1] as u32);
            }
        }
    }
}

/// SMPTE RP 219, 75 % bars, Y′ C′B C′R; from memory.
#[test]
fn bars_of_75_percent_have_the_codes_that_everybody_knows() {
    let known = [
        ("White", [721, 512, 512]),
        ("Yl", [674, 176, 543]),
        ("Cy", [581, 589, 176]),
        ("G", [534, 253, 207]),
        ("Mg", [251, 771, 817]),
        ("R", [204, 435, 848]),
        ("B", [111, 848, 481]),
    ];
    let bars = bars(LumaCoding::Bt709);
    for (name, codes) in known {
        let bar = bars.iter().find(|bar| bar.percent == 75 && bar.name == name).expect(name);
        assert_eq!([bar.y, bar.chroma[0], bar.chroma[1]], codes, "{name}");
    }
}

#[test]
fn the_parade_shows_each_channel_by_its_code() {
    let bars = bars(LumaCoding::Bt709);
    let frame = columns(&bars.iter().map(legal).collect::<Vec<_>>());
    let parade = Waveform::parade(&frame, Levels::Legal, usize::MAX);
    let names: Vec<&str> = parade.traces.iter().map(|trace| trace.of.name()).collect();
    assert_eq!(names, ["R", "G", "B"]);
    for (index, bar) in bars.iter().enumerate() {
        for (trace, code) in parade.traces.iter().zip(bar.rgb) {
            assert_eq!(only_code(trace, index * BAR[0]), code as usize, "{} of {}", trace.of.name(), bar.name);
        }
    }
}

#[test]
fn full_levels_go_from_code_0_to_1023() {
    let bars = bars(LumaCoding::Bt709);
    let frame = columns(&bars.iter().map(full).collect::<Vec<_>>());
    let waveform = Waveform::luma(&frame, LumaCoding::Bt709, Levels::Full, usize::MAX);
    for (index, bar) in bars.iter().enumerate() {
        let [r, g, b] = full(bar);
        let expected = (1023.0 * (0.2126 * r + 0.7152 * g + 0.0722 * b)).round() as usize;
        assert_eq!(only_code(&waveform.traces[0], index * BAR[0]), expected, "{}", bar.name);
    }
    assert_eq!(only_code(&waveform.traces[0], 0), 1023, "white");
}

#[test]
fn columns_share_those_of_the_frame() {
    // Every column of the frame has a code of its own; 10 columns become 4: 0 1 2, 3 4, 5 6 7, 8 9.
    let codes: Vec<u16> = (0..10).flat_map(|column| [column * 6553; 3]).collect();
    let frame = Frame::from_sixteen_bit(10, 1, false, codes).expect("a row");
    let waveform = Waveform::luma(&frame, LumaCoding::Bt709, Levels::Full, 4);
    let counts = &waveform.traces[0].counts;
    let of = |column: usize| {
        (0..10).filter(move |source| {
            counts.at(column, (f64::from(source * 6553) / 65_535.0 * 1023.0).round() as usize) > 0
        })
    };
    let shared: Vec<Vec<i32>> = (0..4).map(|column| of(column).collect()).collect();
    assert_eq!(shared, [vec![0, 1, 2], vec![3, 4], vec![5, 6, 7], vec![8, 9]]);
    assert_eq!(counts.sum(), 10);
}

#[test]
fn display_gamuts_have_the_luma_of_their_standard() {
    for (gamut, coding) in [
        (&gamuts::BT709, LumaCoding::Bt709),
        (&gamuts::SRGB, LumaCoding::Bt709),
        (&gamuts::P3_D65, LumaCoding::Bt709),
        (&gamuts::P3_DCI, LumaCoding::Bt709),
        (&gamuts::BT2020, LumaCoding::Bt2020),
    ] {
        assert_eq!(LumaCoding::of_gamut(gamut), coding, "{}", gamut.id);
    }
}

/// Codes of grey by the makers' documents as `log_published.csv` quotes them: 420, 433, 400.
#[test]
fn marks_of_log_frames_stand_at_the_encodings_codes() {
    for (encoding, index, grey) in [("s-log3", None, 420.0), ("v-log", None, 433.0), ("logc3", Some(800), 400.0)] {
        let marks = log_marks(&Curve::new(find(encoding).unwrap(), index).unwrap());
        let at = |stops: i32| marks.iter().find(|mark| mark.stops == stops).map(|mark| mark.code);
        assert!((at(0).unwrap() - grey).abs() < 0.5, "{encoding}: {:?}", at(0));
        assert!(marks.is_sorted_by(|a, b| a.code < b.code) && marks.len() > 10, "{encoding}: {marks:?}");
        assert!(marks.iter().all(|mark| (0.0..=1023.0).contains(&mark.code)), "{encoding}");
    }
}
