//! Equations and event functions of a phase, as the integrator asks for them.

use nalgebra::SVector;

use super::Point;

/// Longest step of a discharge \[ms\].
const LONGEST_STEP: f64 = 0.25;

/// Equations and event functions of a phase.
pub trait OdeSystem<const D: usize> {
    /// Guards of the phase.
    type EventFunction: Copy + PartialEq;

    /// How many states, counted from the first, the rates and event functions depend on; the others are sums.
    const CORE: usize = D;

    /// Rates `dy` at the time `t` and state `y`.
    fn rates(&self, t: f64, y: &SVector<f64, D>, dy: &mut SVector<f64, D>);

    /// Whether the solution's power series can be had term by term.
    fn has_series(&self) -> bool {
        false
    }

    /// The last power's term of the rates' series into `out`, which is zero, where `terms` are those of the state's
    /// from power 0 on, each times the same length of time to its power. Asked for from the first power on, and only
    /// where there is a series.
    fn rate_term(&self, _terms: &[SVector<f64, D>], _out: &mut SVector<f64, D>) {}

    /// Longest step \[ms\]: short enough that no event function of an ordinary rig crosses twice within one.
    fn longest_step(&self) -> f64 {
        LONGEST_STEP
    }

    /// Rates at both ends of a step of an event function that may cross and come back within it; `None` for the
    /// others.
    fn event_rates(
        &self,
        _guard: Self::EventFunction,
        _a: &Point<D>,
        _b: &Point<D>,
    ) -> Option<[f64; 2]> {
        None
    }

    /// Whether an event function looks at the rates.
    fn looks_at_rates(&self, _guard: Self::EventFunction) -> bool {
        true
    }

    /// Value of an event function: positive before its event, negative after.
    fn event_function(
        &self,
        event_function: Self::EventFunction,
        t: f64,
        y: &SVector<f64, D>,
        dy: &SVector<f64, D>,
    ) -> f64;
}
