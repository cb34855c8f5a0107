//! Tables in memory and in files: the cube format, what lies between the nodes, files that are written whole or not at all.

mod atomic_writing;
mod cube_files;
mod lut_interpolation;
