//! ASC CDL: the formula against worked numbers, the three kinds of files, and edit decision lists.

#[path = "../reference/mod.rs"]
mod reference;

mod formula;
