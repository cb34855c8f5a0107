//! Contact sheets: stills and looks, or exposures and looks.

use super::super::console::Console;
use super::super::reports::name_of;
use super::{Made, Maker, Task, impossible, picture_format, progress};
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::image::{self, WriteOptions};
use lookwright::picture::batch::{Done, find_stills};
use lookwright::picture::mosaic::{Mosaic, ROWS, cell_width, scaled};
use lookwright::picture::{Frame, SampleDepth};
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// The most that a picture on a sheet is higher than wide.
const TALLEST: f64 = 1.5;

/// Writes the sheets.
pub fn write(task: &Task<'_>, options: &WriteOptions, console: &Console) -> Result<Made, Vec<Diagnostic>> {
    if options.depth == Some(SampleDepth::Float) {
        return Err(impossible("a contact sheet has no floats", "use --format png"));
    }
    let mut done = Vec::new();
    let made = make(task, console, &mut |mosaic, name, still| {
        done.push(save(task, options, mosaic, name, still)?);
        Ok(())
    })?;
    Ok(Made { done, ..made })
}

/// What becomes of a sheet: its name as a file's, and the still that it is of.
type Finish<'a> = dyn FnMut(&Mosaic, &str, &Path) -> Result<(), Vec<Diagnostic>> + 'a;

/// Makes the sheets, one after the other.
pub fn make(task: &Task<'_>, console: &Console, finish: &mut Finish<'_>) -> Result<Made, Vec<Diagnostic>> {
    let stills = find_stills(task.stills, &task.own_names());
    let mut made = Made {
        stills: stills.files.len(),
        earlier_previews: stills.earlier_previews,
        of_chart: task.stills.is_empty(),
        faults: stills.faults,
        ..Made::default()
    };
    let sheets = Sheets { task };
    match &task.arguments.exposures {
        Some(exposures) => sheets.exposures(exposures, &stills.files, &mut made, (console, finish))?,
        None => sheets.stills(&stills.files, &mut made, (console, finish))?,
    }
    Ok(made)
}

struct Sheets<'a> {
    task: &'a Task<'a>,
}

impl Sheets<'_> {
    /// Every look on every still.
    fn stills(
        &self,
        files: &[PathBuf],
        made: &mut Made,
        (console, finish): (&Console, &mut Finish<'_>),
    ) -> Result<(), Vec<Diagnostic>> {
        let makers = self.makers(self.task.arguments.stops.unwrap_or(0.0))?;
        let many = files.len() > ROWS;
        let mut sheets = 0;
        // A sheet is written as soon as it is full: of many stills no more are kept than one holds.
        let mut sheet = |rows: &mut Vec<(String, Vec<Frame>)>| {
            sheets += 1;
            let (name, title) = match many {
                false => ("contact-sheet".to_owned(), self.title()),
                true => (format!("contact-sheet-{sheets}"), format!("{}, sheet {sheets}", self.title())),
            };
            finish(&self.mosaic(title, std::mem::take(rows)), &name, Path::new(&name))
        };
        let mut rows: Vec<(String, Vec<Frame>)> = Vec::new();
        if files.is_empty() && made.of_chart {
            let cells =
                self.task.looks.iter().zip(&makers).map(|(look, maker)| self.cell(&self.task.chart(look)?, maker));
            rows.push((self.task.built_in()[0].to_owned(), cells.collect::<Result<_, _>>()?));
        }
        let bar = progress(files.len(), console);
        for file in files {
            let row = image::read(file).and_then(|frame| {
                makers.par_iter().map(|maker| self.cell(&frame, maker)).collect::<Result<Vec<_>, _>>()
            });
            match row {
                Ok(cells) => rows.push((name_of(file), cells)),
                Err(found) => made.faults.extend(found),
            }
            if rows.len() == ROWS {
                sheet(&mut rows)?;
            }
            bar.set_message(name_of(file));
            bar.inc(1);
        }
        bar.finish_and_clear();
        if !rows.is_empty() {
            sheet(&mut rows)?;
        }
        Ok(())
    }

    /// Every exposure and look of each still.
    fn exposures(
        &self,
        exposures: &[f64],
        files: &[PathBuf],
        made: &mut Made,
        (console, finish): (&Console, &mut Finish<'_>),
    ) -> Result<(), Vec<Diagnostic>> {
        let makers: Vec<Vec<Maker>> = exposures.iter().map(|stops| self.makers(*stops)).collect::<Result<_, _>>()?;
        let sheet = |name: &str, frames: &[&Frame]| {
            let row = |(makers, stops): (&Vec<Maker>, &f64)| {
                let cells = makers.iter().zip(frames.iter().cycle()).map(|(maker, frame)| self.cell(frame, maker));
                Ok((exposure_words(*stops), cells.collect::<Result<Vec<_>, Vec<Diagnostic>>>()?))
            };
            let rows: Result<Vec<_>, Vec<Diagnostic>> = makers.par_iter().zip(exposures).map(row).collect();
            Ok::<_, Vec<Diagnostic>>(self.mosaic(format!("{}: {name}", self.title()), rows?))
        };
        if made.of_chart {
            let charts: Vec<Frame> =
                self.task.looks.iter().map(|look| self.task.chart(look)).collect::<Result<_, _>>()?;
            let [words, name] = self.task.built_in();
            let mosaic = sheet(words, &charts.iter().collect::<Vec<_>>())?;
            finish(&mosaic, &format!("{name}.exposures"), Path::new(name))?;
            return Ok(());
        }
        let bar = progress(files.len(), console);
        for file in files {
            let done = image::read(file).and_then(|frame| {
                let mosaic = sheet(&name_of(file), &[&frame])?;
                let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
                finish(&mosaic, &format!("{stem}.exposures"), file)
            });
            if let Err(found) = done {
                made.faults.extend(found);
            }
            bar.set_message(name_of(file));
            bar.inc(1);
        }
        bar.finish_and_clear();
        Ok(())
    }

    fn makers(&self, stops: f64) -> Result<Vec<Maker>, Vec<Diagnostic>> {
        self.task.looks.iter().map(|look| Maker::new(self.task, look, stops)).collect()
    }

    fn cell(&self, frame: &Frame, maker: &Maker) -> Result<Frame, Vec<Diagnostic>> {
        let width = cell_width(self.task.looks.len());
        // The sheet's notes tell what hangs before the camera.
        Ok(scaled(&maker.through(&maker.look, frame).frame, width, (width as f64 * TALLEST) as usize))
    }

    fn title(&self) -> String {
        match self.task.looks.as_slice() {
            [one] => one.title.clone(),
            looks => format!("{} looks", looks.len()),
        }
    }

    fn mosaic(&self, title: String, rows: Vec<(String, Vec<Frame>)>) -> Mosaic {
        let looks = &self.task.looks;
        let columns = looks.iter().map(|look| look.title.clone()).collect();
        let mut notes: Vec<String> = self.task.lens.label().into_iter().collect();
        if !self.task.content.is_log() {
            notes.push(
                "Stand-in: these stills are no camera originals. Judge mood and colour by them, not exposure."
                    .to_owned(),
            );
        }
        if self.task.arguments.exposures.is_some() && self.task.content.is_log() {
            notes.push("Exposures are made from one frame: what the camera clipped stays clipped.".to_owned());
        }
        if looks.iter().any(|look| look.display().is_none()) {
            notes.push(
                "A cube file that says no display is shown as the signal that it gives; the sheet has no profile."
                    .to_owned(),
            );
        }
        Mosaic { title, subtitle: super::told::input_words(self.task), columns, rows, notes }
    }
}

fn save(
    task: &Task<'_>,
    options: &WriteOptions,
    mosaic: &Mosaic,
    name: &str,
    still: &Path,
) -> Result<Done, Vec<Diagnostic>> {
    let frame = mosaic.frame().ok_or_else(|| {
        impossible(
            "there is nothing to put on a sheet, or too much",
            "name at least one still that can be read, or fewer looks",
        )
    })?;
    let format = picture_format(task.arguments.format);
    let extension = format.extensions().first().copied().unwrap_or_default();
    let output = task.arguments.out.join(format!("{name}.{extension}"));
    image::write(&output, &frame, &WriteOptions { depth: Some(SampleDepth::Eight), ..*options })?;
    Ok(Done {
        still: still.to_path_buf(),
        look: 0,
        output,
        size: [frame.width(), frame.height()],
        samples: 3 * (frame.width() * frame.height()) as u64,
        clamped_inputs: 0,
        clamped_outputs: 0,
        warnings: Vec::new(),
        looks_finished: None,
    })
}

/// "+1 stop", "as shot".
fn exposure_words(stops: f64) -> String {
    match stops {
        0.0 => "as shot".to_owned(),
        stops if stops.abs() <= 1.0 => format!("{stops:+} stop"),
        stops => format!("{stops:+} stops"),
    }
}
