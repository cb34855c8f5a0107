//! A test scene that looks like a place: the lounge of a car ferry at dusk, rendered in scene light and recorded by any
//! camera. Busts of four skins between a warm key and a cool window, a chart, balls, cloth, coloured tubes, deep shade.
//!
//! What stands in it and what it can be measured by: `docs/seeing.md`, "Test scene".

mod arriving;
mod bust;
mod cloth;
mod lights;
mod material;
mod noise;
mod outside;
mod palette;
mod recorded;
mod render;
mod set;
mod shade;
mod shapes;
mod solid;
mod vector;
mod world;

pub use recorded::{MOST_STOPS, SMALL_SIZE, SMALLEST_SIZE, camera_scene, recorded_by, scene, small_scene};
