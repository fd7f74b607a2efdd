//! The program from outside: arguments and files in, streams, files and exit codes out.

mod case;
mod chart;
mod contrast;
mod csv;
mod earths;
mod faults;
mod fit;
mod golden;
mod handbook;
mod json;
mod marks;
mod outputs;
mod streams;
mod sweep;
mod tool;
