//! Resistance of the melt film to being squeezed out between two discs.

use std::f64::consts::PI;

/// Constants of a squeeze between discs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Squeeze {
    /// 3π·μ·R⁴/2 \[N·s·m²\].
    pub viscous: f64,
    /// 3π·ρ·R⁴/16 \[kg·m\].
    pub inertial: f64,
}

impl Squeeze {
    /// Melt of viscosity `mu` \[Pa·s\] and (as a liquid) density `rho` \[kg/m³\] between discs of radius `r` \[m\].
    pub fn new(mu: f64, rho: f64, r: f64) -> Self {
        let r4 = r.powi(4);
        Squeeze {
            viscous: 1.5 * PI * mu * r4,
            inertial: 3.0 / 16.0 * PI * rho * r4,
        }
    }

    /// Resistance \[N\] to closing at the speed `w` \[m/s\] with the film `film` \[m\] left.
    ///
    /// 3π·μ·R⁴·w/(2·film³) (Stefan 1874; Reynolds 1886) plus the melt's inertia at constant w,
    /// 3π·ρ·R⁴·w²/(16·film²): of the outflow w·r/(2·film), 1/16 is the pressure of its head over the
    /// disc and 2/16 what its speeding up in the thinner film takes. The second is the larger one at impact speed.
    /// What the change of w itself adds, π·ρ·R⁴/(8·film)·dw/dt, is left out.
    pub fn force(&self, w: f64, film: f64) -> f64 {
        let q = 1.0 / film;
        let wq = w * q;
        wq * q * (self.viscous * q + self.inertial * w)
    }

    /// Rate of that resistance with the speed \[N·s/m\].
    pub fn slope(&self, w: f64, film: f64) -> f64 {
        let q = 1.0 / film;
        q * q * (self.viscous * q + 2.0 * self.inertial * w)
    }

    /// Speed \[m/s\] at which the film `film` \[m\] holds the push `force` \[N\]: the positive root of
    /// the quadratic that [`force`](Self::force) is in w.
    pub fn speed(&self, force: f64, film: f64) -> f64 {
        let b = self.viscous / (film * film * film);
        let c = self.inertial / (film * film);
        2.0 * force / (b + (b * b + 4.0 * c * force).sqrt())
    }
}
