//! Rigs made up from the prior, welded on paper, and calibrated again.

mod advised;
mod course;
mod likelihood;
mod ranks;
