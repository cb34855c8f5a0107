//! Plain text of a fixed width, in ASCII, so that its columns stand in any editor.

use crate::formats::cube::transliterate;

/// Columns of a text page, at most.
pub(super) const WIDTH: usize = 100;

/// A text in ASCII, on one line.
pub(super) fn ascii(text: &str) -> String {
    let spelled = text.replace("ΔE", "dE").replace('²', "2").replace(['“', '”'], "'");
    let words = spelled.split_whitespace().map(|word| transliterate(word).0);
    words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Lines of at most [`WIDTH`] columns, the first behind `first`, all others behind as many spaces as it has characters.
/// A word that no line holds is cut, after an underscore, hyphen or slash where it has one.
pub(super) fn wrapped(first: &str, text: &str) -> String {
    let indent = first.chars().count().min(WIDTH * 3 / 4);
    let room = WIDTH - indent;
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut word = word;
        loop {
            let line = lines.last_mut().expect("there is always a line");
            let gap = usize::from(!line.is_empty());
            if line.len() + gap + word.len() <= room {
                if gap > 0 {
                    line.push(' ');
                }
                line.push_str(word);
                break;
            }
            if word.len() <= room {
                lines.push(word.to_owned());
                break;
            }
            let (head, rest) = word.split_at(cut(word, room));
            if line.is_empty() {
                line.push_str(head);
            } else {
                lines.push(head.to_owned());
            }
            lines.push(String::new());
            word = rest;
        }
    }
    let mut text = String::new();
    for (place, line) in lines.iter().enumerate() {
        let start = if place == 0 { first.to_owned() } else { " ".repeat(indent) };
        text.push_str(format!("{start}{line}").trim_end());
        text.push('\n');
    }
    text
}

/// Where to cut an ASCII word that is longer than `room`.
fn cut(word: &str, room: usize) -> usize {
    word[..room].rfind(['_', '-', '/']).map_or(room, |place| place + 1)
}

/// A line of one character.
pub(super) fn rule(character: char) -> String {
    let mut line = String::from(character).repeat(WIDTH);
    line.push('\n');
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_their_width_and_lose_nothing() {
        let long = format!("{}_{}", "a".repeat(70), "b".repeat(150));
        let text = format!("one two {long} three");
        let lines = wrapped("note      ", &text);
        assert!(lines.lines().all(|line| line.len() <= WIDTH), "{lines}");
        let joined: String = lines.split_whitespace().skip(1).collect();
        assert_eq!(joined, text.replace(' ', ""));
        assert!(lines.lines().any(|line| line.ends_with('_')), "cut after the underscore");
    }

    #[test]
    fn other_letters_are_spelled() {
        assert_eq!(ascii("Überfahrt “Süd”, ΔE2000 1.2\n− cd/m²"), "Uberfahrt 'Sud', dE2000 1.2 - cd/m2");
    }
}
