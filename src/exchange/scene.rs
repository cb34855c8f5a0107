//! The look on the scene side, from ACEScg to ACEScg.

use super::table::{Axis, SceneLog, StepError, lut3, measured, sampled, told};
use super::translation::{Step, matrix_node};
use crate::formats::clf::{CdlStyle, LogStyle, Node, Operation, Range};
use crate::maths::{Rgb, log2};
use crate::pipeline::{Block, Clips, Row};
use crate::plan::Cdl;

/// Light below this counts as this where a table's error is told in stops: ten stops below grey, deeper than any camera shows.
const DARKEST: f64 = 0.18 / 1024.0;

/// The scene side of a look. `row` holds light that the errors are measured at and is brought along; `top` is the brightest light
/// that tables must hold.
pub(super) fn scene(blocks: &[Block], size: usize, row: &mut Row, top: f64) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut rest = blocks.iter().take_while(|block| on_scene(block)).peekable();
    while let Some(block) = rest.next() {
        match block {
            Block::Matrix(matrix) => {
                let description = "white: the cast of the recipe's [white], greys keep their luminance";
                steps.push(Step::exact(matrix_node("white", description, matrix)));
                block.apply(row, &mut Clips::default());
            }
            Block::Cdl(cdl) => {
                steps.extend(grade(cdl.grade()).into_iter().map(Step::exact));
                block.apply(row, &mut Clips::default());
            }
            _ => {
                // Neighbours share one table: one error instead of two.
                let mut together = vec![block];
                while let Some(next) = rest.next_if(|next| needs_table(next)) {
                    together.push(next);
                }
                steps.extend(tabled(&together, size, row, top));
            }
        }
    }
    steps
}

/// Whether a block belongs to the scene side of a look.
pub(super) fn on_scene(block: &Block) -> bool {
    matches!(block, Block::Matrix(_) | Block::Cdl(_)) || needs_table(block)
}

fn needs_table(block: &Block) -> bool {
    matches!(block, Block::Diffusion(_) | Block::Split(_))
}

fn tabled(blocks: &[&Block], size: usize, row: &mut Row, top: f64) -> Vec<Step> {
    let log = SceneLog::new(top);
    let work = |row: &mut Row| {
        blocks.iter().for_each(|block| block.apply(row, &mut Clips::default()));
        row.each(|light| light.map(|value| log.place(value)));
    };
    let axis = Axis { place: &|light| log.place(light), value: &|place| log.light(place) };
    let table = sampled(size, &axis, &work);
    let probes: Vec<Rgb> = row.pixels().collect();
    blocks.iter().for_each(|block| block.apply(row, &mut Clips::default()));
    let exact: Vec<Rgb> = row.pixels().collect();
    let stops = |read: f64, exact: f64| (log2(log.light(read).max(DARKEST)) - log2(exact.max(DARKEST))).abs();
    let (most, mean) = measured(&table, &axis, &probes, &exact, stops);
    let names: Vec<&str> =
        blocks.iter().map(|block| if matches!(block, Block::Split(_)) { "split" } else { "diffusion" }).collect();
    let name = names.join(" and ");
    let error = StepError { name: name.clone(), most, mean, unit: "stops" };
    let description = told(&format!("the recipe's {name}"), size, &error);
    let step = Step { node: lut3(&name, description, table), error: Some(error) };
    let ends = [LogStyle::CameraLinToLog, LogStyle::CameraLogToLin].map(|style| Step::exact(log.node(style)));
    let [before, after] = ends;
    vec![before, step, after]
}

/// The grade: ASC CDL in `ACEScct` with a floor at 0 before the power, without a clamp at 1.
///
/// The standard's form without clamping leaves negative values as they are, the recipe's cuts them: slope and offset come first, then the
/// floor, then power and saturation. Where slope and offset are the identity, that order changes nothing else.
fn grade(cdl: &Cdl) -> Vec<Node> {
    let log = SceneLog::new(acescct_top());
    let first = Cdl { power: [1.0; 3], saturation: 1.0, ..*cdl };
    let second = Cdl { slope: [1.0; 3], offset: [0.0; 3], ..*cdl };
    let floor = Range { low: Some([0.0, 0.0]), high: None, clamp: true };
    let named = |name: &str, description: &str, operation| Node::new(name, description, operation);
    let mut nodes = vec![
        named(
            "to ACEScct",
            "scene-linear ACEScg to ACEScct, the working space of the grade",
            log.node(LogStyle::CameraLinToLog).operation,
        ),
        named(
            "grade: slope and offset",
            "ASC CDL of the recipe's [grade], its slope and offset",
            Operation::Cdl(CdlStyle::FwdNoClamp, first),
        ),
        named(
            "grade: floor",
            "what slope and offset bring below 0 is cut there, as the ASC CDL asks; nothing is cut at 1",
            Operation::Range(floor),
        ),
        named(
            "grade: power and saturation",
            "ASC CDL of the recipe's [grade], its power and saturation",
            Operation::Cdl(CdlStyle::FwdNoClamp, second),
        ),
    ];
    nodes.push(named(
        "from ACEScct",
        "ACEScct back to scene-linear ACEScg",
        log.node(LogStyle::CameraLogToLin).operation,
    ));
    nodes
}

/// The light whose ACEScct code is 1, so that the axis is ACEScct itself.
fn acescct_top() -> f64 {
    crate::colour::encodings::acescct::decode(1.0)
}
