//! The program from outside: arguments and files in, streams, files and exit codes out.

mod advice;
mod calibrate;
mod card;
mod case;
mod chart;
mod compare;
mod csv;
mod design;
mod dial;
mod earths;
mod faults;
mod fit;
mod golden;
mod handbook;
mod join;
mod json;
mod killed;
mod marks;
mod outputs;
mod scatter;
mod sensitivity;
mod shift;
mod streams;
mod studies;
mod sweep;
mod tool;
