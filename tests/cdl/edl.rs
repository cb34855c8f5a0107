//! Edit decision lists: what is read, what is refused, and that writing corrections into one changes nothing else. The lists are our own,
//! in the form of common practice; `tests/python/edl.py` reads the written ones with a general editorial library.

use crate::told;
use lookwright::colour::cdl::Cdl;
use lookwright::formats::edl::{Edl, annotate, parse};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

/// A cut, a dissolve, a speed, comments of every kind.
const LIST: &str = "TITLE: TIDEWATER_EP1_SC012\nFCM: NON-DROP FRAME\n\n\
    001  A003C012 V     C        01:02:03:04 01:02:08:04 10:00:00:00 10:00:05:00\n\
    * FROM CLIP NAME: TW_012_0010\n* LOC: 10:00:01:00 RED     check the horizon\n\
    002  A003C012 V     C        01:02:08:04 01:02:08:04 10:00:05:00 10:00:05:00\n\
    002  A003C014 V     D    024 01:10:00:00 01:10:04:00 10:00:05:00 10:00:09:00\n\
    EFFECTS NAME IS CROSS DISSOLVE\n* FROM CLIP NAME: TW_012_0010\n* TO CLIP NAME: TW_012_0020\n\
    003  B001C002 V     C        02:00:00:00 02:00:04:00 10:00:09:00 10:00:13:00\n\
    * FROM CLIP NAME: TW_012_0030\n* asc_sop (1.1 1 0.92) (-0.02 0 0.0105) ( 1.05 1 0.98 )\n*ASC_SAT: 0.85\n* for the ferry\n";

const WARM: Cdl =
    Cdl { slope: [1.1, 1.0, 0.92], offset: [-0.02, 0.0, 0.0105], power: [1.05, 1.0, 0.98], saturation: 0.85 };
const COOL: Cdl = Cdl {
    slope: [0.9, 1.0, 1.125],
    offset: [0.0, 0.001, -0.5],
    power: [1.0, 0.3333333333333333, 2.0],
    saturation: 0.0,
};

fn read(text: &[u8]) -> Edl {
    parse("x.edl", text).unwrap_or_else(|found| panic!("{:#?}", found.iter().map(told).collect::<Vec<_>>()))
}

#[test]
fn a_list_is_read_with_what_its_comments_say() {
    let edl = read(LIST.as_bytes());
    assert_eq!(edl.title, "TIDEWATER_EP1_SC012");
    let lines: Vec<String> = edl
        .events
        .iter()
        .map(|event| {
            let frames = event.transition_frames.map_or(String::new(), |frames| frames.to_string());
            let name = event.clip_name.as_deref().unwrap_or("-");
            let (reel, from, record) = (&event.reel, event.source[0], event.record[1]);
            format!("{} {reel} {} {}{frames} {from} {record} {name}", event.number, event.channels, event.transition)
        })
        .collect();
    assert_eq!(
        lines,
        [
            "001 A003C012 V C 01:02:03:04 10:00:05:00 TW_012_0010",
            "002 A003C012 V C 01:02:08:04 10:00:05:00 TW_012_0010",
            "002 A003C014 V D24 01:10:00:00 10:00:09:00 TW_012_0020",
            "003 B001C002 V C 02:00:00:00 10:00:13:00 TW_012_0030",
        ]
    );
    assert_eq!(edl.events[0].locators, ["10:00:01:00 RED     check the horizon"]);
    assert_eq!(edl.events[2].comments, ["EFFECTS NAME IS CROSS DISSOLVE"]);
    assert_eq!(edl.events.iter().map(|event| event.cdl).collect::<Vec<_>>(), [None, None, None, Some(WARM)]);
    let place = edl.events[3].values.offset.clone().expect("written");
    assert_eq!(place.source.line_column(place.range.start), (14, 25));
}

#[test]
fn every_form_of_an_event_is_read() {
    let list = "\u{feff}title: x\r\nfcm: drop frame\r\n1 AX AA/V C 1:0:0:0 1:0:1:0 0:0:0:0 0:0:1:0\r\n\
        000002\tMY REEL 7\tA2\tW001\t012\t01:00:00;00\t01:00:01;00\t00:00:01;00\t00:00:02;00\r\n\
        M2   MY REEL 7  047.5  01:00:00;00\r\n* ASC_CC_XML cc0042\r\n\
        FCM: NON-DROP FRAME\r\n003 BL NONE KB 00:00:00:00 00:00:01:00 00:00:02:00 00:00:03:00\r\n";
    let edl = read(list.as_bytes());
    let [first, second, third] = edl.events.as_slice() else { panic!("{} events", edl.events.len()) };
    assert_eq!((first.drop_frame, second.drop_frame, third.drop_frame), (true, true, false));
    assert_eq!((second.reel.as_str(), second.transition.as_str()), ("MY REEL 7", "W001"));
    assert_eq!((second.transition_frames, third.transition.as_str()), (Some(12), "KB"));
    assert_eq!(second.speeds, ["MY REEL 7  047.5  01:00:00;00"]);
    assert_eq!(second.correction_id.as_deref(), Some("cc0042"));
    // Latin-1, and a saturation alone.
    let latin =
        b"001 AX V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n* FROM CLIP NAME: F\xe4hre\n* ASC_SAT 0.5";
    let event = &read(latin).events[0];
    assert_eq!(event.clip_name.as_deref(), Some("F\u{e4}hre"));
    assert_eq!(event.cdl, Some(Cdl { saturation: 0.5, ..Cdl::IDENTITY }));
}

#[test]
fn what_is_in_doubt_is_refused_with_its_place() {
    let event = "001  A V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n";
    let sop = "* ASC_SOP (1 1 1)(0 0 0)(1 1 1)\n";
    for (text, expected) in [
        (String::new(), "LW0348 - x.edl: the list has no events | "),
        (
            "001  A V C 00:00:00:00 00:00:01:00\n".into(),
            "LW0348 1:1 the line is not an event | expected number, reel, channels, transition and four time codes, found 6 words",
        ),
        (
            "001  A V C 00:00:00:00 00:00:01:00 00:00:00:00 00:61:01:00\n".into(),
            "LW0348 1:48 the line is not an event | expected a time code such as 01:02:03:04, found `00:61:01:00`",
        ),
        (
            "001  A V X 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n".into(),
            "LW0348 1:10 the line is not an event | expected C, D, K or W with a number, found `X`",
        ),
        (format!("{sop}{event}"), "LW0349 1:1 a correction before the first event | expected an event before"),
        (
            format!("{event}{sop}* ASC_SOP (1 1 2)(0 0 0)(1 1 1)\n"),
            "LW0349 3:1 the event has two different ASC_SOP | expected one ASC_SOP after each event",
        ),
        (
            format!("{event}* ASC_SAT 1\n* ASC_SAT 1.5\n"),
            "LW0349 3:1 the event has two different ASC_SAT | expected one ASC_SAT after each event",
        ),
        (
            format!("{event}* ASC_SOP (1 1 1)(0 0 0)\n"),
            "LW0345 2:11 ASC_SOP has another form than that of ASC | expected (three slopes)(three offsets)(three powers), found `(1 1 1)(0 0 0)`",
        ),
        (
            format!("{event}* ASC_SOP (1 1 1)(0 0)(1 1 1)\n"),
            "LW0345 2:19 Offset has the wrong number of values | expected three numbers, for red, green and blue, found 2",
        ),
        (
            format!("{event}* ASC_SOP (1 1 1)(0 0 0)(1 0 1)\n"),
            "LW0344 2:28 Power that no CDL has | expected more than 0, found 0",
        ),
        (
            format!("{event}* ASC_SOP (1 1 1)(0 0 0)(1 0,9 1)\n"),
            "LW0343 2:28 Power is not a number | expected a finite decimal number, found `0,9`",
        ),
        (
            format!("{event}* ASC_SAT full\n"),
            "LW0343 2:11 Saturation is not a number | expected a finite decimal number, found `full`",
        ),
        ("0\x001\x00".into(), "LW0340 1:2 the file is not a text | expected text, found byte 0x00"),
    ] {
        let found: Vec<String> = parse("x.edl", text.as_bytes()).expect_err("refused").iter().map(told).collect();
        assert_eq!(found, [expected], "{text}");
        assert!(annotate("x.edl", text.as_bytes(), |_| Some(&WARM)).is_err(), "written into: {text}");
    }
}

/// A list with corrections for some of its events, by number and reel.
fn annotated(text: &[u8], for_event: &[(&str, &str, &'static Cdl)]) -> Vec<u8> {
    annotate("x.edl", text, |event| {
        for_event
            .iter()
            .find(|(number, reel, _)| event.number == *number && event.reel == *reel)
            .map(|(_, _, cdl)| *cdl)
    })
    .expect("a list")
}

#[test]
fn corrections_stand_after_their_events_and_nothing_else_moves() {
    let chosen = [("001", "A003C012", &WARM), ("002", "A003C014", &COOL), ("003", "B001C002", &COOL)];
    let (warm, cool) = (
        "* ASC_SOP (1.1 1 0.92)(-0.02 0 0.0105)(1.05 1 0.98)\n* ASC_SAT 0.85\n",
        "* ASC_SOP (0.9 1 1.125)(0 0.001 -0.5)(1 0.3333333333333333 2)\n* ASC_SAT 0\n",
    );
    let old = "* asc_sop (1.1 1 0.92) (-0.02 0 0.0105) ( 1.05 1 0.98 )\n*ASC_SAT: 0.85\n";
    let expected = LIST
        .replace("horizon\n", &format!("horizon\n{warm}"))
        .replace("TW_012_0020\n", &format!("TW_012_0020\n{cool}"))
        .replace(old, cool);
    let written = annotated(LIST.as_bytes(), &chosen);
    assert_eq!(String::from_utf8_lossy(&written), expected);
    assert_eq!(annotated(&written, &chosen), written, "a second time changes nothing");
    let crlf = annotated(LIST.replace('\n', "\r\n").as_bytes(), &chosen);
    assert_eq!(String::from_utf8_lossy(&crlf), expected.replace('\n', "\r\n"));
    let back: Vec<Option<Cdl>> = read(&written).events.iter().map(|event| event.cdl).collect();
    assert_eq!(back, [Some(WARM), None, Some(COOL), Some(COOL)]);
    assert_eq!(annotated(LIST.as_bytes(), &[]), LIST.as_bytes(), "no corrections, no change");
}

#[test]
fn odd_lists_keep_every_byte() {
    let event = "001 AX V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00";
    let sop = "* ASC_SOP (1.1 1 0.92)(-0.02 0 0.0105)(1.05 1 0.98)";
    for (text, expected) in [
        // Without a line end at the end of the file.
        (event.to_owned(), format!("{event}\n{sop}\n* ASC_SAT 0.85")),
        (format!("\r\n{event}"), format!("\r\n{event}\r\n{sop}\r\n* ASC_SAT 0.85")),
        // One of the two is there.
        (format!("{event}\n* ASC_SAT 2\n* end"), format!("{event}\n* ASC_SAT 0.85\n{sop}\n* end")),
        (format!("{event}\n* ASC_SOP (1 1 1)(0 0 0)(1 1 1)"), format!("{event}\n{sop}\n* ASC_SAT 0.85")),
        // What speaks of the next event stays before it.
        (
            format!(
                "{event}\n* a\n\nFCM: DROP FRAME\nSPLIT:  AUDIO DELAY= 00:00:00:05\n{}",
                event.replace("001", "002")
            ),
            format!(
                "{event}\n* a\n{sop}\n* ASC_SAT 0.85\n\nFCM: DROP FRAME\nSPLIT:  AUDIO DELAY= 00:00:00:05\n{}",
                event.replace("001", "002")
            ),
        ),
    ] {
        assert_eq!(String::from_utf8_lossy(&annotated(text.as_bytes(), &[("001", "AX", &WARM)])), expected, "{text}");
    }
    let latin = [event.as_bytes(), b"\r* F\xe4hre \r\x1a"].concat();
    let written = annotated(&latin, &[("001", "AX", &WARM)]);
    assert!(written.starts_with(&latin[..latin.len() - 1]), "{}", String::from_utf8_lossy(&written));
}

/// Lists with corrections, and what they say, for `tests/python/edl.py`.
#[test]
fn lists_for_another_reader_are_written() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("edl");
    fs::create_dir_all(&folder).expect("a folder");
    // Every time code with a semicolon before its frames.
    let dropped = |word: &str| match word.rsplit_once(':') {
        Some((head, frames)) if word.len() == 11 && head.matches(':').count() == 2 => format!("{head};{frames}"),
        _ => word.to_owned(),
    };
    let line = |line: &str| line.split(' ').map(dropped).collect::<Vec<_>>().join(" ");
    let drop_frame = LIST.replace("NON-DROP", "DROP").lines().map(|one| line(one) + "\n").collect::<String>();
    let chosen = [("001", "A003C012", &WARM), ("002", "A003C014", &COOL), ("003", "B001C002", &COOL)];
    let mut expected = Vec::new();
    for (name, rate, text) in [
        ("plain.edl", 24.0, LIST.to_owned()),
        ("crlf.edl", 25.0, LIST.replace('\n', "\r\n")),
        ("drop.edl", 30_000.0 / 1001.0, drop_frame),
    ] {
        let written = annotated(text.as_bytes(), &chosen);
        fs::write(folder.join(name), &written).expect("written");
        let event = |clip: &str, cdl: &Cdl| -> Value {
            json!({"clip": clip, "slope": cdl.slope, "offset": cdl.offset, "power": cdl.power, "saturation": cdl.saturation})
        };
        let events = [event("TW_012_0010", &WARM), event("TW_012_0020", &COOL), event("TW_012_0030", &COOL)];
        expected.push(json!({"file": name, "rate": rate, "events": events}));
    }
    fs::write(folder.join("expected.json"), Value::from(expected).to_string()).expect("written");
}
