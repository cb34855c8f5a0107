//! `chart --kind scene`: the frame, and the file beside it.

use lookwright::formats::image;
use std::process::Command;

#[test]
fn the_command_writes_a_frame_and_its_fields() {
    let folder = tempfile::tempdir().expect("a folder");
    let arguments = ["chart", "--encoding", "v-log", "--kind", "scene", "--size", "400x225", "--out", "lounge.tif"];
    let mut command = Command::new(env!("CARGO_BIN_EXE_lookwright"));
    let output = command.current_dir(folder.path()).args(arguments).output().expect("the program starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.contains("scene") && said.contains("400 × 225") && said.contains("25 fields"), "{said}");
    let frame = image::read(&folder.path().join("lounge.tif")).expect("a picture");
    let text = std::fs::read_to_string(folder.path().join("lounge.csv")).expect("a sidecar");
    assert_eq!(text.lines().count(), 26, "headings, 24 patches and the card");
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |index: usize| cells[index].parse::<usize>().expect("a whole number");
        let pixel = frame.pixel(number(2) + number(4) / 2, number(3) + number(5) / 2).expect("inside the frame");
        for (channel, signal) in pixel.iter().enumerate() {
            let code = (signal * 1023.0 + 0.5).floor() as usize;
            assert_eq!(code, number(12 + channel), "{line}");
        }
    }
    // 18 % of V-Log: Panasonic (2014), V-Log/V-Gamut reference manual: code 433 of 10 bits.
    let card = text.lines().find(|line| line.starts_with("grey card,")).expect("the card");
    assert!(card.ends_with(",433,433,433,no"), "{card}");
}
