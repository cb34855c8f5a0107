//! Files that are made again, against those of a package.

use super::manifest::Manifest;
use super::pack::Sink;
use super::receive::{Finding, Hashes, is_same};
use super::told::{Told, csv_differs, told_of};
use crate::diagnostics::Diagnostic;
use crate::formats::clf;
use crate::formats::cube::{self, Tables};
use crate::formats::package::{Making, Package};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Compares files that are made with those of a package.
pub(super) struct Comparing<'a> {
    package: &'a Package,
    /// SHA-256 of the package's files.
    known: &'a Hashes,
    manifest: &'a Manifest,
    same_version: bool,
    /// Looks whose recipe was changed since, as files' names begin.
    changed: Vec<String>,
    hashes: BTreeMap<String, [u8; 32]>,
    identical: usize,
    /// Files of another version that say the same in other words, or not: nobody compared them.
    not_compared: usize,
    findings: Vec<Finding>,
}

impl<'a> Comparing<'a> {
    /// Files that were not compared.
    pub(super) fn not_compared(&self) -> usize {
        self.not_compared
    }

    pub(super) fn new(
        package: &'a Package,
        known: &'a Hashes,
        manifest: &'a Manifest,
        same_version: bool,
        changed: Vec<String>,
    ) -> Self {
        let (hashes, findings) = (BTreeMap::new(), Vec::new());
        Self { package, known, manifest, same_version, changed, hashes, identical: 0, not_compared: 0, findings }
    }

    /// Files that are the same, what was found of the others, and the names of all.
    pub(super) fn results(self) -> (usize, Vec<Finding>, Vec<String>) {
        (self.identical, self.findings, self.hashes.into_keys().collect())
    }

    /// What is the matter with a file that is not the one that was made.
    fn differing(&self, file: &str, made: &[u8], there: &[u8]) -> Option<Finding> {
        let own: [u8; 32] = Sha256::digest(there).into();
        if let Some((other, _)) = self.hashes.iter().find(|(other, hash)| **hash == own && other.as_str() != file) {
            return Some(Finding::new(file, "swapped", format!("it holds the bytes of {other}")));
        }
        if file.ends_with(".cube") {
            return self.differing_cube(file, made, there);
        }
        let same_steps = || {
            let read = |bytes: &[u8]| clf::parse(file, bytes).ok().map(|read| read.list);
            file.ends_with(".clf") && read(made).is_some_and(|list| Some(list) == read(there))
        };
        if self.same_version && same_steps() {
            let told = "its steps are the look's, its text is not what was written: another program saved it";
            return Some(Finding::new(file, "re-saved", told));
        }
        let is_csv = file.ends_with(".csv");
        let in_csv = if is_csv { csv_differs(made, there) } else { None };
        if self.same_version && is_csv && in_csv.is_none() {
            let told = "its numbers are the look's, its text is not what was written: another program saved it";
            return Some(Finding::new(file, "re-saved", told));
        }
        // Another version may write the same thing in other words; what it means is compared elsewhere.
        self.same_version.then(|| {
            if self.of_changed_recipe(file) {
                Finding::new(file, "recipe changed", "the package's recipe makes another file now")
            } else {
                let where_it_is = in_csv.map_or(String::new(), |words| format!(": {words}"));
                Finding::new(file, "edited", format!("it is not what the package's recipes make{where_it_is}"))
            }
        })
    }

    /// Whether a file is of a look whose recipe was changed, or of all looks together.
    fn of_changed_recipe(&self, file: &str) -> bool {
        let name = file.rsplit('/').next().unwrap_or(file);
        let name = ["input.", "look.", "output."].iter().find_map(|kind| name.strip_prefix(kind)).unwrap_or(name);
        let is_own = |stem: &String| name.strip_prefix(stem.as_str()).is_some_and(|rest| rest.starts_with('.'));
        let is_shared = !file.contains('/')
            || ["setups/", "post/edl/", "tables/looks."].iter().any(|shared| file.starts_with(shared));
        let is_collection = file.ends_with(".ccc") || file.ends_with(".cdl");
        // A camera's input belongs to whichever look was the first.
        let is_input = file.starts_with("post/aces/input.");
        !self.changed.is_empty() && (is_shared || is_collection || is_input || self.changed.iter().any(is_own))
    }

    fn differing_cube(&self, file: &str, made: &[u8], there: &[u8]) -> Option<Finding> {
        let table = |bytes: &[u8]| match cube::parse(file, bytes).map(|cube| cube.tables) {
            Ok(Tables::Three(table)) => Some(table),
            _ => None,
        };
        let (Some(exact), Some(read)) = (table(made), table(there)) else {
            return Some(Finding::new(file, "unreadable", "it is not a table of a look any more"));
        };
        match told_of(there, &read, &exact) {
            Told::Same if self.same_version => {
                Some(Finding::new(file, "re-saved", "its numbers are the look's, its text is not what was written"))
            }
            Told::Same => None,
            told if self.of_changed_recipe(file) && self.is_as_noted(file, there) => Some(Finding::new(
                file,
                "recipe changed",
                format!("the package's recipe makes another picture now: {told}"),
            )),
            told => Some(Finding::new(file, "edited", format!("its numbers are not the look's: {told}"))),
        }
    }

    /// Whether a cube names the fingerprint that the package says it has.
    fn is_as_noted(&self, file: &str, there: &[u8]) -> bool {
        let noted = self.manifest.post.iter().find(|post| post.cube == file).map(|post| post.fingerprint.as_str());
        cube::parse(file, there).is_ok_and(|cube| crate::compile::fingerprint_in(&cube.comments) == noted)
    }
}

/// A file's name; its bytes as they are made, or their hash where the package's are the same; the package's where they are not.
type Compared = (String, Result<Vec<u8>, Vec<Diagnostic>>, Option<Vec<u8>>);

impl Sink for Comparing<'_> {
    fn take(&mut self, files: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>> {
        let (package, known) = (self.package, self.known);
        // First all hashes, so that a file that holds another's bytes is known as that.
        let made: Vec<Compared> = files
            .into_iter()
            .par_bridge()
            .map(|(file, make)| {
                let bytes = make();
                match &bytes {
                    // What is the same need be neither read again nor kept.
                    Ok(made) if is_same(known, &file, made) => (file, Ok(Sha256::digest(made).to_vec()), None),
                    _ => {
                        let there = package.entry(&file).and_then(|_| package.read(&file).ok());
                        (file, bytes, Some(there.unwrap_or_default()))
                    }
                }
            })
            .collect();
        let mut others = Vec::new();
        for (file, bytes, there) in made {
            match there {
                None => {
                    let mut hash = [0; 32];
                    hash.copy_from_slice(&bytes?);
                    self.hashes.insert(file, hash);
                    self.identical += 1;
                }
                Some(there) => {
                    let bytes = bytes?;
                    self.hashes.insert(file.clone(), Sha256::digest(&bytes).into());
                    others.push((file, bytes, there));
                }
            }
        }
        others.sort_by(|one, other| one.0.cmp(&other.0));
        for (file, bytes, there) in others {
            let compared = file.ends_with(".cube") || file.ends_with(".cc") || file.starts_with("post/clf/");
            if !self.same_version && !compared {
                self.not_compared += 1;
            }
            if self.package.entry(&file).is_none() {
                // What another version does not make is no loss.
                if !self.same_version {
                    continue;
                }
                self.findings.push(Finding::new(
                    &file,
                    "missing",
                    "the package's recipes ask for it, and it is not there",
                ));
            } else if let Some(finding) = self.differing(&file, &bytes, &there) {
                self.findings.push(finding);
            }
        }
        Ok(())
    }

    fn sha256(&self, file: &str) -> Option<[u8; 32]> {
        self.hashes.get(file).copied()
    }
}
