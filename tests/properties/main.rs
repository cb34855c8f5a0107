//! Properties of the recipe language and of looks, and seeded fuzzing of every reader.
//!
//! An ordinary run tries a fixed number of cases, the same on every machine. With `LOOKWRIGHT_FUZZ_SECONDS` set, each
//! fuzzer goes on for that many seconds, batch after batch, each from the next seed of a fixed row.

mod cdl_readers;
mod clf_reader;
mod cube_and_picture_readers;
mod damage;
mod fingerprints;
mod fuzzing;
mod looks;
mod package_reader;
mod recipe_reader;
mod recipes;
