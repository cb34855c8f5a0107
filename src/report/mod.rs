//! Pages that people print and read: HTML that needs nothing but itself, and the same as plain text.
//!
//! Everything here turns values into text. Nothing is read, no time enters: the same values make the same bytes.

mod comparison_report;
mod consistency;
mod consistency_text;
mod cube_report;
mod findings;
mod levels;
pub mod lighting_words;
mod loading_card;
mod look_report;
mod page;
mod plots;
mod portrait_parts;
mod scopes;
mod setup_sheet;
mod setup_sheet_text;
mod start_here;
mod swatch;
mod text;
pub mod viewer;
mod viewer_page;

pub use comparison_report::comparison_report_html;
pub use consistency::consistency_html;
pub use consistency_text::consistency_text;
pub use cube_report::cube_report_html;
pub use loading_card::{loading_card_html, loading_card_text};
pub use look_report::look_report_html;
pub use scopes::{chromaticity_svg, histogram_svg};
pub use setup_sheet::setup_sheet_html;
pub use setup_sheet_text::setup_sheet_text;
pub use start_here::{start_here_html, start_here_text};
pub use viewer_page::viewer_page_html;
