//! Every test of the library, in one program: linking it a dozen times would take longer than running it.

mod agreement;
mod allocations;
mod closed_form;
mod common;
mod conservation;
mod doc_snapshots;
mod events;
mod examples;
mod heat_methods;
mod hunt;
mod joints;
mod ngspice;
mod practice;
mod proof;
mod properties;
mod published;
mod readme;
mod regressions;
mod second_solver;
mod shifts;
mod validation_tables;
