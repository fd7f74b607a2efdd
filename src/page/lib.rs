//! The live page: a case in the browser, fired anew at every move of a slider.
//!
//! A browser asks with overrides and faults (`request`); the `session` puts them on the case the page was
//! opened with and fires; a `response` goes back as JSON and is drawn by the scripts in `files/`. A `shift` of
//! that weld, and what test welds say of the rig (`learn`), are asked for by themselves. What
//! can be taken away (`downloads`) is made on request. A `class` of phones may follow, by a listener of its own. No request reads or writes a file.

mod assets;
mod class;
mod columns;
mod controls;
mod downloads;
mod learn;
pub mod lessons;
mod request;
mod response;
mod rim;
pub mod serve;
mod session;
mod shift;
mod spread;
mod start;

pub use class::{Class, Reach};
pub use session::Session;
