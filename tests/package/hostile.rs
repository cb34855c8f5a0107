//! Archives that were made to do harm, or were damaged on their way: what is said of each, and that nothing is written.

use crate::builder::{Archive, Entry, crc32, extra};
use crate::{fill, told};
use lookwright::formats::package::{MAX_ENTRY_BYTES, MAX_PROBLEMS, Package, PackageWriter};
use std::fs;

fn refused(archive: &Archive, what: &str) -> Vec<String> {
    refused_bytes(archive.bytes(), what)
}

fn refused_bytes(bytes: Vec<u8>, what: &str) -> Vec<String> {
    match Package::from_zip("a.zip", bytes) {
        Ok(package) => panic!("{what}: accepted with {:?}", package.entries()),
        Err(problems) => {
            let told = told(&problems);
            assert!(told.iter().all(|line| line[7..].starts_with("a.zip: ")), "{what}: {told:?}");
            told
        }
    }
}

/// That an archive is refused with one problem, whose code and words are as given.
#[track_caller]
fn expect(archive: &Archive, code: &str, words: &str) {
    let told = refused(archive, words);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].starts_with(code) && told[0].contains(words), "expected {code} … {words}, found {}", told[0]);
}

fn plain() -> Vec<Entry> {
    vec![Entry::stored("a.txt", b"first"), Entry::deflated("luts/b.cube", &b"0.5 0.5 0.5\n".repeat(40))]
}

fn with(change: impl FnOnce(&mut Entry)) -> Archive {
    let mut entries = plain();
    change(&mut entries[1]);
    Archive::of(entries)
}

#[test]
fn the_builder_makes_sound_archives() {
    assert_eq!(
        crc32(b"123456789"),
        0xcbf4_3926,
        "the check value of CRC-32; source: the catalogue of parametrised CRC algorithms"
    );
    let mut entries = plain();
    entries.push(Entry::folder("reports/"));
    entries.push(Entry::stored("reports/c", b"third").with_descriptor(true));
    entries.push(Entry::deflated("reports/d", b"fourth").with_descriptor(false));
    let timed = extra(0x5455, &[1, 0, 0, 0, 0]);
    entries.push(Entry { extra: timed.clone(), table_extra: timed, ..Entry::stored("e", b"fifth") });
    // What a program on a system without Unix modes writes.
    entries.push(Entry { mode: 0, dos_attributes: 0x20, flags: 0, ..Entry::stored("f", b"sixth") });
    let archive = Archive { comment: b"with a comment".to_vec(), ..Archive::of(entries) };
    let package = Package::from_zip("a.zip", archive.bytes()).expect("sound");
    let paths: Vec<&str> = package.entries().iter().map(|entry| entry.path.as_str()).collect();
    assert_eq!(paths, ["a.txt", "e", "f", "luts/b.cube", "reports/c", "reports/d"]);
    assert_eq!(package.read("luts/b.cube").expect("there"), b"0.5 0.5 0.5\n".repeat(40));
    assert_eq!(package.read("reports/d").expect("there"), b"fourth");
    assert_eq!(package.read("a").expect_err("absent")[0].code.id, "LW0809");
    assert_eq!(package.read("reports").expect_err("a folder")[0].code.id, "LW0809");
    let empty = Package::from_zip("a.zip", Archive::default().bytes()).expect("sound, though empty");
    assert!(empty.entries().is_empty());
}

#[test]
fn paths_that_lead_elsewhere_are_refused() {
    for (path, words) in [
        ("../evil", "leads out of its folder"),
        ("a/../../evil", "leads out of its folder"),
        ("a/..", "leads out of its folder"),
        ("/etc/evil", "absolute"),
        ("//host/evil", "absolute"),
        ("C:/evil", "drive letter"),
        ("c:evil", "drive letter"),
        ("..\\evil", "backslash"),
        ("\\evil", "backslash"),
        ("a//evil", "empty name"),
        ("./evil", "only a full stop"),
        ("evil\0.txt", "control character"),
        ("evil\n.txt", "control character"),
        ("evil\u{7f}", "control character"),
        ("evil\u{202e}txt.exe", "can't be seen"),
        ("ev\u{200b}il", "can't be seen"),
        ("evil.", "full stop or a space"),
        ("evil /a", "full stop or a space"),
        (".../a", "full stop or a space"),
        (" evil", "begins with a space"),
        ("evil:stream", "keep for themselves"),
        ("evil?", "keep for themselves"),
        ("luts/CON", "device"),
        ("lpt1.cube", "device"),
        ("Com\u{b9}", "device"),
        ("nul /a", "full stop or a space"),
        ("", "empty"),
    ] {
        expect(&Archive::of([Entry::stored(path, b"evil")]), "LW0803", words);
    }
    expect(&Archive::of([Entry::folder("../")]), "LW0803", "leads out");
    expect(&Archive::of([Entry::folder("/")]), "LW0803", "is empty");
    expect(&Archive::of([Entry::stored(&"a".repeat(256), b"")]), "LW0803", "more than 255 bytes");
    expect(&Archive::of([Entry::stored(&format!("{}a", "a/".repeat(150)), b"")]), "LW0803", "folders deep");
    expect(&Archive::of([Entry::stored(&"a".repeat(60_000), b"")]), "LW0803", "60000 bytes long");
    expect(&with(|entry| entry.name = b"luts/\xff\xfe".to_vec()), "LW0803", "not UTF-8");
}

#[test]
fn names_that_are_the_same_somewhere_are_refused() {
    for (one, other, words) in [
        ("a", "a", "is there twice"),
        ("a.cube", "A.cube", "are the same"),
        ("d\u{ed}a", "di\u{301}a", "are the same"),
        ("luts/a", "LUTS/b", "are the same"),
        ("luts", "luts/b", "a file and a folder"),
        ("luts/b", "luts", "a file and a folder"),
    ] {
        expect(&Archive::of([Entry::stored(one, b"1"), Entry::stored(other, b"2")]), "LW0804", words);
    }
    expect(&Archive::of([Entry::folder("a/"), Entry::folder("a/")]), "LW0804", "is there twice");
    expect(&Archive::of([Entry::folder("a/"), Entry::stored("a", b"")]), "LW0804", "a file and a folder");
}

#[test]
fn links_and_devices_are_refused() {
    for mode in [0o120_777, 0o010_644, 0o020_644, 0o060_644, 0o140_644] {
        expect(&with(|entry| entry.mode = mode), "LW0805", "is a link or a device");
    }
    expect(&with(|entry| entry.dos_attributes = 0x400), "LW0805", "is a link or a device");
    expect(&with(|entry| entry.mode = 0o040_755), "LW0808", "by its mode, but not by both");
    expect(&Archive::of([Entry { mode: 0o100_644, ..Entry::folder("a/") }]), "LW0808", "by its mode, but not by both");
    expect(
        &Archive::of([Entry::stored("a/", b"hidden")].map(|entry| Entry { mode: 0, ..entry })),
        "LW0808",
        "holds 6 bytes itself",
    );
}

#[test]
fn bombs_are_refused() {
    let zeros = vec![0; 8 << 20];
    expect(&Archive::of([Entry::deflated("bomb", &zeros)]), "LW0806", "more than 200 times as many");
    expect(&with(|entry| entry.size = MAX_ENTRY_BYTES as u32 + 1), "LW0806", "at most 536870912");
    // Twenty entries, each allowed, together beyond the limit. Their claims alone are enough.
    let large =
        (0..20).map(|index| Entry { size: 500 << 20, packed: 400 << 20, ..Entry::deflated(&format!("{index}"), b"") });
    expect(&Archive::of(large), "LW0806", "a package has at most 4294967296");
    let many = Archive { count: Some(20_001), ..Archive::of(plain()) };
    expect(&many, "LW0806", "20001 entries");
    // All entries share the same bytes: the table of contents points at one place again and again.
    let shared = (0..5).map(|index| Entry { offset: Some(0), ..Entry::stored(&format!("{index}"), b"same") });
    expect(&Archive::of(shared), "LW0808", "overlaps another entry");
}

#[test]
fn entries_that_claim_less_than_they_hold_are_cut_off() {
    for claim in [0, 1, 1000, 1 << 20] {
        let mut entry = Entry::deflated("bomb", &vec![0; 8 << 20]);
        entry.size = claim;
        let package = Package::from_zip("a.zip", Archive::of([entry]).bytes()).expect("sound so far");
        let told = told(&package.read("bomb").expect_err("a bomb"));
        assert!(
            told[0].starts_with("LW0802") && told[0].contains("larger than its declared uncompressed size"),
            "{told:?}"
        );
    }
    let mut entry = Entry::deflated("short", b"twelve bytes");
    entry.size = 13;
    let package = Package::from_zip("a.zip", Archive::of([entry]).bytes()).expect("sound so far");
    assert_eq!(package.read("short").expect_err("too short")[0].code.id, "LW0802");
}

#[test]
fn damaged_bytes_are_noticed() {
    let mut entries = plain();
    entries[0].data[2] ^= 1;
    entries[1].crc ^= 1;
    let mut noise = Entry::deflated("noise", b"");
    noise.data = vec![0xff; 20];
    noise.packed = 20;
    noise.size = 40;
    entries.push(noise);
    let package = Package::from_zip("a.zip", Archive::of(entries).bytes()).expect("sound so far");
    for path in ["a.txt", "luts/b.cube", "noise"] {
        assert_eq!(package.read(path).expect_err(path)[0].code.id, "LW0802", "{path}");
    }
    let folder = tempfile::tempdir().expect("a folder");
    let problems = package.extract(&folder.path().join("out")).expect_err("damaged");
    assert_eq!(problems.len(), 3, "{:?}", told(&problems));
    assert_eq!(fs::read_dir(folder.path()).expect("there").count(), 0, "something was left behind");
}

#[test]
fn archives_that_are_cut_are_refused() {
    let whole = Archive::of(plain()).bytes();
    Package::from_zip("a.zip", whole.clone()).expect("sound");
    for length in 0..whole.len() {
        let told = refused_bytes(whole[..length].to_vec(), &format!("cut to {length} bytes"));
        assert!(told[0].starts_with(if length < 4 { "LW0801" } else { "LW0802" }), "cut to {length}: {told:?}");
    }
    for start in 1..whole.len() {
        refused_bytes(whole[start..].to_vec(), &format!("without its first {start} bytes"));
    }
}

#[test]
fn every_changed_bit_is_refused_or_changes_nothing_that_is_read() {
    let whole = Archive::of(plain()).bytes();
    let contents: Vec<Vec<u8>> = vec![b"first".to_vec(), b"0.5 0.5 0.5\n".repeat(40)];
    for place in 0..whole.len() * 8 {
        let mut bytes = whole.clone();
        bytes[place / 8] ^= 1 << (place % 8);
        let Ok(package) = Package::from_zip("a.zip", bytes) else { continue };
        // A changed name can't be noticed by the archive's form where it is changed once only, and it never is.
        let paths: Vec<&str> = package.entries().iter().map(|entry| entry.path.as_str()).collect();
        assert_eq!(paths, ["a.txt", "luts/b.cube"], "bit {place}");
        for (path, bytes) in paths.iter().zip(&contents) {
            if let Ok(read) = package.read(path) {
                assert!(read == *bytes, "bit {place} changed what is read of {path}");
            }
        }
    }
}

#[test]
fn archives_that_read_two_ways_are_refused() {
    expect(&with(|entry| entry.own_name = Some(b"luts/c.cube".to_vec())), "LW0808", "calls itself “luts/c.cube”");
    expect(&with(|entry| entry.table_flags = Some(0)), "LW0808", "something else about itself");
    expect(
        &with(|entry| entry.before = b"hidden".to_vec()),
        "LW0808",
        "6 bytes before “luts/b.cube” that belong to no entry",
    );
    let mut program = plain();
    program[0].before = b"MZ this would run".to_vec();
    expect(&Archive::of(program), "LW0808", "before the first entry");
    expect(&Archive { after_entries: b"hidden".to_vec(), ..Archive::of(plain()) }, "LW0808", "after the last entry");
    expect(
        &Archive { after_table: b"hidden".to_vec(), ..Archive::of(plain()) },
        "LW0808",
        "between the table of contents and its end",
    );
    expect(&Archive { after_end: b"appended".to_vec(), ..Archive::of(plain()) }, "LW0802", "something was appended");
    expect(&Archive { count: Some(1), ..Archive::of(plain()) }, "LW0808", "belong to no entry");
    expect(&Archive { count: Some(3), ..Archive::of(plain()) }, "LW0802", "entry 3 of 3");
    expect(&with(|entry| entry.offset = Some(3)), "LW0808", "overlaps");
    expect(&with(|entry| entry.offset = Some(100_000)), "LW0808", "belong to no entry");
    expect(&with(|entry| entry.packed += 500), "LW0802", "beyond");
    expect(&Archive { table_place: Some(100_000), ..Archive::of(plain()) }, "LW0802", "beyond the end");
    // An end within the comment of another: some programs take the first, some the last.
    let inner = Archive::of([Entry::stored("other", b"")]).bytes();
    let end = inner[inner.len() - 22..].to_vec();
    expect(&Archive { comment: end, ..Archive::of(plain()) }, "LW0808", "several ends");
    let mut wrong = Entry::stored("c", b"third").with_descriptor(true);
    wrong.descriptor.as_mut().expect("has one")[8] ^= 1;
    expect(&Archive::of([wrong]), "LW0808", "behind its bytes");
    let mut second = vec![1];
    second.extend(crc32(b"luts/b.cube").to_le_bytes());
    second.extend(b"luts/other");
    expect(&with(|entry| entry.table_extra = extra(0x7075, &second)), "LW0808", "has a second name");
}

#[test]
fn other_kinds_of_archives_are_refused() {
    expect(&with(|entry| entry.flags |= 1), "LW0807", "encrypted");
    expect(&with(|entry| entry.flags |= 1 << 6), "LW0807", "encrypted");
    expect(&with(|entry| entry.table_extra = extra(0x9901, &[0; 7])), "LW0807", "encrypted");
    for method in [1, 9, 12, 14, 93, 95, 99] {
        expect(&with(|entry| entry.method = method), "LW0807", &format!("method {method}"));
    }
    expect(&with(|entry| entry.table_extra = extra(1, &[0; 16])), "LW0807", "zip64");
    expect(&with(|entry| entry.extra = extra(1, &[0; 16])), "LW0807", "zip64");
    expect(&with(|entry| entry.size = u32::MAX), "LW0807", "zip64");
    expect(&with(|entry| entry.offset = Some(u32::MAX)), "LW0807", "zip64");
    expect(&Archive { count: Some(u16::MAX), ..Archive::of(plain()) }, "LW0807", "zip64");
    let mut locator = b"PK\x06\x07".to_vec();
    locator.extend([0; 16]);
    expect(&Archive { after_table: locator, ..Archive::of(plain()) }, "LW0807", "zip64");
    expect(&Archive { disk: 1, ..Archive::of(plain()) }, "LW0807", "one part of several");
    expect(&with(|entry| entry.disk = 1), "LW0807", "only a part");
    expect(&with(|entry| entry.table_extra = vec![1, 2, 3]), "LW0802", "extra fields");
    expect(&with(|entry| entry.table_extra = vec![0x55, 0x54, 200, 0, 1]), "LW0802", "extra fields");
    let told = refused_bytes(b"lookwright = 1\n".to_vec(), "a text");
    assert_eq!(told, ["LW0801 a.zip: it is no zip archive"]);
}

#[test]
fn all_problems_are_told_up_to_a_limit() {
    let entries = [
        Entry::stored("../evil", b""),
        Entry { mode: 0o120_777, ..Entry::stored("link", b"/etc/passwd") },
        Entry::stored("a", b""),
        Entry::stored("A", b""),
        Entry { flags: 1, ..Entry::stored("secret", b"") },
    ];
    let codes: Vec<String> =
        refused(&Archive::of(entries), "five entries").iter().map(|line| line[..6].to_owned()).collect();
    assert_eq!(codes, ["LW0803", "LW0805", "LW0804", "LW0807"]);
    let many = Archive::of((0..100).map(|index| Entry::stored(&format!("../{index}"), b"")));
    let problems = Package::from_zip("a.zip", many.bytes()).expect_err("a hundred problems");
    assert_eq!(problems.len(), MAX_PROBLEMS);
    assert!(
        problems[MAX_PROBLEMS - 1].help[0].starts_with("80 more problems"),
        "{:?}",
        problems[MAX_PROBLEMS - 1].help
    );
}

#[test]
fn nothing_is_written_outside_the_target_nor_over_what_is_there() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.zip");
    fill(PackageWriter::zip(&path).expect("begun")).finish().expect("written");
    let package = Package::open(&path).expect("sound");
    let full = folder.path().join("full");
    fs::create_dir(&full).expect("made");
    fs::write(full.join("README.txt"), b"kept").expect("written");
    assert_eq!(package.extract(&full).expect_err("not empty")[0].code.id, "LW0403");
    assert_eq!(package.extract(&path).expect_err("a file")[0].code.id, "LW0403");
    assert_eq!(fs::read(full.join("README.txt")).expect("there"), b"kept");
    assert_eq!(fs::read_dir(&full).expect("there").count(), 1);
    #[cfg(unix)]
    {
        // A link to an empty folder elsewhere: whoever set it would choose where the files go.
        let (elsewhere, link) = (folder.path().join("elsewhere"), folder.path().join("link"));
        fs::create_dir(&elsewhere).expect("made");
        std::os::unix::fs::symlink(&elsewhere, &link).expect("made");
        assert_eq!(package.extract(&link).expect_err("a link")[0].code.id, "LW0403");
        assert_eq!(fs::read_dir(&elsewhere).expect("there").count(), 0);
    }
}

#[test]
fn twenty_thousand_entries_are_read_in_a_moment() {
    let archive = Archive::of((0..20_000).map(|index| Entry::stored(&format!("luts/{}/{index}", index % 100), b"")));
    let package = Package::from_zip("a.zip", archive.bytes()).expect("sound");
    assert_eq!(package.entries().len(), 20_000);
    assert!(package.read("luts/99/19999").expect("there").is_empty());
}
