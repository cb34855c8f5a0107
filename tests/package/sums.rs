//! Lists of checksums: their form, and what they find.

use crate::{files, fill, told};
use lookwright::formats::package::{
    CHECKSUMS, Checksum, MediaHashes, Package, PackageWriter, format_checksums, parse_checksums,
};
use std::fs;
use std::path::Path;

/// SHA-256 of no bytes and of "abc". Source: NIST, Cryptographic Standards and Guidelines, example values for SHA-256.
const EMPTY: &str = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

#[test]
fn the_list_has_the_form_of_sha256sum() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a");
    let mut writer = PackageWriter::folder(&path).expect("begun");
    writer.add("luts/z", b"abc".to_vec()).expect("added");
    writer.add("a b", Vec::new()).expect("added");
    writer.add_checksums().expect("added");
    writer.finish().expect("written");
    let text = fs::read_to_string(path.join(CHECKSUMS)).expect("there");
    assert_eq!(text, format!("{EMPTY}  a b\n{ABC}  luts/z\n"));
    let sums = parse_checksums(text.as_bytes()).expect("a list");
    assert_eq!(format_checksums(&sums), text);
    let [first, second] = &sums[..] else { panic!("{sums:?}") };
    assert_eq!((first.path.as_str(), second.path.as_str()), ("a b", "luts/z"));
    assert_eq!(
        parse_checksums(format!("{} *a b\r\n", EMPTY.to_uppercase()).as_bytes()),
        Ok(vec![Checksum { path: "a b".to_owned(), ..first.clone() }])
    );
    assert_eq!(parse_checksums(b""), Ok(Vec::new()));
}

#[test]
fn wrong_lines_are_told_with_their_place() {
    for line in [
        "",
        "abc",
        &format!("{EMPTY} a"),
        &format!("{EMPTY}  "),
        &format!("{}g  a", &EMPTY[1..]),
        &format!("\\{EMPTY}  a"),
        &"é".repeat(64),
    ] {
        let text = format!("{EMPTY}  first\n{line}\n{EMPTY}  third\n");
        let problems = parse_checksums(text.as_bytes()).expect_err(line);
        assert_eq!(told(&problems), ["LW0810 line 2 of SHA256SUMS is no checksum of a file"], "{line}");
        let span = problems[0].span.as_ref().expect("a place");
        assert_eq!(span.source.line_column(span.range.start), (2, 1));
    }
    assert_eq!(told(&parse_checksums(b"\xff\xfe").expect_err("no text")), ["LW0810 SHA256SUMS is not UTF-8 text"]);
    assert_eq!(parse_checksums(&b"x\n".repeat(1000)).expect_err("a thousand").len(), 20);
}

fn changed(change: impl Fn(&Path)) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a");
    fill(PackageWriter::folder(&path).expect("begun")).finish().expect("written");
    change(&path);
    told(&Package::open(&path).expect("sound").check_sums().expect_err("changed"))
}

#[test]
fn every_change_is_found() {
    for (path, bytes) in files() {
        let told = changed(|root| {
            let mut bytes = bytes.clone();
            if bytes.is_empty() {
                bytes.push(0)
            } else {
                bytes[0] ^= 1
            }
            fs::write(root.join(&path), bytes).expect("written");
        });
        assert_eq!(told, [format!("LW0811 “{path}” is not as it was packed: its SHA-256 differs")]);
    }
    let told = changed(|root| {
        fs::rename(root.join("README.txt"), root.join("READ.txt")).expect("renamed");
    });
    assert_eq!(
        told,
        ["LW0812 SHA256SUMS names “README.txt”, which the package lacks", "LW0812 “READ.txt” is not in SHA256SUMS"]
    );
    let told = changed(|root| fs::remove_file(root.join(CHECKSUMS)).expect("removed"));
    assert_eq!(told, ["LW0809 the package has no file “SHA256SUMS”"]);
    let told = changed(|root| {
        let text = fs::read_to_string(root.join(CHECKSUMS)).expect("there");
        let first = text.lines().next().expect("a line");
        fs::write(root.join(CHECKSUMS), format!("{text}{first}\n{EMPTY}  SHA256SUMS\n{EMPTY}  ../out\n"))
            .expect("written");
    });
    assert_eq!(
        told,
        [
            "LW0812 SHA256SUMS names “README.txt” twice",
            "LW0812 SHA256SUMS names “SHA256SUMS”, which the package lacks",
            "LW0812 SHA256SUMS names “../out”, which the package lacks",
        ]
    );
}

#[test]
fn media_hash_lists_are_covered_and_depend_on_nothing_but_what_is_given() {
    let folder = tempfile::tempdir().expect("a folder");
    let about = MediaHashes {
        name: "tidewater".to_owned(),
        made: "2026-11-30T10:00:00+02:00".to_owned(),
        host: "deck & cabin".to_owned(),
        author: String::new(),
    };
    let write = |name: &str| {
        let path = folder.path().join(name);
        let mut writer = PackageWriter::folder(&path).expect("begun");
        writer.add_many(crate::making(files())).expect("added");
        writer.add_media_hashes(&about).expect("added");
        writer.add_checksums().expect("added");
        writer.finish().expect("written");
        Package::open(&path).expect("sound")
    };
    let (package, again) = (write("a"), write("b"));
    package.check_sums().expect("as packed");
    // The time in the name is UTC. Source: the names that the reference implementation gives.
    let list = "ascmhl/0001_tidewater_2026-11-30_080000Z.mhl";
    let text = String::from_utf8(package.read(list).expect("there")).expect("text");
    assert!(text.contains("<hostname>deck &amp; cabin</hostname>") && text.contains("2 &amp; more.html"), "{text}");
    assert!(text.contains("<creationdate>2026-11-30T08:00:00+00:00</creationdate>"), "{text}");
    assert_eq!(package.read(list), again.read(list));
    let chain = String::from_utf8(package.read("ascmhl/ascmhl_chain.xml").expect("there")).expect("text");
    assert!(chain.contains("<path>0001_tidewater_2026-11-30_080000Z.mhl</path>"), "{chain}");
    for (name, made) in [
        ("", "2026-11-30T10:00:00Z"),
        ("a b", "2026-11-30T10:00:00Z"),
        ("../a", "2026-11-30T10:00:00Z"),
        ("a", "yesterday"),
        ("a", "2026-02-30T10:00:00Z"),
        ("a", "2026-11-30 10:00:00"),
    ] {
        let about = MediaHashes { name: name.to_owned(), made: made.to_owned(), ..about.clone() };
        let mut writer = PackageWriter::folder(&folder.path().join("c")).expect("begun");
        assert_eq!(writer.add_media_hashes(&about).expect_err(made)[0].code.id, "LW0813", "{name} {made}");
    }
}
