//! Time codes as they stand in a list.

use std::fmt;

/// A time code. How many frames a second has is not known to a list, so that frames run to 99 here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Timecode {
    /// Hours, 0..99.
    pub hours: u8,
    /// Minutes, 0..59.
    pub minutes: u8,
    /// Seconds, 0..59.
    pub seconds: u8,
    /// Frames, 0..99.
    pub frames: u8,
    /// Whether it is written as one that drops frames, with a semicolon, a point or a comma anywhere in it.
    pub drop_frame: bool,
}

impl Timecode {
    /// Reads `01:02:03:04` or `01:02:03;04`.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        let mut fields = [0; 4];
        let mut count = 0;
        let mut drop_frame = false;
        for field in word.split([':', ';', '.', ',']) {
            if field.is_empty() || field.len() > 2 || !field.bytes().all(|byte| byte.is_ascii_digit()) {
                return None;
            }
            *fields.get_mut(count)? = field.parse().ok()?;
            count += 1;
        }
        drop_frame |= word.contains([';', '.', ',']);
        let [hours, minutes, seconds, frames] = fields;
        (count == 4 && minutes < 60 && seconds < 60).then_some(Self { hours, minutes, seconds, frames, drop_frame })
    }
}

impl fmt::Display for Timecode {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { hours, minutes, seconds, frames, drop_frame } = self;
        let last = if *drop_frame { ';' } else { ':' };
        write!(formatter, "{hours:02}:{minutes:02}:{seconds:02}{last}{frames:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::Timecode;

    #[test]
    fn time_codes_are_read_and_nothing_else() {
        for (word, shown) in
            [("01:02:03:04", "01:02:03:04"), ("01:02:03;04", "01:02:03;04"), ("1:2:3:4", "01:02:03:04")]
        {
            assert_eq!(Timecode::parse(word).map(|code| code.to_string()).as_deref(), Some(shown), "{word}");
        }
        for word in
            ["01:02:03", "01:60:00:00", "01:00:60:00", "01:02:03:04:05", "01:02:03:", "00:00:00:100", "+1:02:03:04"]
        {
            assert_eq!(Timecode::parse(word), None, "{word}");
        }
    }
}
