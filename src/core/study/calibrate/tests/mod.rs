//! Rigs made up from the prior, welded on paper, and calibrated again.

mod likelihood;
mod ranks;
