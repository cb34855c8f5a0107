//! Files that go to and come from other programs: the Common LUT Format.
//!
//! `tests/python/clf.py` opens what `other_readers` writes, with a reader of another project and the equations written again.

mod commands;
mod evaluation;
mod foreign;
mod other_readers;
mod refused;
mod round_trip;
mod samples;
