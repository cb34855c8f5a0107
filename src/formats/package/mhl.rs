//! Media hash lists: which files a package has, with their hashes, as tools for camera footage check them.
//!
//! Source: American Society of Cinematographers, ASC Media Hash List, version 2.0, schema and reference implementation
//! (bibliography: mhl). Hashes of files and folders are xxh128, that implementation's own choice: quick, and made to find damage, not
//! forgers; the package's SHA-256 stand beside them. Source: Collet, xxHash, XXH3 with 128 bits (bibliography: xxhash).
//!
//! The chain names its list by a C4 identifier, which it must: SHA-512 as a number of base 58.
//! Source: SMPTE ST 2114, Unique Digital Identifier (C4 ID) (bibliography: c4).

use super::{CHECKSUMS, PackedFile, shown};
use crate::diagnostics::{Diagnostic, codes};
use jiff::{Timestamp, tz::TimeZone};
use quick_xml::escape::escape;
use sha2::{Digest, Sha512};
use std::collections::BTreeMap;
use std::fmt::Write;
use twox_hash::XxHash3_128;

/// Name of the file that lists the lists.
pub const CHAIN: &str = "ascmhl_chain.xml";

/// What a media hash list says besides the files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MediaHashes {
    /// Name of the package, part of the list's file name: letters, digits, hyphens and underscores.
    pub name: String,
    /// When the package was made: `2026-11-30T08:00:00Z`.
    pub made: String,
    /// The machine or the place where it was made. The format wants it, and takes an empty text.
    pub host: String,
    /// Who made it; empty to say nothing.
    pub author: String,
}

/// A C4 identifier from a SHA-512: `c4` and 88 digits of base 58, the highest first.
#[must_use]
pub fn c4(sha512: &[u8; 64]) -> String {
    const DIGITS: &[u8; 58] = b"123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz";
    const LENGTH: usize = 88;
    let mut number = *sha512;
    let mut text = [0; LENGTH];
    for digit in text.iter_mut().rev() {
        let mut rest = 0_usize;
        for byte in &mut number {
            let value = rest * 256 + usize::from(*byte);
            // Below 256, for the rest is below 58.
            *byte = (value / 58) as u8;
            rest = value % 58;
        }
        *digit = DIGITS[rest];
    }
    text.iter().fold("c4".to_owned(), |mut id, digit| {
        id.push(char::from(*digit));
        id
    })
}

/// File name and text of the list of generation 1.
pub fn hash_list(about: &MediaHashes, files: &[PackedFile]) -> Result<(String, String), Diagnostic> {
    let made = moment(&about.made)?;
    let name = &about.name;
    if name.is_empty()
        || name.len() > 100
        || !name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte))
    {
        let message = format!("{} can't be the name of a media hash list", shown(name));
        return Err(Diagnostic::error(&codes::MEDIA_HASHES, message)
            .help("use 1 to 100 letters, digits, hyphens and underscores without accents"));
    }
    let utc = made.to_zoned(TimeZone::UTC);
    let file = format!("0001_{name}_{}Z.mhl", utc.strftime("%Y-%m-%d_%H%M%S"));
    Ok((file, text(about, &utc.strftime("%Y-%m-%dT%H:%M:%S+00:00").to_string(), files)))
}

fn moment(text: &str) -> Result<Timestamp, Diagnostic> {
    text.parse().map_err(|_| {
        Diagnostic::error(&codes::MEDIA_HASHES, format!("{} is no moment", shown(text)))
            .help("write date, time and zone, such as 2026-11-30T08:00:00Z")
    })
}

fn text(about: &MediaHashes, made: &str, files: &[PackedFile]) -> String {
    let mut root = Folder::default();
    for file in files.iter().filter(|file| file.path != CHECKSUMS) {
        root.add(&file.path, file);
    }
    let mut hashes = String::new();
    let both = root.write("", made, &mut hashes);
    // The schema wants at least one file, or no list of them.
    if !hashes.is_empty() {
        hashes = format!("  <hashes>\n{hashes}  </hashes>\n");
    }
    let author = match about.author.as_str() {
        "" => String::new(),
        author => format!("    <author>{}</author>\n", escape(author)),
    };
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<hashlist version=\"2.0\" xmlns=\"urn:ASC:MHL:v2.0\">\n  <creatorinfo>\n    \
         <creationdate>{made}</creationdate>\n    <hostname>{}</hostname>\n    \
         <tool version=\"{}\">lookwright</tool>\n{author}  </creatorinfo>\n  <processinfo>\n    <process>in-place</process>\n    \
         <roothash>\n{}    </roothash>\n    <ignore>\n      <pattern>.DS_Store</pattern>\n      \
         <pattern>ascmhl</pattern>\n      <pattern>ascmhl/</pattern>\n      <pattern>{CHECKSUMS}</pattern>\n    \
         </ignore>\n  </processinfo>\n{hashes}</hashlist>\n",
        escape(&about.host),
        env!("CARGO_PKG_VERSION"),
        both.elements(made),
    )
}

/// The two hashes of a folder: of what it holds, and of that with the names.
struct FolderHashes {
    content: u128,
    structure: u128,
}

impl FolderHashes {
    fn elements(&self, made: &str) -> String {
        format!(
            "      <content>\n        <xxh128 hashdate=\"{made}\">{:032x}</xxh128>\n      </content>\n      <structure>\n        \
             <xxh128 hashdate=\"{made}\">{:032x}</xxh128>\n      </structure>\n",
            self.content, self.structure
        )
    }
}

/// A folder of the package.
#[derive(Default)]
struct Folder<'a> {
    files: BTreeMap<&'a str, &'a PackedFile>,
    folders: BTreeMap<&'a str, Folder<'a>>,
}

impl<'a> Folder<'a> {
    fn add(&mut self, path: &'a str, file: &'a PackedFile) {
        match path.split_once('/') {
            Some((folder, rest)) => self.folders.entry(folder).or_default().add(rest, file),
            None => drop(self.files.insert(path, file)),
        }
    }

    /// Writes what is in the folder, and gives the folder's own hashes.
    fn write(&self, path: &str, made: &str, to: &mut String) -> FolderHashes {
        let mut contents = Vec::new();
        let mut structures = Vec::new();
        for (name, folder) in &self.folders {
            let path = format!("{path}{name}");
            let both = folder.write(&format!("{path}/"), made, to);
            let _ = write!(
                to,
                "    <directoryhash>\n      <path>{}</path>\n{}    </directoryhash>\n",
                escape(path.as_str()),
                both.elements(made)
            );
            contents.push(both.content);
            structures.push(named(name, both.structure));
        }
        for (name, file) in &self.files {
            let _ = write!(
                to,
                "    <hash>\n      <path size=\"{}\">{}</path>\n      \
                 <xxh128 action=\"original\" hashdate=\"{made}\">{:032x}</xxh128>\n    </hash>\n",
                file.size,
                escape(file.path.as_str()),
                file.xxh128
            );
            contents.push(file.xxh128);
            structures.push(named(name, file.xxh128));
        }
        FolderHashes { content: hash_of_hashes(contents), structure: hash_of_hashes(structures) }
    }
}

/// The hash of a name with a hash.
fn named(name: &str, hash: u128) -> u128 {
    XxHash3_128::oneshot(&[name.as_bytes(), &hash.to_be_bytes()].concat())
}

/// The hash of hashes in ascending order. In hexadecimal digits they have the same order as these numbers.
fn hash_of_hashes(mut hashes: Vec<u128>) -> u128 {
    hashes.sort_unstable();
    let bytes: Vec<u8> = hashes.iter().flat_map(|hash| hash.to_be_bytes()).collect();
    XxHash3_128::oneshot(&bytes)
}

/// The text of the chain that names the one list.
pub fn chain(name: &str, list: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ascmhldirectory xmlns=\"urn:ASC:MHL:DIRECTORY:v2.0\">\n  \
         <hashlist sequencenr=\"1\">\n    <path>{}</path>\n    <c4>{}</c4>\n  </hashlist>\n</ascmhldirectory>\n",
        escape(name),
        c4(&Sha512::digest(list).into())
    )
}

#[cfg(test)]
mod tests {
    use super::c4;
    use sha2::{Digest, Sha512};

    #[test]
    fn identifiers_are_those_of_the_reference() {
        // Source: computed by the reference implementation, ascmhl 1.2, for no bytes and for "hi" with a line feed.
        let empty = "c459dsjfscH38cYeXXYogktxf4Cd9ibshE3BHUo6a58hBXmRQdZrAkZzsWcbWtDg5oQstpDuni4Hirj75GEmTc1sFT";
        let hi = "c45JwjSStebbqWE4Ukh496L9zUAZE7EbVveaDe4yzmnP5kow3C9JStUszZv73GPusuodQALjBedm4GWKA6f7zrBaKu";
        assert_eq!(c4(&Sha512::digest(b"").into()), empty);
        assert_eq!(c4(&Sha512::digest(b"hi\n").into()), hi);
        // Zero is written with all its digits.
        assert_eq!(c4(&[0; 64]), format!("c4{}", "1".repeat(88)));
    }
}
