//! Packages for post, from outside: what is in them, that they are the same bytes from the same texts, and that `receive` finds whatever
//! was done to them.
//!
//! The expectations are this project's own promises (docs, START-HERE, the commands' help); what the files mean is held against other
//! programs and an independent implementation in `tests/python/exchange.py`.

mod kit;
mod lists;
mod pack;
mod receive;
mod steps;
