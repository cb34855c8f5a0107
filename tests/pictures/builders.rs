//! Picture files built byte by byte from the published layouts, independent of the library that reads them.

/// A PNG (ISO/IEC 15948): the header fields, the rows with their filter bytes, and chunks between header and data.
pub struct Png<'a> {
    pub width: u32,
    pub height: u32,
    pub bit_depth: u8,
    pub colour_type: u8,
    pub interlace: u8,
    pub chunks: &'a [(&'a [u8; 4], &'a [u8])],
    pub rows: &'a [u8],
}

impl Png<'_> {
    pub fn bytes(&self) -> Vec<u8> {
        let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
        let mut header = Vec::new();
        header.extend(self.width.to_be_bytes());
        header.extend(self.height.to_be_bytes());
        header.extend([self.bit_depth, self.colour_type, 0, 0, self.interlace]);
        png_chunk(&mut file, b"IHDR", &header);
        for (kind, data) in self.chunks {
            png_chunk(&mut file, kind, data);
        }
        png_chunk(&mut file, b"IDAT", &stored_zlib(self.rows));
        png_chunk(&mut file, b"IEND", &[]);
        file
    }
}

fn png_chunk(file: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
    file.extend((data.len() as u32).to_be_bytes());
    let start = file.len();
    file.extend(kind);
    file.extend(data);
    let checksum = crc32(&file[start..]);
    file.extend(checksum.to_be_bytes());
}

/// The checksum of ISO/IEC 15948, annex D.
fn crc32(bytes: &[u8]) -> u32 {
    let step = |crc: u32, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 };
    !bytes.iter().fold(u32::MAX, |crc, &byte| (0..8).fold(crc ^ u32::from(byte), step))
}

/// A zlib stream (RFC 1950) of one stored block (RFC 1951); up to 65535 bytes.
pub fn stored_zlib(data: &[u8]) -> Vec<u8> {
    let length = u16::try_from(data.len()).expect("small enough for one stored block");
    let mut stream = vec![0x78, 0x01, 0x01];
    stream.extend(length.to_le_bytes());
    stream.extend((!length).to_le_bytes());
    stream.extend(data);
    let (a, b) = data.iter().fold((1u32, 0u32), |(a, b), &byte| {
        let a = (a + u32::from(byte)) % 65_521;
        (a, (b + a) % 65_521)
    });
    stream.extend((b << 16 | a).to_be_bytes());
    stream
}

/// A TIFF 6.0 file, little-endian, uncompressed, in one strip. Photometric interpretation 1 is grey, 2 RGB, 5 CMYK.
pub struct Tiff<'a> {
    pub width: u16,
    pub height: u16,
    pub samples: u16,
    pub bits: u16,
    pub photometric: u16,
    pub orientation: u16,
    /// 0 none, 1 alpha multiplied into the colour, 2 alpha apart (TIFF 6.0, section 18).
    pub extra_samples: u16,
    pub data: &'a [u8],
}

impl Tiff<'_> {
    pub fn bytes(&self) -> Vec<u8> {
        const SHORT: u16 = 3;
        const LONG: u16 = 4;
        let entry_count = if self.extra_samples > 0 { 11 } else { 10 };
        let bits_at = 8 + 2 + 12 * entry_count + 4;
        let data_at = bits_at + 2 * u32::from(self.samples);
        // Up to two values stand in the entry itself, more at an offset.
        let bits = match self.samples {
            0 | 1 => u32::from(self.bits),
            2 => u32::from(self.bits) * 0x1_0001,
            _ => bits_at,
        };
        let mut entries: Vec<(u16, u16, u32, u32)> = vec![
            (256, SHORT, 1, self.width.into()),
            (257, SHORT, 1, self.height.into()),
            (258, SHORT, self.samples.into(), bits),
            (259, SHORT, 1, 1),
            (262, SHORT, 1, self.photometric.into()),
            (273, LONG, 1, data_at),
            (274, SHORT, 1, self.orientation.into()),
            (277, SHORT, 1, self.samples.into()),
            (278, SHORT, 1, self.height.into()),
            (279, LONG, 1, self.data.len() as u32),
        ];
        if self.extra_samples > 0 {
            entries.push((338, SHORT, 1, self.extra_samples.into()));
        }
        let mut file = b"II*\0\x08\0\0\0".to_vec();
        file.extend((entries.len() as u16).to_le_bytes());
        for (tag, kind, count, value) in entries {
            file.extend(tag.to_le_bytes());
            file.extend(kind.to_le_bytes());
            file.extend(count.to_le_bytes());
            file.extend(value.to_le_bytes());
        }
        file.extend([0; 4]);
        (0..self.samples).for_each(|_| file.extend(self.bits.to_le_bytes()));
        file.extend(self.data);
        file
    }
}

/// A JPEG (ISO/IEC 10918-1) of 8 × 8 blocks in one row, each of one value a component: baseline, no subsampling.
/// Quantisation is 1, so that the DC coefficient of a block is 8 · (value − 128), and there are no AC coefficients.
pub fn flat_jpeg(components: u8, blocks: &[&[u8]], segments: &[(u8, &[u8])]) -> Vec<u8> {
    let mut file = vec![0xff, 0xd8];
    let mut segment = |marker: u8, data: &[u8]| {
        file.extend([0xff, marker]);
        file.extend((data.len() as u16 + 2).to_be_bytes());
        file.extend(data);
    };
    for (marker, data) in segments {
        segment(*marker, data);
    }
    let mut quantisation = vec![0];
    quantisation.extend([1; 64]);
    segment(0xdb, &quantisation);
    let width = 8 * blocks.len() as u16;
    let mut frame = vec![8, 0, 8];
    frame.extend(width.to_be_bytes());
    frame.push(components);
    (1..=components).for_each(|id| frame.extend([id, 0x11, 0]));
    segment(0xc0, &frame);
    // DC: twelve categories, all with codes of four bits (0000 is category 0). AC: the end of the block alone, one bit.
    let mut dc = vec![0x00, 0, 0, 0, 12, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    dc.extend(0..12);
    segment(0xc4, &dc);
    segment(0xc4, &[0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    let mut scan = vec![components];
    (1..=components).for_each(|id| scan.extend([id, 0x00]));
    scan.extend([0, 63, 0]);
    segment(0xda, &scan);
    file.extend(flat_blocks(components.into(), blocks));
    file.extend([0xff, 0xd9]);
    file
}

fn flat_blocks(components: usize, blocks: &[&[u8]]) -> Vec<u8> {
    let mut bits: Vec<bool> = Vec::new();
    let mut push = |value: u32, count: u32| bits.extend((0..count).rev().map(|bit| value >> bit & 1 == 1));
    let mut previous = vec![0i32; components];
    for block in blocks {
        for (component, &value) in block.iter().enumerate() {
            let coefficient = 8 * (i32::from(value) - 128);
            let difference = coefficient - previous[component];
            previous[component] = coefficient;
            let category = 32 - difference.unsigned_abs().leading_zeros();
            push(category, 4);
            // Negative differences are sent as their ones' complement (annex F.1.2.1).
            push((if difference < 0 { difference - 1 } else { difference }) as u32, category);
            push(0, 1);
        }
    }
    while !bits.len().is_multiple_of(8) {
        bits.push(true);
    }
    let bytes = bits.chunks(8).map(|byte| byte.iter().fold(0, |sum, &bit| sum << 1 | u8::from(bit)));
    bytes.flat_map(|byte| if byte == 0xff { vec![0xff, 0] } else { vec![byte] }).collect()
}

/// An Exif segment (CIPA DC-008) that holds the orientation alone.
pub fn exif_orientation(orientation: u8) -> Vec<u8> {
    let mut segment = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
    segment.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
    segment
}

/// An OpenEXR file of half floats, uncompressed, one line a block ("OpenEXR File Layout"). Channels are in the order of
/// the file, which is alphabetical; `rows` holds a line's first channel, then its second, and so on.
#[derive(Clone, Copy)]
pub struct Exr<'a> {
    pub width: u32,
    pub height: u32,
    pub channels: &'a [&'a str],
    pub compression: u8,
    pub flags: u32,
    pub tile: Option<u32>,
    pub rows: &'a [u16],
}

impl Exr<'_> {
    pub fn bytes(&self) -> Vec<u8> {
        let mut file = vec![0x76, 0x2f, 0x31, 0x01];
        file.extend((2 | self.flags).to_le_bytes());
        let mut attribute = |name: &str, kind: &str, value: &[u8]| {
            file.extend(name.bytes().chain([0]).chain(kind.bytes()).chain([0]));
            file.extend((value.len() as u32).to_le_bytes());
            file.extend(value);
        };
        let mut channels = Vec::new();
        for name in self.channels {
            channels.extend(name.bytes().chain([0]));
            // A half float; not linear; three reserved bytes; one sample for each pixel across and down.
            channels.extend([1, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0]);
        }
        channels.push(0);
        let corner = [0, 0, self.width.wrapping_sub(1), self.height.wrapping_sub(1)];
        let window: Vec<u8> = corner.iter().flat_map(|edge: &u32| edge.to_le_bytes()).collect();
        attribute("channels", "chlist", &channels);
        attribute("compression", "compression", &[self.compression]);
        attribute("dataWindow", "box2i", &window);
        attribute("displayWindow", "box2i", &window);
        attribute("lineOrder", "lineOrder", &[0]);
        attribute("pixelAspectRatio", "float", &1f32.to_le_bytes());
        attribute("screenWindowCenter", "v2f", &[0; 8]);
        attribute("screenWindowWidth", "float", &1f32.to_le_bytes());
        if let Some(side) = self.tile {
            let mut tile = [side.to_le_bytes(), side.to_le_bytes()].concat();
            tile.push(0);
            attribute("tiles", "tiledesc", &tile);
        }
        file.push(0);
        self.append_lines(&mut file);
        file
    }

    /// The table of offsets, then each line with its number and its length.
    fn append_lines(&self, file: &mut Vec<u8>) {
        let line = self.rows.len() / self.height.clamp(1, 64) as usize;
        let lines: Vec<&[u16]> = self.rows.chunks_exact(line.max(1)).collect();
        let first = file.len() + 8 * lines.len();
        (0..lines.len()).for_each(|index| file.extend(((first + index * (8 + 2 * line)) as u64).to_le_bytes()));
        for (y, line) in lines.iter().enumerate() {
            file.extend((y as u32).to_le_bytes());
            file.extend((2 * line.len() as u32).to_le_bytes());
            line.iter().for_each(|half| file.extend(half.to_le_bytes()));
        }
    }
}
