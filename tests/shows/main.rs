//! Shows from outside: what is said of wrong ones, what a run writes and leaves, versions, and loose files found again.

mod kit;
mod runs;
mod versions;
mod words;
