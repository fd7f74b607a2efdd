//! The live page: a case in the browser, fired anew at every move of a slider.
//!
//! A browser asks with overrides and faults (`wish`); the `bench` puts them on the case the page was
//! opened with and fires; an `answer` goes back as JSON and is drawn by the scripts in `files/`. What
//! can be taken away (`take`) is made on request. No request reads or writes a file.

mod answer;
mod assets;
mod bench;
mod columns;
mod controls;
mod lessons;
mod rim;
pub mod serve;
mod start;
mod take;
mod wish;

pub use bench::Bench;
