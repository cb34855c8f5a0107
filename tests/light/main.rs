//! Light from outside: lamps, filters, casts and sheets against reference values, and what is said of impossible ones.

#[path = "../common/mod.rs"]
mod common;
#[allow(dead_code, reason = "the kit is that of the tests of shows; only some of it is used here")]
#[path = "../shows/kit.rs"]
mod kit;

mod commands;
mod exposure;
mod other_direction;
mod reference;
mod setups;
mod trims;
mod ways;
mod words;
