//! What is said of a package, word for word.

use crate::builder::{Archive, Entry};
use crate::told;
use lookwright::formats::package::Package;
use snapbox::{IntoData, str};

#[test]
fn problems_are_told_in_these_words() {
    let noise: Vec<u8> = (0..400_u32).map(|index| (index.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let archives = [
        Archive::of([
            Entry::stored("../evil", b""),
            Entry::stored("luts\\dusk.cube", b""),
            Entry::stored("luts/aux.cube", b""),
            Entry { mode: 0o120_777, ..Entry::stored("link", b"/etc/passwd") },
            Entry::stored("Luts/a", b""),
            Entry::stored("luts/a", b""),
            Entry::stored("Luts", b""),
            Entry { flags: 1, ..Entry::stored("secret", b"") },
            Entry { method: 14, ..Entry::stored("b.cube", b"") },
            Entry { size: 600 << 20, packed: 1000, method: 8, ..Entry::stored("large.cube", b"") },
            Entry { size: 90 << 20, packed: 1000, method: 8, ..Entry::stored("bomb.cube", b"") },
        ]),
        Archive::of([Entry { own_name: Some(b"other".to_vec()), ..Entry::stored("one", b"") }]),
        Archive::of([Entry { before: b"MZ".to_vec(), ..Entry::stored("one", b"") }]),
        Archive { after_end: noise, ..Archive::of([Entry::stored("one", b"")]) },
        Archive { count: Some(20_001), ..Archive::of([]) },
        Archive { count: Some(u16::MAX), ..Archive::of([]) },
    ];
    let mut lines: Vec<String> = archives
        .iter()
        .flat_map(|archive| told(&Package::from_zip("from-post.zip", archive.bytes()).expect_err("refused")))
        .collect();
    let mut damaged = Entry::stored("one", b"first");
    damaged.data[0] ^= 1;
    let package = Package::from_zip("from-post.zip", Archive::of([damaged]).bytes()).expect("sound so far");
    lines.extend(told(&package.read("one").expect_err("damaged")));
    lines.extend(told(&package.read("two").expect_err("absent")));
    snapbox::assert_data_eq!((lines.join("\n") + "\n").into_data().raw(), str![[r#"
LW0803 from-post.zip: the path “../evil” leads out of its folder (..)
LW0803 from-post.zip: the path “luts\dusk.cube” contains a backslash, which some systems take for the end of a folder's name
LW0803 from-post.zip: the path “luts/aux.cube” has a name that some systems take for a device
LW0805 from-post.zip: “link” is a link or a device, not a file
LW0804 from-post.zip: “Luts” and “luts” are the same on systems that don't tell case or the encoding of accents apart
LW0804 from-post.zip: “Luts” is a file and a folder
LW0807 from-post.zip: “secret” is encrypted
LW0807 from-post.zip: “b.cube” is compressed by method 14; expected 0 (stored) or 8 (deflate)
LW0806 from-post.zip: “large.cube” claims to hold 629145600 bytes; a file of a package has at most 536870912
LW0806 from-post.zip: “bomb.cube” claims to unpack from 1000 bytes to 94371840, more than 200 times as many
LW0808 from-post.zip: “one” calls itself “other”
LW0808 from-post.zip: there are bytes before the first entry, as in an archive that unpacks itself
LW0802 from-post.zip: the archive has no table of contents at its end: it was cut off, or something was appended to it
LW0806 from-post.zip: the archive has 20001 entries; a package has at most 20000
LW0807 from-post.zip: the archive uses zip64, which only files above 4 GiB or 65,534 entries need
LW0802 “one” is damaged: Invalid checksum
LW0809 the package has no file “two”

"#]].raw());
}
