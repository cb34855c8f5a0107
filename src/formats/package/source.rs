//! The bytes of an archive, in a file or in memory, read from several places at once.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::sync::{Arc, Mutex, PoisonError};

/// The bytes of an archive.
#[derive(Debug)]
pub enum Source {
    /// In a file, and how many they are.
    File(Mutex<File>, u64),
    /// In memory.
    Bytes(Vec<u8>),
}

impl Source {
    pub fn file(file: File) -> io::Result<Self> {
        let length = file.metadata()?.len();
        Ok(Self::File(Mutex::new(file), length))
    }

    pub fn len(&self) -> u64 {
        match self {
            Self::File(_, length) => *length,
            Self::Bytes(bytes) => bytes.len() as u64,
        }
    }

    /// Up to as many bytes as fit, from a place on.
    fn read_at(&self, place: u64, to: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::File(file, _) => {
                let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
                file.seek(SeekFrom::Start(place))?;
                file.read(to)
            }
            Self::Bytes(bytes) => {
                let rest = usize::try_from(place).ok().and_then(|place| bytes.get(place..)).unwrap_or_default();
                let count = rest.len().min(to.len());
                to[..count].copy_from_slice(&rest[..count]);
                Ok(count)
            }
        }
    }

    /// A piece of the archive; nothing where it ends before.
    pub fn piece(self: &Arc<Self>, place: u64, length: u64) -> io::Result<Option<Vec<u8>>> {
        if place.checked_add(length).is_none_or(|end| end > self.len()) {
            return Ok(None);
        }
        let mut piece = Vec::new();
        let mut reader = Reader { source: self.clone(), place };
        reader.by_ref().take(length).read_to_end(&mut piece)?;
        Ok((piece.len() as u64 == length).then_some(piece))
    }
}

/// Reads an archive from its own place on.
#[derive(Clone, Debug)]
pub struct Reader {
    pub source: Arc<Source>,
    pub place: u64,
}

impl Read for Reader {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        let count = self.source.read_at(self.place, to)?;
        self.place += count as u64;
        Ok(count)
    }
}

impl Seek for Reader {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let place = match to {
            SeekFrom::Start(place) => Some(place),
            SeekFrom::Current(by) => self.place.checked_add_signed(by),
            SeekFrom::End(by) => self.source.len().checked_add_signed(by),
        };
        self.place = place.ok_or_else(|| io::Error::from(io::ErrorKind::InvalidInput))?;
        Ok(self.place)
    }
}
