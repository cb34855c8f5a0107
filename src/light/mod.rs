//! Light on the set: how much of it a stop needs.

pub mod exposure;
