//! A reader of HTML that is strict where browsers forgive: every element is closed where it must be, every attribute is quoted.

/// Elements without an end.
const VOID: [&str; 6] = ["meta", "input", "wbr", "br", "hr", "img"];

#[derive(Debug)]
pub struct Tag {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    /// All text inside, unescaped.
    text: String,
}

impl Tag {
    pub fn value(&self, key: &str) -> Option<&str> {
        self.attributes.iter().find(|(of, _)| of == key).map(|(_, value)| value.as_str())
    }

    /// All text inside.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Level of a heading.
    pub fn heading(&self) -> Option<u8> {
        self.name.strip_prefix('h').and_then(|level| level.parse().ok())
    }
}

/// A page that was read.
pub struct Page {
    tags: Vec<Tag>,
}

impl Page {
    pub fn read(name: &str, html: &str) -> Self {
        let mut rest = html.strip_prefix("<!DOCTYPE html>").unwrap_or_else(|| panic!("{name}: no doctype"));
        let (mut tags, mut open): (Vec<Tag>, Vec<usize>) = (Vec::new(), Vec::new());
        while let Some(start) = rest.find('<') {
            let text = unescaped(name, &rest[..start]);
            open.iter().for_each(|place| tags[*place].text.push_str(&text));
            let end = rest[start..].find('>').map(|end| start + end).unwrap_or_else(|| panic!("{name}: open tag"));
            let inside = &rest[start + 1..end];
            if let Some(closed) = inside.strip_prefix('/') {
                let place = open.pop().unwrap_or_else(|| panic!("{name}: </{closed}> without its beginning"));
                assert_eq!(tags[place].name, closed, "{name}: closed in another order");
            } else {
                let tag = tag(name, inside);
                if !VOID.contains(&tag.name.as_str()) {
                    open.push(tags.len());
                }
                tags.push(tag);
            }
            rest = &rest[end + 1..];
            // What stands in a script is no HTML, up to its end.
            if let Some(place) = open.last().copied().filter(|place| tags[*place].name == "script") {
                let end = rest.find("</script>").unwrap_or_else(|| panic!("{name}: a script without its end"));
                tags[place].text.push_str(&rest[..end]);
                rest = &rest[end..];
            }
        }
        assert!(open.is_empty(), "{name}: {:?} is not closed", tags[*open.last().unwrap_or(&0)].name);
        Self { tags }
    }

    pub fn tags(&self) -> impl Iterator<Item = &Tag> {
        self.tags.iter()
    }

    /// Values of an attribute, wherever it stands.
    pub fn values<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a str> {
        self.tags().filter_map(move |tag| tag.value(key))
    }

    pub fn texts_in<'a>(&'a self, element: &'a str) -> impl Iterator<Item = &'a str> {
        self.tags().filter(move |tag| tag.name == element).map(|tag| tag.text.as_str())
    }

    pub fn texts_of_class<'a>(&'a self, class: &'a str) -> impl Iterator<Item = &'a str> {
        let has = move |tag: &&Tag| tag.value("class").is_some_and(|classes| classes.split(' ').any(|of| of == class));
        self.tags().filter(has).map(|tag| tag.text.as_str())
    }

    /// Texts of the rows of all tables.
    pub fn rows(&self) -> impl Iterator<Item = String> {
        self.texts_in("tr").map(str::to_owned)
    }
}

fn tag(name: &str, inside: &str) -> Tag {
    let (element, mut rest) = inside.split_once(' ').unwrap_or((inside, ""));
    assert!(element.chars().all(|c| c.is_ascii_alphanumeric()) && !element.is_empty(), "{name}: <{inside}>");
    let mut attributes = Vec::new();
    while !rest.trim().is_empty() {
        let (key, after) = rest.split_once("=\"").unwrap_or_else(|| panic!("{name}: <{inside}>"));
        let (value, after) = after.split_once('"').unwrap_or_else(|| panic!("{name}: <{inside}>"));
        let known = |c: char| c.is_ascii_alphanumeric() || c == '-';
        assert!(key.trim().chars().all(known), "{name}: {key} in <{inside}>");
        attributes.push((key.trim().to_owned(), unescaped(name, value)));
        rest = after;
    }
    Tag { name: element.to_owned(), attributes, text: String::new() }
}

/// A text without its escapes; one that has an ampersand that begins none is wrong.
fn unescaped(name: &str, text: &str) -> String {
    const ESCAPES: [(&str, &str); 4] = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")];
    for (place, _) in text.match_indices('&') {
        assert!(ESCAPES.iter().any(|(escape, _)| text[place..].starts_with(escape)), "{name}: {}", &text[place..]);
    }
    ESCAPES.iter().fold(text.to_owned(), |text, (escape, plain)| text.replace(escape, plain))
}
