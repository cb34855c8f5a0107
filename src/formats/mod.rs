//! Reading and writing files.
