//! A look at the outline of a text before it is parsed: what would take a parser memory or time out of proportion is refused here.

use std::ops::Range;

/// Bytes of a tag. The longest that the format has, a `LogParams`, stays below 1,000 with every number in full; the bound keeps the
/// comparison of every attribute with every other one short.
const TAG_BYTES_MAX: usize = 16 << 10;
/// Bytes of all tags together: thousands of steps.
const MARKUP_BYTES_MAX: usize = 4 << 20;
/// Levels of elements. The format has four, and `Info` may hold anything.
const DEPTH_MAX: usize = 64;
/// Elements, texts and comments, as the parser counts them.
pub(super) const NODES_MAX: u32 = 200_000;

/// What is out of all proportion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Excess {
    Declaration,
    Tag,
    Markup,
    Depth,
}

impl Excess {
    /// What is wrong, and what stands under the mark.
    pub(super) fn describe(self) -> (&'static str, String) {
        match self {
            Self::Declaration => (
                "declaration in the text",
                "expected elements only, found a declaration (DOCTYPE, entities)".to_owned(),
            ),
            Self::Tag => ("endless tag", format!("expected at most {TAG_BYTES_MAX} bytes up to its end, found more")),
            Self::Markup => {
                ("far too many tags", format!("expected at most {MARKUP_BYTES_MAX} bytes of tags, found more"))
            }
            Self::Depth => ("elements nested too deeply", format!("expected at most {DEPTH_MAX} levels, found more")),
        }
    }
}

/// The first excess of a text and its place. Whatever else is wrong is for the parser to say.
pub(super) fn excess(text: &str) -> Option<(Excess, Range<usize>)> {
    let bytes = text.as_bytes();
    let (mut at, mut markup, mut depth) = (0, 0, 0_usize);
    while let Some(skipped) = bytes[at..].iter().position(|&byte| byte == b'<') {
        at += skipped;
        let rest = &text[at..];
        let skip =
            [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")].into_iter().find(|(open, _)| rest.starts_with(open));
        if let Some((open, close)) = skip {
            // What is not closed is the parser's to report.
            at += open.len() + rest[open.len()..].find(close)? + close.len();
            continue;
        }
        if rest.starts_with("<!") {
            return Some((Excess::Declaration, at..at + 2));
        }
        let Some(length) = tag_length(&bytes[at..]) else {
            return (rest.len() > TAG_BYTES_MAX).then_some((Excess::Tag, at..at + 1));
        };
        markup += length;
        if markup > MARKUP_BYTES_MAX {
            return Some((Excess::Markup, at..at + 1));
        }
        if rest.starts_with("</") {
            depth = depth.saturating_sub(1);
        } else if bytes[at + length - 2] != b'/' {
            depth += 1;
        }
        if depth > DEPTH_MAX {
            return Some((Excess::Depth, at..at + 1));
        }
        at += length;
    }
    None
}

/// Bytes of the tag at the start, up to the first `>` that is not in quotes; `None` where there is none within reach.
fn tag_length(bytes: &[u8]) -> Option<usize> {
    let mut quote = None;
    for (index, &byte) in bytes.iter().enumerate().take(TAG_BYTES_MAX) {
        match (quote, byte) {
            (None, b'"' | b'\'') => quote = Some(byte),
            (None, b'>') => return Some(index + 1),
            (Some(open), close) if open == close => quote = None,
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::{DEPTH_MAX, Excess, MARKUP_BYTES_MAX, TAG_BYTES_MAX, excess};

    fn found(text: &str) -> Option<Excess> {
        excess(text).map(|(excess, _)| excess)
    }

    #[test]
    fn what_files_have_passes() {
        for text in
            ["", "<", "<a", "<a b='>'/>", "<?xml version='1.0'?><a><!-- < <!DOCTYPE --><b/><![CDATA[<!DOCTYPE]]></a>"]
        {
            assert_eq!(found(text), None, "{text}");
        }
        assert_eq!(found(&format!("{}{}", "<a>".repeat(DEPTH_MAX), "</a>".repeat(DEPTH_MAX))), None);
        assert_eq!(found(&"<a>1</a>".repeat(1000)), None);
    }

    #[test]
    fn what_is_out_of_proportion_does_not() {
        assert_eq!(excess("<a>\n<!DOCTYPE a>"), Some((Excess::Declaration, 4..6)));
        assert_eq!(found("<!ENTITY a 'b'>"), Some(Excess::Declaration));
        assert_eq!(found(&format!("<a b='{}'/>", " ".repeat(TAG_BYTES_MAX))), Some(Excess::Tag));
        assert_eq!(found(&"<a>".repeat(DEPTH_MAX + 1)), Some(Excess::Depth));
        assert_eq!(found(&"<a/>".repeat(MARKUP_BYTES_MAX / 4 + 1)), Some(Excess::Markup));
    }
}
