//! Where the numbers of a file are wrong: what it probably is instead.
//!
//! Every idea is a table that could have been made by a known mistake; the one that meets the file's numbers most closely is
//! told, if it meets them at all. It stays a suspicion: two mistakes can make the same numbers.

mod ideas;
mod tried;

use super::nodes::Nodes;
use crate::lut::Table3;
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use ideas::Ideas;
use tried::Tried;

/// Up to this many changed rows are counted out; a change of more is told as a part of the file.
const FEW: usize = 16;

/// A file with no more than this share of changed rows is the look's own file, changed.
const CHANGED_SHARE: f64 = 0.05;

/// Numbers that are all within this of the look's were only printed in another way: a quarter of an 8-bit code.
const REPRINTED: f64 = 1e-3;

/// A number this close to a whole code is one: rounding to six decimals moves it by 0.03 sixteen-bit codes.
const WHOLE_CODE: f64 = 0.04;

/// Bits of the codes that numbers are looked for in.
const CODE_BITS: [u32; 4] = [8, 10, 12, 16];

/// One sentence about what the file probably is.
pub(super) fn suspect(table: &Table3, plan: &Plan, pipeline: &Pipeline, nodes: &Nodes) -> String {
    if nodes.incomparable.is_none() {
        if nodes.changed == 1 || nodes.changed <= FEW && 2 * nodes.changed <= nodes.count {
            let rows =
                if nodes.changed == 1 { "one row was".to_owned() } else { format!("{} rows were", nodes.changed) };
            return format!("{rows} changed after the file was made");
        }
        if let Some(told) = reprinted(table, nodes) {
            return told;
        }
        if nodes.changed as f64 <= CHANGED_SHARE * nodes.count as f64 {
            let share = 100.0 * nodes.changed as f64 / nodes.count as f64;
            return format!("it is the look's own file, in which {} rows ({share:.2} %) were changed", nodes.changed);
        }
    }
    let tried = Tried::new(table);
    let told = Ideas::of(&tried, plan, pipeline, nodes).best();
    told.unwrap_or_else(|| "most likely the file of another recipe, or of another version of this one".to_owned())
}

/// The look's numbers, printed in another way.
fn reprinted(table: &Table3, nodes: &Nodes) -> Option<String> {
    if nodes.worst > REPRINTED {
        return None;
    }
    let whole = |bits: &u32| {
        let scale = f64::from((1_u32 << bits) - 1);
        let enough = 0.5 / scale * (1.0 + 2.0 * WHOLE_CODE) + 1e-6;
        nodes.worst <= enough
            && table.nodes().iter().flatten().all(|value| (value * scale - (value * scale).round()).abs() <= WHOLE_CODE)
    };
    let how = match CODE_BITS.iter().find(|bits| whole(bits)) {
        Some(bits) => format!("they went through {bits}-bit codes"),
        None => "they were printed with another rounding, or went through a shorter floating-point format".to_owned(),
    };
    Some(format!("it is the look, with numbers up to {:.1e} off: {how}", nodes.worst))
}
