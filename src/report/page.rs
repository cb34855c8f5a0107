//! The shell that every page shares.

use super::viewer::viewer_head;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Colours, type and print rules. Light and dark stand at its top as custom properties; a test computes their contrast.
const STYLE: &str = include_str!("page.css");

/// A word longer than this may break, in a file's name after an underscore or hyphen; a shorter one stays in one piece. As long as fits into a
/// column of a printed A4 page, this project's own choice.
const UNBROKEN: usize = 26;

/// A whole page: it loads nothing and needs no script. `kind` says what it is, `subject` what it is about.
pub(super) fn page(kind: &str, subject: &str, body: &Markup) -> String {
    whole(kind, subject, &html! { style { (PreEscaped(STYLE)) } }, body)
}

/// A whole page with a [`viewer`](super::viewer): it loads nothing either, and does without a script but for the viewer.
pub(super) fn page_with_viewer(kind: &str, subject: &str, body: &Markup) -> String {
    whole(kind, subject, &viewer_head(STYLE), body)
}

fn whole(kind: &str, subject: &str, head: &Markup, body: &Markup) -> String {
    let title = format!("{kind}: {}", one_line(subject));
    let page = html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="generator" content=(concat!("lookwright ", env!("CARGO_PKG_VERSION")));
                title { (title) }
                (head)
            }
            body {
                (body)
            }
        }
    };
    page.into_string()
}

/// The head of a page.
pub(super) fn masthead(kind: &str, subject: &str, summary: &str) -> Markup {
    html! {
        header.masthead {
            p.kind { (kind) }
            h1 { (name(subject)) }
            @if !summary.is_empty() { p.summary { (name(summary)) } }
        }
    }
}

/// Text that somebody else wrote, kept from turning the direction of what stands around it.
pub(super) fn name(text: &str) -> Markup {
    let long = text.split_whitespace().any(|word| word.chars().count() > UNBROKEN);
    html! { bdi.long[long] { (one_line(text)) } }
}

/// The last part of a path as it is typed or looked for: in one piece, or broken where a break can't be read as a part of it.
pub(super) fn file_name(name: &str) -> Markup {
    let name = &one_line(name);
    if name.chars().count() <= UNBROKEN {
        return html! { code.whole { (name) } };
    }
    let pieces = name.split_inclusive(['_', '-']);
    html! { code.file { @for piece in pieces { span.whole { (piece) } wbr; } } }
}

/// A folder, broken after its slashes only.
pub(super) fn folder(path: &str) -> Markup {
    html! { code.file { @for piece in path.split_inclusive('/') { (piece) wbr; } } }
}

/// A text without line ends and other control characters, and without those that turn the direction of what follows: a title
/// has no element that could hold them.
pub(super) fn one_line(text: &str) -> String {
    text.chars()
        .map(|character| if character.is_control() { ' ' } else { character })
        .filter(|character| !matches!(character, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}'))
        .collect()
}

/// "1 file", "2 files".
pub(super) fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// "a", "a and b", "a, b and c".
pub(super) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_stay_whole_and_long_ones_break_after_underscores() {
        assert_eq!(file_name("NOON_A_7KQ2.cube").into_string(), "<code class=\"whole\">NOON_A_7KQ2.cube</code>");
        let long = file_name("a_rather_long_name_for_a_device.cube").into_string();
        assert!(long.contains("<span class=\"whole\">rather_</span><wbr>"), "{long}");
    }

    #[test]
    fn lists_are_said_as_people_say_them() {
        let items: Vec<String> = ["a", "b", "c"].map(str::to_owned).into();
        assert_eq!(listed(&items), "a, b and c");
        assert_eq!(listed(&items[..2]), "a and b");
        assert_eq!(listed(&items[..1]), "a");
        assert_eq!(listed(&[]), "");
    }

    #[test]
    fn nothing_turns_the_direction_of_a_line() {
        assert_eq!(one_line("a\u{202e}b\nc\u{2067}d"), "ab cd");
    }
}
