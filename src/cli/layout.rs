//! How text is laid out on the terminal: a label, and beside it words that wrap.

/// Columns that a line of text may take; wider tables are not wrapped.
const WIDTH: usize = 100;

/// A line `  label  text`, its text starting at column `indent` and wrapped there. Empty text gives nothing.
pub fn labelled(label: &str, text: &str, indent: usize) -> String {
    let mut lines = String::new();
    let mut line = String::new();
    // Somebody else's text must not steer the terminal.
    let text = text.replace(|character: char| character.is_control() && !character.is_whitespace(), "");
    for word in text.split_whitespace() {
        if !line.is_empty() && indent + line.chars().count() + 1 + word.chars().count() > WIDTH {
            push(&mut lines, label, &line, indent);
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() {
        push(&mut lines, label, &line, indent);
    }
    lines
}

/// The label stands in the first line only.
fn push(lines: &mut String, label: &str, line: &str, indent: usize) {
    let label = if lines.is_empty() { label } else { "" };
    let label = format!("  {label}");
    // A label that is too long for its column still keeps its distance.
    let gap = indent.saturating_sub(label.chars().count()).max(usize::from(!label.trim().is_empty()));
    lines.push_str(&format!("{label}{:gap$}{line}\n", ""));
}

#[cfg(test)]
mod tests {
    use super::labelled;

    #[test]
    fn long_text_wraps_under_its_own_column() {
        let text = "word ".repeat(30);
        let laid_out = labelled("note", &text, 10);
        let lines: Vec<&str> = laid_out.lines().collect();
        assert_eq!(lines.len(), 2, "{laid_out}");
        assert!(lines[0].starts_with("  note    word"), "{laid_out}");
        assert!(lines[1].starts_with("          word"), "{laid_out}");
        assert!(lines.iter().all(|line| line.len() <= 100), "{laid_out}");
    }

    #[test]
    fn no_text_is_no_line() {
        assert_eq!(labelled("note", "", 10), "");
    }
}
