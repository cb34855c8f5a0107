//! Pictures and sheets in the terminal; nothing is written.

use super::super::console::{Console, Emphasis};
use super::super::exit::{CommandResult, Outcome, failure_code};
use super::super::reports::name_of;
use super::super::sketch::Paper;
use super::super::terminal_picture::beside;
use super::{Made, Maker, Task, impossible, sheets, told};
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::image;
use lookwright::picture::batch::find_stills;
use lookwright::picture::mosaic::Mosaic;
use lookwright::picture::screen::ScreenKind;
use lookwright::picture::{Frame, SampleDepth};

/// Whether the terminal can show pictures; if not, what to do.
pub fn possible(task: &Task<'_>, console: &Console) -> Result<(), Vec<Diagnostic>> {
    let instead = "leave out --terminal: the picture is then a file";
    if console.is_json() {
        return Err(impossible("a JSON document holds no pictures", instead));
    }
    if task.arguments.screen() == Some(ScreenKind::DisplayP3) {
        return Err(impossible("terminals show sRGB", "leave out --for-screen, or --terminal"));
    }
    let message = match (console.takes_colour(), Paper::new(console).unicode) {
        (true, true) => return Ok(()),
        (false, _) => "--terminal needs a terminal with 24-bit colours, and this output takes no colour",
        (true, false) => "--terminal needs Unicode characters, and the locale has none",
    };
    let how = if console.takes_colour() { "or choose a locale with UTF-8" } else { "or say --colour always" };
    Err(impossible(message, &format!("{instead}; {how}, if the terminal can show it")))
}

/// Shows what is asked for, and tells what it is.
pub fn show(task: &Task<'_>, console: &Console) -> CommandResult {
    let arguments = task.arguments;
    let columns = Paper::new(console).columns;
    let is_sheet = arguments.sheet || arguments.exposures.is_some();
    let mut made = if is_sheet {
        sheets::make(task, console, &mut |mosaic, _, _| {
            console.text(&sheet(mosaic, console, columns));
            Ok(())
        })?
    } else {
        pictures(task, console, columns)?
    };
    let faults = std::mem::take(&mut made.faults);
    console.text(&told::text(task, &made, console));
    console.warnings(&faults);
    Ok(if faults.is_empty() { Outcome::Fine } else { Outcome::Partly(failure_code(&faults)) })
}

/// Every look on each still, one after the other.
fn pictures(task: &Task<'_>, console: &Console, columns: usize) -> Result<Made, Vec<Diagnostic>> {
    let makers = task.makers()?;
    let show = |name: &str, frame: &Frame, maker: &Maker, title: &str| {
        // The label of a lens would be a smear; the notes tell it.
        let picture = maker.through(&maker.look, frame).frame.to_depth(SampleDepth::Eight).frame;
        console.text(&format!("{}\n", beside(&[(&format!("{title}: {name}"), &picture)], columns)));
    };
    if task.stills.is_empty() {
        for (look, maker) in task.looks.iter().zip(&makers) {
            show(task.built_in()[0], &task.chart(look)?, maker, &look.title);
        }
        let mut made = Made { stills: 1, of_chart: true, ..Made::default() };
        made.counted(&makers);
        return Ok(made);
    }
    let stills = find_stills(task.stills, &task.own_names());
    let mut made = Made { faults: stills.faults, earlier_previews: stills.earlier_previews, ..Made::default() };
    let mut shown = 0;
    for file in &stills.files {
        match image::read(file) {
            Ok(frame) => {
                task.looks
                    .iter()
                    .zip(&makers)
                    .for_each(|(look, maker)| show(&name_of(file), &frame, maker, &look.title));
                shown += 1;
            }
            Err(found) => made.faults.extend(found),
        }
    }
    made.stills = shown;
    made.counted(&makers);
    if shown == 0 { Err(made.faults) } else { Ok(made) }
}

/// A sheet: its rows below each other, captions as text.
fn sheet(mosaic: &Mosaic, console: &Console, columns: usize) -> String {
    let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, &mosaic.title));
    for (name, cells) in &mosaic.rows {
        let cells: Vec<(&str, &Frame)> = mosaic.columns.iter().map(String::as_str).zip(cells).collect();
        text.push_str(&format!("\n  {}\n{}", console.emphasise(Emphasis::Strong, name), beside(&cells, columns)));
    }
    for note in &mosaic.notes {
        text.push_str(&format!("\n  {note}\n"));
    }
    text.push('\n');
    text
}
