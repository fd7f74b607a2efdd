//! How closely the march follows the solution, and by whose solver.

/// Whose solver the march goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Solver {
    /// This program's own, which asks for no memory.
    #[default]
    Own,
    /// That of `ode_solvers` (Dormand and Prince, order 8), to hold our own against.
    Library,
}

/// Relative and absolute tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Over the state's size.
    pub relative: f64,
    /// For all states, which are scaled to order 1.
    pub absolute: f64,
    /// Whose solver keeps it.
    pub solver: Solver,
}

impl Tolerance {
    /// The same relative and absolute, for states scaled to order 1.
    pub const fn new(both: f64) -> Self {
        Tolerance {
            relative: both,
            absolute: both,
            solver: Solver::Own,
        }
    }

    /// The same, kept by the solver of the library.
    pub const fn by_library(self) -> Self {
        Tolerance {
            solver: Solver::Library,
            ..self
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
