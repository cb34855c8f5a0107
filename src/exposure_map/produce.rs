//! A recipe → the files of its map: the cube, read back and measured, and the legend.

use super::{ExposureMap, MapReport, ZoneKind, legend};
use crate::compile::{Prepared, header_of};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::atomic::write_atomically;
use crate::formats::cube::{self, Header, Newline, Tables};
use crate::formats::image::{PictureFormat, WriteOptions, encode};
use crate::lut::Table3;
use crate::plan::hex;
use crate::recipe::Recipe;
use crate::show::MapFile;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// A map that has been built, ready to be written.
#[derive(Clone, Debug)]
pub struct PreparedMap {
    /// The recipe or show that it was read from.
    pub source: PathBuf,
    /// The recipe whose `[map]` it is.
    pub recipe: Recipe,
    /// What it is of: a look's name, or camera and monitor of a show.
    pub name: String,
    /// The map.
    pub map: ExposureMap,
    /// What is doubtful before anything is sampled.
    pub warnings: Vec<Diagnostic>,
    /// Name of the cube file, in the folder that it is written to.
    pub cube: PathBuf,
    /// Name of the legend.
    pub legend: PathBuf,
    /// What the header says beside the usual facts.
    pub facts: Vec<(&'static str, String)>,
    /// Whether the device accepts comments.
    pub comments: bool,
    /// What ends the file's lines.
    pub newline: Newline,
    /// Whose map it is, where it is a show's.
    pub of_show: Option<MapFile>,
}

/// A file that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenFile {
    /// Where.
    pub path: PathBuf,
    /// SHA-256, 64 hexadecimal digits.
    pub sha256: String,
}

/// A map that was written.
#[derive(Clone, Debug)]
pub struct ProducedMap {
    /// The cube file; none where only the legend was asked for.
    pub cube: Option<WrittenFile>,
    /// The legend, a PNG.
    pub legend: WrittenFile,
    /// What was measured, in the file as it was read back.
    pub report: MapReport,
    /// Zones that the table does not hold.
    pub warnings: Vec<Diagnostic>,
}

impl PreparedMap {
    /// The map of a recipe.
    #[must_use]
    pub fn of_recipe(prepared: Prepared) -> Self {
        let (settings, _) = prepared.recipe.map();
        let (map, faults) = ExposureMap::new(&prepared.plan, &settings);
        let mut warnings = prepared.warnings;
        warnings.extend(faults.into_iter().map(|fault| prepared.recipe.locate(fault)));
        let stem = prepared.file_name.trim_end_matches(".cube");
        Self {
            source: prepared.path,
            name: prepared.plan.look.name.clone(),
            cube: PathBuf::from(format!("{stem}.map.cube")),
            legend: PathBuf::from(format!("{stem}.map.png")),
            recipe: prepared.recipe,
            map,
            warnings,
            facts: Vec::new(),
            comments: true,
            newline: Newline::LineFeed,
            of_show: None,
        }
    }

    /// Sample, write, read back, measure; then the legend. Folders are made where they are missing, each file appears whole or not at all.
    ///
    /// # Errors
    /// A folder or file that can't be written or read back.
    pub fn produce(&self, folder: &Path, legend_only: bool) -> Result<ProducedMap, Vec<Diagnostic>> {
        let mut bytes = Vec::new();
        cube::write(&self.map.sample(self.map.plan().device.size), &self.header(), &mut bytes);
        let (cube, table) = if legend_only {
            (None, three(cube::parse(&self.cube.display().to_string(), &bytes)?.tables, &self.cube)?)
        } else {
            let path = folder.join(&self.cube);
            let written = save(&path, &bytes)?;
            (Some(written), three(cube::read(&path)?.tables, &path)?)
        };
        let report = self.map.report(&table);
        let picture =
            encode(PictureFormat::Png, &legend(&self.map, &report, &table, &self.name), &WriteOptions::default())?;
        let legend = save(&folder.join(&self.legend), &picture)?;
        let warnings = self.map.lost(&report).into_iter().map(|fault| self.recipe.locate(fault)).collect();
        Ok(ProducedMap { cube, legend, report, warnings })
    }

    /// The header of the cube file. It has no `look` and no `fingerprint`: the file is no look.
    fn header(&self) -> Header {
        let plan = self.map.plan();
        let mut header = header_of(plan, &format!("Exposure map / {}", self.name), &self.facts);
        header.comments.retain(|comment| !comment.starts_with("look: ") && !comment.starts_with("fingerprint: "));
        let mut comments = vec![format!("exposure map: {}", self.name)];
        comments.append(&mut header.comments);
        comments.push(format!("map fingerprint: {}", self.map.fingerprint()));
        comments.extend(self.map.zones().iter().filter(|zone| zone.is_shown()).map(|zone| {
            let reach = match zone.kind {
                ZoneKind::Noise => format!("below {:.2}", zone.to_stops),
                ZoneKind::Band => format!("{:.2} to {:.2}", zone.from_stops, zone.to_stops),
                ZoneKind::Clip => format!("from {:.2}", zone.from_stops),
            };
            format!("zone: {}, {reach} stops", zone.name)
        }));
        Header { comments, comments_allowed: self.comments, newline: self.newline, ..header }
    }
}

fn save(path: &Path, bytes: &[u8]) -> Result<WrittenFile, Vec<Diagnostic>> {
    let unwritable = |error: std::io::Error| {
        let message = format!("{}: {error}", path.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder with --out")]
    };
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(unwritable)?;
    }
    write_atomically(path, bytes).map_err(unwritable)?;
    Ok(WrittenFile { path: path.to_path_buf(), sha256: hex(&Sha256::digest(bytes)) })
}

fn three(tables: Tables, path: &Path) -> Result<Table3, Vec<Diagnostic>> {
    match tables {
        Tables::Three(table) => Ok(table),
        Tables::One(_) | Tables::Shaped { .. } => {
            let message = format!("{}: read back as another kind of table", path.display());
            Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message)])
        }
    }
}
