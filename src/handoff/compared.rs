//! Files that are made again, against those of a package.

use super::manifest::Manifest;
use super::pack::Sink;
use super::receive::Finding;
use crate::diagnostics::Diagnostic;
use crate::formats::cube::{self, Tables};
use crate::formats::package::{Making, Package};
use crate::lut::Table3;
use crate::maths::CODE10_MAX;
use crate::verify::compare_nodes;
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt;

/// How a table differs from the one that the recipe makes.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Told {
    /// In nothing but rounding.
    Same,
    /// It can't be compared node by node.
    Incomparable(String),
    /// In some nodes.
    Differs {
        /// How many.
        nodes: usize,
        /// Of how many.
        of: usize,
        /// The largest difference, 10-bit codes.
        codes: f64,
        /// Row of that node, from 1.
        row: usize,
    },
}

impl fmt::Display for Told {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Same => write!(formatter, "the same numbers"),
            Self::Incomparable(why) => write!(formatter, "{why}"),
            Self::Differs { nodes, of, codes, row } => {
                write!(formatter, "{nodes} of {of} rows differ, the most by {codes:.2} ten-bit codes in row {row}")
            }
        }
    }
}

/// A table against the one that is made.
pub(super) fn told_of(table: &Table3, exact: &Table3) -> Told {
    let nodes = compare_nodes(table, exact);
    if let Some(why) = nodes.incomparable {
        return Told::Incomparable(why);
    }
    match nodes.named.first() {
        None => Told::Same,
        Some(worst) => {
            Told::Differs { nodes: nodes.changed, of: nodes.count, codes: nodes.worst * CODE10_MAX, row: worst.row }
        }
    }
}

/// Compares files that are made with those of a package.
pub(super) struct Comparing<'a> {
    package: &'a Package,
    manifest: &'a Manifest,
    same_version: bool,
    hashes: BTreeMap<String, [u8; 32]>,
    identical: usize,
    findings: Vec<Finding>,
}

impl<'a> Comparing<'a> {
    pub(super) fn new(package: &'a Package, manifest: &'a Manifest, same_version: bool) -> Self {
        Self { package, manifest, same_version, hashes: BTreeMap::new(), identical: 0, findings: Vec::new() }
    }

    /// Files that are the same, and what was found of the others.
    pub(super) fn results(self) -> (usize, Vec<Finding>) {
        (self.identical, self.findings)
    }

    /// What is the matter with a file that is not the one that was made.
    fn differing(&self, file: &str, made: &[u8], there: &[u8]) -> Option<Finding> {
        if file.ends_with(".cube") {
            return self.differing_cube(file, made, there);
        }
        // Another version may write the same thing in other words; what it means is compared elsewhere.
        self.same_version.then(|| Finding::new(file, "edited", "it is not what the package's recipes make"))
    }

    fn differing_cube(&self, file: &str, made: &[u8], there: &[u8]) -> Option<Finding> {
        let table = |bytes: &[u8]| match cube::parse(file, bytes).map(|cube| cube.tables) {
            Ok(Tables::Three(table)) => Some(table),
            _ => None,
        };
        let (Some(made), Some(read)) = (table(made), table(there)) else {
            return Some(Finding::new(file, "unreadable", "it is not a table of a look any more"));
        };
        let hash = |bytes: &[u8]| -> [u8; 32] { Sha256::digest(bytes).into() };
        let own = hash(there);
        if let Some((other, _)) = self.hashes.iter().find(|(other, hash)| **hash == own && other.as_str() != file) {
            return Some(Finding::new(file, "swapped", format!("it holds the bytes of {other}")));
        }
        match told_of(&read, &made) {
            Told::Same if self.same_version => {
                Some(Finding::new(file, "re-saved", "its numbers are the look's, its text is not what was written"))
            }
            Told::Same => None,
            told => {
                let recipe = self.manifest.post.iter().find(|post| post.cube == file).is_some_and(|post| {
                    !cube::parse(file, there).is_ok_and(|cube| {
                        crate::compile::fingerprint_in(&cube.comments) != Some(post.fingerprint.as_str())
                    })
                });
                let hint = if recipe { "" } else { " or its header was changed" };
                Some(Finding::new(file, "edited", format!("its numbers are not the look's{hint}: {told}")))
            }
        }
    }
}

impl Sink for Comparing<'_> {
    fn take(&mut self, files: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>> {
        let package = self.package;
        // First all hashes, so that a file that holds another's bytes is known as that.
        let made: Vec<(String, Result<Vec<u8>, Vec<Diagnostic>>, Option<Vec<u8>>)> = files
            .into_iter()
            .par_bridge()
            .map(|(file, make)| {
                let bytes = make();
                let there = package.entry(&file).and_then(|_| package.read(&file).ok());
                match (&bytes, &there) {
                    // What is the same need not be kept.
                    (Ok(made), Some(there)) if made == there => (file, Ok(Sha256::digest(made).to_vec()), None),
                    _ => (file, bytes, Some(there.unwrap_or_default())),
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
            if self.package.entry(&file).is_none() {
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
