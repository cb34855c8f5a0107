//! The sheets of setups: of the show that is made for these tests, with names that nobody would choose, and of "Tidewater".

use crate::html::Page;
use lookwright::diagnostics::Diagnostic;
use lookwright::report::{setup_sheet_html, setup_sheet_text};
use lookwright::show::{self, SetupSheet, Show, sheets};
use std::path::Path;
use std::sync::OnceLock;

/// Sheets of "Tidewater".
fn tidewater() -> &'static [SetupSheet] {
    static SHEETS: OnceLock<Vec<SetupSheet>> = OnceLock::new();
    SHEETS.get_or_init(|| of_show(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/tidewater/show.toml")))
}

fn messages(found: &[Diagnostic]) -> Vec<&str> {
    found.iter().map(|diagnostic| diagnostic.message.as_str()).collect()
}

fn of_show(path: &Path) -> Vec<SetupSheet> {
    let (show, doubts) = Show::load(path, None).unwrap_or_else(|found| panic!("{:?}", messages(&found)));
    let work = show::prepare(show, doubts).unwrap_or_else(|found| panic!("{:?}", messages(&found)));
    sheets(&work, None).unwrap_or_else(|found| panic!("{:?}", messages(&found)))
}

fn leave(sheets: &[SetupSheet], name: &str) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report");
    std::fs::create_dir_all(&folder).unwrap();
    for sheet in sheets {
        std::fs::write(folder.join(format!("{name}-{}.html", sheet.id)), setup_sheet_html(sheet)).unwrap();
        std::fs::write(folder.join(format!("{name}-{}.txt", sheet.id)), setup_sheet_text(sheet)).unwrap();
    }
}

#[test]
fn every_setup_has_its_sheet() {
    leave(tidewater(), "tidewater");
    for sheet in tidewater() {
        let html = setup_sheet_html(sheet);
        Page::read(&sheet.id, &html);
    }
}
