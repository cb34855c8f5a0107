//! Shows from outside: what is said of wrong ones, what a run writes and leaves, versions, and loose files found again.

#[path = "../common/mod.rs"]
mod common;
mod kit;
mod maps;
mod runs;
mod versions;
mod words;
