//! Zip archives byte by byte, so that every field can be wrong.
//!
//! Source of the fields and their order: PKWARE, APPNOTE.TXT, sections 4.3.7 (local header), 4.3.9 (data descriptor), 4.3.12
//! (central header) and 4.3.16 (end record).

/// An entry, as its own header and the table of contents tell it.
#[derive(Clone)]
pub struct Entry {
    pub name: Vec<u8>,
    /// What its own header calls it; the same name, if none.
    pub own_name: Option<Vec<u8>>,
    /// Its bytes as they lie in the archive.
    pub data: Vec<u8>,
    pub size: u32,
    pub packed: u32,
    pub crc: u32,
    pub flags: u16,
    /// Flags in the table of contents; the same, if none.
    pub table_flags: Option<u16>,
    pub method: u16,
    /// The Unix mode, of which the high bits say what kind of file it is.
    pub mode: u32,
    pub dos_attributes: u32,
    pub extra: Vec<u8>,
    pub table_extra: Vec<u8>,
    /// A record behind the bytes; the own header's sizes are 0 then.
    pub descriptor: Option<Vec<u8>>,
    /// Where the table says that it is, instead of where it is.
    pub offset: Option<u32>,
    /// Bytes before its header that belong to nothing.
    pub before: Vec<u8>,
    pub disk: u16,
}

impl Entry {
    /// A file that is not compressed.
    pub fn stored(name: &str, data: &[u8]) -> Self {
        Self {
            name: name.as_bytes().to_vec(),
            own_name: None,
            data: data.to_vec(),
            size: data.len() as u32,
            packed: data.len() as u32,
            crc: crc32(data),
            flags: 1 << 11,
            table_flags: None,
            method: 0,
            mode: 0o100_644,
            dos_attributes: 0,
            extra: Vec::new(),
            table_extra: Vec::new(),
            descriptor: None,
            offset: None,
            before: Vec::new(),
            disk: 0,
        }
    }

    /// A file that is compressed.
    pub fn deflated(name: &str, data: &[u8]) -> Self {
        let packed = miniz_oxide::deflate::compress_to_vec(data, 6);
        Self {
            size: data.len() as u32,
            packed: packed.len() as u32,
            crc: crc32(data),
            method: 8,
            data: packed,
            ..Self::stored(name, b"")
        }
    }

    /// A folder.
    pub fn folder(name: &str) -> Self {
        Self { mode: 0o040_755, ..Self::stored(name, b"") }
    }

    /// With sizes told behind the bytes, as programs write that don't know them before.
    pub fn with_descriptor(mut self, has_signature: bool) -> Self {
        let mut record = if has_signature { b"PK\x07\x08".to_vec() } else { Vec::new() };
        for number in [self.crc, self.packed, self.size] {
            record.extend(number.to_le_bytes());
        }
        self.descriptor = Some(record);
        self.flags |= 1 << 3;
        self
    }

    fn local(&self) -> Vec<u8> {
        let name = self.own_name.as_ref().unwrap_or(&self.name);
        let sizes = if self.descriptor.is_some() { [0; 3] } else { [self.crc, self.packed, self.size] };
        let mut bytes = b"PK\x03\x04".to_vec();
        words(&mut bytes, &[20, self.flags, self.method, 0, 0x21]);
        doubles(&mut bytes, &sizes);
        words(&mut bytes, &[name.len() as u16, self.extra.len() as u16]);
        bytes.extend(name);
        bytes.extend(&self.extra);
        bytes.extend(&self.data);
        bytes.extend(self.descriptor.iter().flatten());
        bytes
    }

    fn central(&self, place: u32) -> Vec<u8> {
        let mut bytes = b"PK\x01\x02".to_vec();
        words(&mut bytes, &[0x0314, 20, self.table_flags.unwrap_or(self.flags), self.method, 0, 0x21]);
        doubles(&mut bytes, &[self.crc, self.packed, self.size]);
        words(&mut bytes, &[self.name.len() as u16, self.table_extra.len() as u16, 0, self.disk, 0]);
        doubles(&mut bytes, &[self.mode << 16 | self.dos_attributes, self.offset.unwrap_or(place)]);
        bytes.extend(&self.name);
        bytes.extend(&self.table_extra);
        bytes
    }
}

/// A whole archive.
#[derive(Clone, Default)]
pub struct Archive {
    pub entries: Vec<Entry>,
    /// Bytes after the last entry, between table and end, and after the end.
    pub after_entries: Vec<u8>,
    pub after_table: Vec<u8>,
    pub after_end: Vec<u8>,
    pub comment: Vec<u8>,
    /// What the end says instead of what is so.
    pub count: Option<u16>,
    pub disk: u16,
    pub table_place: Option<u32>,
}

impl Archive {
    pub fn of(entries: impl IntoIterator<Item = Entry>) -> Self {
        Self { entries: entries.into_iter().collect(), ..Self::default() }
    }

    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut table = Vec::new();
        for entry in &self.entries {
            bytes.extend(&entry.before);
            table.extend(entry.central(bytes.len() as u32));
            bytes.extend(entry.local());
        }
        bytes.extend(&self.after_entries);
        let place = bytes.len() as u32;
        bytes.extend(&table);
        bytes.extend(&self.after_table);
        let count = self.count.unwrap_or(self.entries.len() as u16);
        bytes.extend(b"PK\x05\x06");
        words(&mut bytes, &[self.disk, 0, count, count]);
        doubles(&mut bytes, &[table.len() as u32, self.table_place.unwrap_or(place)]);
        words(&mut bytes, &[self.comment.len() as u16]);
        bytes.extend(&self.comment);
        bytes.extend(&self.after_end);
        bytes
    }
}

/// An extra field.
pub fn extra(id: u16, data: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    words(&mut bytes, &[id, data.len() as u16]);
    bytes.extend(data);
    bytes
}

fn words(to: &mut Vec<u8>, words: &[u16]) {
    to.extend(words.iter().flat_map(|word| word.to_le_bytes()));
}

fn doubles(to: &mut Vec<u8>, doubles: &[u32]) {
    to.extend(doubles.iter().flat_map(|double| double.to_le_bytes()));
}

/// The checksum of an entry, bit by bit: the polynomial of APPNOTE.TXT, section 4.4.7 (0xdebb20e3 is its remainder).
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc: u32, _| if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 })
    })
}
