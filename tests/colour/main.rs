//! The colour science against published tables, reference libraries and its own properties.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reference/mod.rs"]
mod reference;

mod chart;
mod difference;
mod displays;
mod encodings;
mod gamuts;
mod whites;
