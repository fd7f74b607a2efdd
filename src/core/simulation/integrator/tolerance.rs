//! How closely the integrator follows the solution.

/// Relative and absolute tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Over the state's size.
    pub relative: f64,
    /// For all states, which are scaled to order 1.
    pub absolute: f64,
}

impl Tolerance {
    /// The same relative and absolute, for states scaled to order 1.
    pub const fn new(both: f64) -> Self {
        Tolerance {
            relative: both,
            absolute: both,
        }
    }

    /// For states that are `share` of order 1 at most.
    pub fn for_share(self, share: f64) -> Self {
        Tolerance {
            absolute: self.absolute * share.clamp(LEAST_SHARE, 1.0),
            ..self
        }
    }
}

impl Default for Tolerance {
    fn default() -> Self {
        Tolerance::new(1e-7)
    }
}

/// Least share of the absolute tolerance: below it rounding begins.
const LEAST_SHARE: f64 = 1e-5;
