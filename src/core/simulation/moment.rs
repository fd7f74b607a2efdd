//! The discharge at a moment: its state and its running integrals.

use crate::case::joint_id::MAX_EARTHS;

/// Running integrals at a moment, in SI.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Integrals {
    /// Action ∫i² \[A²s\].
    pub action: f64,
    /// Charge ∫i \[C\].
    pub charge: f64,
    /// ∫i_k·i_j of each pair of earths, their actions on the diagonal \[A²s\].
    pub products: [[f64; MAX_EARTHS]; MAX_EARTHS],
    /// Each earth's charge \[C\].
    pub earth_charge: [f64; MAX_EARTHS],
    /// Joules in the pip's constriction, or ∫i·gap \[C·m\] of the arc.
    pub aux: f64,
}

/// State at a moment, in SI.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Moment {
    /// Time from the trigger \[s\].
    pub t: f64,
    /// Bank voltage \[V\].
    pub bank: f64,
    /// Total current \[A\].
    pub current: f64,
    /// Current of each earth \[A\].
    pub earths: [f64; MAX_EARTHS],
    /// Enthalpy of the pip above 20 °C \[J/kg\].
    pub pip_enthalpy: f64,
    /// Speed of the stud \[m/s\].
    pub speed: f64,
    /// Travel of the stud since release \[m\].
    pub travel: f64,
    /// Running integrals.
    pub sums: Integrals,
}

impl Moment {
    /// Current \[A\] of an earth lead or, without one, the whole; its action \[A²s\] and charge \[C\].
    pub(super) fn of_lane(&self, earth: Option<usize>) -> (f64, [f64; 2]) {
        let sums = &self.sums;
        match earth {
            None => (self.current, [sums.action, sums.charge]),
            Some(k) => (self.earths[k], [sums.products[k][k], sums.earth_charge[k]]),
        }
    }
}
