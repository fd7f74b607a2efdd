//! The program from outside: arguments and files in, streams, files and exit codes out.

mod case;
mod contrast;
mod csv;
mod earths;
mod faults;
mod golden;
mod join;
mod json;
mod outputs;
mod scatter;
mod sensitivity;
mod streams;
mod sweep;
mod tool;
