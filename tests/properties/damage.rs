//! Files that were damaged in a few places.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;

/// One piece of damage: where, what kind, a byte, and how much.
pub type Damage = (Index, u8, u8, u16);

/// Which of the files, and what happens to it.
pub fn damages() -> impl Strategy<Value = (Index, Vec<Damage>)> {
    (any::<Index>(), vec((any::<Index>(), 0..6_u8, any::<u8>(), any::<u16>()), 1..8))
}

/// A file after all that happened to it.
pub fn damaged(files: &[Vec<u8>], (which, damages): &(Index, Vec<Damage>)) -> Vec<u8> {
    let mut bytes = files[which.index(files.len())].clone();
    for (place, kind, byte, amount) in damages {
        // Half of the damage falls into the first bytes, where headers are.
        let reach = if amount % 2 == 0 { bytes.len().min(200) } else { bytes.len() };
        let at = place.index(reach + 1);
        match kind {
            0 => bytes.insert(at, *byte),
            1 if at < bytes.len() => bytes[at] = *byte,
            2 if at < bytes.len() => bytes[at] ^= 1 << (byte % 8),
            3 => bytes.truncate(at.max(bytes.len() / 3)),
            4 => {
                let end = (at + usize::from(amount % 64)).min(bytes.len());
                let piece = bytes[at..end].to_vec();
                drop(bytes.splice(at..at, piece));
            }
            _ => {
                let end = (at + usize::from(amount % 64)).min(bytes.len());
                drop(bytes.drain(at..end));
            }
        }
    }
    bytes
}
