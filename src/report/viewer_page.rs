//! A page that is nothing but the viewer.

use super::page::{masthead, page_with_viewer};
use super::viewer::{ViewerLook, viewer_section};
use maud::html;

/// What kind of page it is.
const KIND: &str = "viewer";

/// The viewer with all looks of a package; `note` says what their tables are.
#[must_use]
pub fn viewer_page_html(show: &str, note: &str, looks: &[ViewerLook<'_>]) -> String {
    let body = html! {
        (masthead(KIND, show, note))
        main { (viewer_section(looks)) }
    };
    page_with_viewer(KIND, show, &body)
}
