//! The structure of a zip archive that came from anywhere: read strictly, so that no two programs can read it differently.
//!
//! Every byte must belong to exactly one entry or to the table of contents, and both must tell the same. Section numbers are
//! those of PKWARE's APPNOTE.TXT (bibliography: zip).

use super::names::{Kind, Names};
use super::source::Source;
use super::{FREE_BYTES, MAX_ARCHIVE_BYTES, MAX_ENTRIES, MAX_ENTRY_BYTES, MAX_RATIO, MAX_TOTAL_BYTES, Problems, shown};
use crate::diagnostics::{Code, Diagnostic, codes};
use std::io;
use std::sync::Arc;

/// An entry as the table of contents and its own header agree on it.
#[derive(Clone, Debug)]
pub struct Member {
    /// Its path; of a folder without the slash at the end.
    pub path: String,
    pub name: Vec<u8>,
    pub is_folder: bool,
    pub size: u64,
    pub packed: u64,
    pub crc: u32,
    pub header: u64,
    pub data: u64,
    flags: u16,
    method: u16,
}

/// Signatures, and the lengths of what follows them. Sections 4.3.7, 4.3.9, 4.3.12, 4.3.15 and 4.3.16.
const LOCAL: &[u8; 4] = b"PK\x03\x04";
const LOCAL_LENGTH: u64 = 30;
const DESCRIPTOR: &[u8; 4] = b"PK\x07\x08";
const CENTRAL: &[u8; 4] = b"PK\x01\x02";
const CENTRAL_LENGTH: usize = 46;
const LOCATOR_64: &[u8; 4] = b"PK\x06\x07";
const LOCATOR_64_LENGTH: u64 = 20;
const END: &[u8; 4] = b"PK\x05\x06";
const END_LENGTH: u64 = 22;

/// General purpose bits, section 4.4.4.
const ENCRYPTED: u16 = 1 | 1 << 6 | 1 << 13;
const PATCH: u16 = 1 << 5;
const HAS_DESCRIPTOR: u16 = 1 << 3;

/// Extra fields, sections 4.5 and 4.6.
const ZIP64: u16 = 0x0001;
const UNICODE_PATH: u16 = 0x7075;
const AES: u16 = 0x9901;

/// Most bytes of a table of contents: what the most entries need, each with 1.6 KB of names and notes.
const MAX_TABLE_BYTES: u64 = 32 << 20;

/// The kind of a file among its Unix mode's bits (POSIX, sys/stat.h), and a link among DOS attributes (Microsoft, File Attribute
/// Constants: reparse point).
const KIND_BITS: u32 = 0o170_000;
const REGULAR: u32 = 0o100_000;
const FOLDER: u32 = 0o040_000;
const REPARSE_POINT: u32 = 0x400;

fn error(code: &'static Code, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(code, message)
}

fn damaged(message: impl Into<String>) -> Diagnostic {
    error(&codes::PACKAGE_DAMAGED, message)
}

fn hidden(message: impl Into<String>) -> Diagnostic {
    error(&codes::PACKAGE_HIDDEN, message)
}

fn unsupported(message: impl Into<String>) -> Diagnostic {
    error(&codes::PACKAGE_UNSUPPORTED, message)
}

fn unread(fault: &io::Error) -> Diagnostic {
    error(&codes::FILE_UNREADABLE, format!("the archive can't be read: {fault}"))
}

fn word(bytes: &[u8], at: usize) -> u16 {
    u16::from_le_bytes([bytes[at], bytes[at + 1]])
}

fn double(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]])
}

/// Reads the structure. Entries are only of use if no problem was found.
pub fn read(source: &Arc<Source>, problems: &mut Problems) -> Vec<Member> {
    match table(source) {
        Ok((count, place, bytes)) => {
            let mut members = entries(count, &bytes, problems);
            if problems.is_empty() {
                tile(source, &mut members, place, problems);
            }
            members
        }
        Err(problem) => {
            problems.add(problem);
            Vec::new()
        }
    }
}

/// The table of contents: how many entries, where it begins, its bytes.
fn table(source: &Arc<Source>) -> Result<(usize, u64, Vec<u8>), Diagnostic> {
    let length = source.len();
    if length > MAX_ARCHIVE_BYTES {
        return Err(error(&codes::PACKAGE_TOO_LARGE, format!("the archive has {length} bytes, more than 4 GiB")));
    }
    let begins_as_one = begins_with(source, LOCAL)? || begins_with(source, END)?;
    let Some((end_place, end)) = end_record(source)? else {
        let fault = if begins_as_one {
            damaged("the archive has no table of contents at its end: it was cut off, or something was appended to it")
        } else {
            error(&codes::PACKAGE_UNKNOWN, "it is no zip archive")
        };
        return Err(fault);
    };
    if !begins_as_one {
        return Err(hidden("there are bytes before the first entry, as in an archive that unpacks itself"));
    }
    let counts = [word(&end, 8), word(&end, 10)];
    let (size, place) = (u64::from(double(&end, 12)), u64::from(double(&end, 16)));
    let sentinels = counts.contains(&u16::MAX) || size == u64::from(u32::MAX) || place == u64::from(u32::MAX);
    let locator = end_place.checked_sub(LOCATOR_64_LENGTH).map(|place| source.piece(place, 4)).transpose();
    let locator = locator.map_err(|fault| unread(&fault))?.flatten();
    if sentinels || locator.is_some_and(|bytes| bytes == LOCATOR_64) {
        return Err(unsupported("the archive uses zip64, which only files above 4 GiB or 65,534 entries need"));
    }
    if word(&end, 4) != 0 || word(&end, 6) != 0 || counts[0] != counts[1] {
        return Err(unsupported("the archive is one part of several"));
    }
    let count = usize::from(counts[1]);
    if count > MAX_ENTRIES {
        let message = format!("the archive has {count} entries; a package has at most {MAX_ENTRIES}");
        return Err(error(&codes::PACKAGE_TOO_LARGE, message));
    }
    if place + size > end_place {
        return Err(damaged("the table of contents reaches beyond the end of the archive"));
    }
    if place + size < end_place {
        return Err(hidden(format!(
            "there are {} bytes between the table of contents and its end",
            end_place - place - size
        )));
    }
    if size > MAX_TABLE_BYTES {
        return Err(error(&codes::PACKAGE_TOO_LARGE, format!("the table of contents has {size} bytes")));
    }
    let bytes = source.piece(place, size).map_err(|fault| unread(&fault))?;
    Ok((count, place, bytes.ok_or_else(|| damaged("the table of contents is cut off"))?))
}

fn begins_with(source: &Arc<Source>, signature: &[u8; 4]) -> Result<bool, Diagnostic> {
    let start = source.piece(0, 4).map_err(|fault| unread(&fault))?;
    Ok(start.is_some_and(|start| start == signature))
}

/// The end record: the last one whose comment reaches exactly to the end of the archive.
fn end_record(source: &Arc<Source>) -> Result<Option<(u64, Vec<u8>)>, Diagnostic> {
    let length = source.len();
    let reach = length.min(END_LENGTH + u64::from(u16::MAX));
    let tail = source.piece(length - reach, reach).map_err(|fault| unread(&fault))?.unwrap_or_default();
    let places: Vec<usize> = (0..tail.len()).filter(|at| tail[*at..].starts_with(END)).collect();
    let fitting: Vec<usize> = places
        .into_iter()
        .filter(|at| tail.len() - at >= END_LENGTH as usize)
        .filter(|at| usize::from(word(&tail, at + 20)) == tail.len() - at - END_LENGTH as usize)
        .collect();
    match fitting[..] {
        [] => Ok(None),
        [at] => Ok(Some((length - reach + at as u64, tail[at..].to_vec()))),
        _ => Err(hidden("the archive has several ends, one in the comment of another")),
    }
}

/// The entries of the table, each checked alone, and all names and sizes together.
fn entries(count: usize, mut table: &[u8], problems: &mut Problems) -> Vec<Member> {
    let mut members: Vec<Member> = Vec::new();
    let mut names = Names::default();
    let mut total = 0;
    for index in 0..count {
        let Some((record, rest)) = next_record(table) else {
            problems.add(damaged(format!("entry {} of {count} in the table of contents is damaged", index + 1)));
            return members;
        };
        table = rest;
        let before = problems.list.len() + problems.untold;
        if let Some(member) = entry(record, problems) {
            let kind = if member.is_folder { Kind::Folder } else { Kind::File };
            if let Err(problem) = names.add(&member.path, kind) {
                problems.add(problem);
            }
            if problems.list.len() + problems.untold == before {
                total += member.size;
                members.push(member);
            }
        }
    }
    if !table.is_empty() {
        problems.add(hidden(format!("the table of contents has {} bytes that belong to no entry", table.len())));
    }
    if total > MAX_TOTAL_BYTES {
        let message = format!("the archive claims to hold {total} bytes; a package has at most {MAX_TOTAL_BYTES}");
        problems.add(error(&codes::PACKAGE_TOO_LARGE, message));
    }
    members
}

/// The next record of the table and what follows it.
fn next_record(table: &[u8]) -> Option<(&[u8], &[u8])> {
    if table.len() < CENTRAL_LENGTH || !table.starts_with(CENTRAL) {
        return None;
    }
    let lengths = usize::from(word(table, 28)) + usize::from(word(table, 30)) + usize::from(word(table, 32));
    table.split_at_checked(CENTRAL_LENGTH + lengths)
}

/// One entry, or what is wrong with its name.
fn entry(record: &[u8], problems: &mut Problems) -> Option<Member> {
    let name_end = CENTRAL_LENGTH + usize::from(word(record, 28));
    let extra = &record[name_end..name_end + usize::from(word(record, 30))];
    let name = &record[CENTRAL_LENGTH..name_end];
    let Ok(text) = std::str::from_utf8(name) else {
        let message = format!("the name {} is not UTF-8", shown(&String::from_utf8_lossy(name)));
        problems.add(error(&codes::PACKAGE_PATH, message));
        return None;
    };
    let is_folder = text.ends_with('/');
    let member = Member {
        path: text.strip_suffix('/').unwrap_or(text).to_owned(),
        name: name.to_owned(),
        is_folder,
        size: u64::from(double(record, 24)),
        packed: u64::from(double(record, 20)),
        crc: double(record, 16),
        header: u64::from(double(record, 42)),
        data: 0,
        flags: word(record, 8),
        method: word(record, 10),
    };
    for problem in [
        extra_fault(extra, &member),
        way_fault(&member, word(record, 34)),
        kind_fault(&member, double(record, 38)),
        size_fault(&member),
    ] {
        problem.into_iter().for_each(|problem| problems.add(problem));
    }
    Some(member)
}

/// What is wrong with the extra fields.
fn extra_fault(mut extra: &[u8], member: &Member) -> Option<Diagnostic> {
    let name = shown(&member.path);
    while !extra.is_empty() {
        let field = (extra.len() >= 4).then(|| extra.split_at_checked(4 + usize::from(word(extra, 2)))).flatten();
        let Some((field, rest)) = field else {
            return Some(damaged(format!("the extra fields of {name} are damaged")));
        };
        match word(field, 0) {
            ZIP64 => return Some(unsupported(format!("{name} uses zip64, which only files above 4 GiB need"))),
            AES => return Some(unsupported(format!("{name} is encrypted"))),
            // A version, a checksum of the name, then the name.
            UNICODE_PATH if field.get(9..) != Some(&member.name) => {
                return Some(hidden(format!("{name} has a second name")));
            }
            _ => {}
        }
        extra = rest;
    }
    None
}

/// What is wrong with how it is packed.
fn way_fault(member: &Member, part: u16) -> Option<Diagnostic> {
    let name = shown(&member.path);
    if member.flags & ENCRYPTED != 0 {
        return Some(unsupported(format!("{name} is encrypted")));
    }
    if member.flags & PATCH != 0 || part != 0 {
        return Some(unsupported(format!("{name} is only a part of a file")));
    }
    match member.method {
        0 | 8 => None,
        other => {
            Some(unsupported(format!("{name} is compressed by method {other}; expected 0 (stored) or 8 (deflate)")))
        }
    }
}

/// What is wrong with what it says to be.
fn kind_fault(member: &Member, attributes: u32) -> Option<Diagnostic> {
    let name = shown(&member.path);
    let kind = (attributes >> 16) & KIND_BITS;
    if attributes & REPARSE_POINT != 0 || ![0, REGULAR, FOLDER].contains(&kind) {
        return Some(error(&codes::PACKAGE_LINK, format!("{name} is a link or a device, not a file")));
    }
    if kind == REGULAR && member.is_folder || kind == FOLDER && !member.is_folder {
        return Some(hidden(format!("{name} is a folder by its name or by its mode, but not by both")));
    }
    (member.is_folder && member.size != 0)
        .then(|| hidden(format!("the folder {name} holds {} bytes itself", member.size)))
}

/// What is wrong with its sizes.
fn size_fault(member: &Member) -> Option<Diagnostic> {
    let (name, size, packed) = (shown(&member.path), member.size, member.packed);
    if size == u64::from(u32::MAX) || packed == u64::from(u32::MAX) || member.header == u64::from(u32::MAX) {
        return Some(unsupported(format!("{name} uses zip64, which only files above 4 GiB need")));
    }
    if size > MAX_ENTRY_BYTES {
        let message = format!("{name} claims to hold {size} bytes; a file of a package has at most {MAX_ENTRY_BYTES}");
        return Some(error(&codes::PACKAGE_TOO_LARGE, message));
    }
    if size > FREE_BYTES && size > packed * MAX_RATIO {
        let message =
            format!("{name} claims to unpack from {packed} bytes to {size}, more than {MAX_RATIO} times as many");
        return Some(error(&codes::PACKAGE_TOO_LARGE, message));
    }
    (member.method == 0 && size != packed)
        .then(|| damaged(format!("{name} is not compressed, but has {packed} bytes packed and {size} unpacked")))
}

/// Whether the entries lie one behind the other from the first byte to the table, and say of themselves what the table says.
fn tile(source: &Arc<Source>, members: &mut [Member], table: u64, problems: &mut Problems) {
    let mut order: Vec<usize> = (0..members.len()).collect();
    order.sort_by_key(|index| members[*index].header);
    let mut end = 0;
    for index in order {
        let member = &mut members[index];
        let name = shown(&member.path);
        if member.header < end {
            return problems.add(hidden(format!("{name} overlaps another entry")));
        }
        if member.header > end {
            return problems
                .add(hidden(format!("there are {} bytes before {name} that belong to no entry", member.header - end)));
        }
        match local(source, member, table) {
            Ok(after) => end = after,
            Err(problem) => return problems.add(problem),
        }
    }
    if end != table {
        problems.add(hidden(format!(
            "there are {} bytes after the last entry that belong to none",
            table.saturating_sub(end)
        )));
    }
}

/// Compares an entry's own header with the table; gives where the entry ends.
fn local(source: &Arc<Source>, member: &mut Member, table: u64) -> Result<u64, Diagnostic> {
    let name = shown(&member.path);
    let beyond = || damaged(format!("{name} reaches into the table of contents or beyond"));
    let piece = |place, length| source.piece(place, length).map_err(|fault| unread(&fault));
    let head = piece(member.header, LOCAL_LENGTH)?.filter(|head| head.starts_with(LOCAL));
    let head = head.ok_or_else(|| damaged(format!("{name} is not where the table of contents says")))?;
    let (name_length, extra_length) = (u64::from(word(&head, 26)), u64::from(word(&head, 28)));
    let own_name = piece(member.header + LOCAL_LENGTH, name_length)?.ok_or_else(beyond)?;
    let extra = piece(member.header + LOCAL_LENGTH + name_length, extra_length)?.ok_or_else(beyond)?;
    if own_name != member.name {
        return Err(hidden(format!("{name} calls itself {}", shown(&String::from_utf8_lossy(&own_name)))));
    }
    let (flags, method) = (word(&head, 6), word(&head, 8));
    let has_descriptor = member.flags & HAS_DESCRIPTOR != 0;
    let told = [double(&head, 14), double(&head, 18), double(&head, 22)];
    let known = [member.crc, member.packed as u32, member.size as u32];
    // Where the numbers follow the bytes, each may be 0 here; some programs know the size already.
    let sizes_agree = told.iter().zip(&known).all(|(told, known)| told == known || has_descriptor && *told == 0);
    if flags != member.flags || method != member.method || !sizes_agree {
        return Err(hidden(format!("{name} says something else about itself than the table of contents")));
    }
    if let Some(problem) = extra_fault(&extra, member) {
        return Err(problem);
    }
    member.data = member.header + LOCAL_LENGTH + name_length + extra_length;
    let mut end = member.data + member.packed;
    if has_descriptor {
        end += descriptor(&piece(end, 16.min(table.saturating_sub(end)))?.ok_or_else(beyond)?, known)
            .ok_or_else(|| hidden(format!("{name} says something else behind its bytes than the table of contents")))?;
    }
    if end > table { Err(beyond()) } else { Ok(end) }
}

/// Length of the record behind an entry's bytes, if it says what the table says. Its signature may be missing, section 4.3.9.3.
fn descriptor(bytes: &[u8], known: [u32; 3]) -> Option<u64> {
    let told: Vec<u8> = known.iter().flat_map(|number| number.to_le_bytes()).collect();
    match bytes.strip_prefix(DESCRIPTOR) {
        Some(rest) if rest.starts_with(&told) => Some(16),
        _ => bytes.starts_with(&told).then_some(12),
    }
}
