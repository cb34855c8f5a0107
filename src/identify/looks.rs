//! Candidates grouped by what they compute: several may share a pipeline, a table, or both.

use super::Candidate;
use crate::lut::Interpolation;
use crate::pipeline::Pipeline;
use std::collections::HashMap;

/// Candidates of one pipeline, whatever the size of their tables and how their devices read them.
pub(super) struct Group<'a> {
    /// The first of them stands for all.
    pub(super) first: &'a Candidate,
    /// Those of one table, by points a side, in the order of the candidates.
    pub(super) tables: Vec<(usize, Vec<usize>)>,
}

impl Group<'_> {
    pub(super) fn pipeline(&self) -> &Pipeline {
        &self.first.pipeline
    }

    /// Indices of those whose table has so many points.
    pub(super) fn with_size(&self, size: usize) -> &[usize] {
        self.tables.iter().find(|(points, _)| *points == size).map_or(&[], |(_, members)| members)
    }
}

/// Groups in the order of their first candidates.
pub(super) fn group(candidates: &[Candidate]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for (index, candidate) in candidates.iter().enumerate() {
        let mut plan = candidate.plan.clone();
        let size = plan.device.size;
        (plan.device.size, plan.device.interpolation) = (0, Interpolation::default());
        let place = *places.entry(plan.canonical()).or_insert_with(|| {
            groups.push(Group { first: candidate, tables: Vec::new() });
            groups.len() - 1
        });
        let tables = &mut groups[place].tables;
        match tables.iter_mut().find(|(points, _)| *points == size) {
            Some((_, members)) => members.push(index),
            None => tables.push((size, vec![index])),
        }
    }
    groups
}
