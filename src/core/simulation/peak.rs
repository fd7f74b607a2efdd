//! Largest size of a current over a stretch of the integration.

use nalgebra::SVector;

use super::integrator::{Stretch, summit};
use super::units::KILOAMPERE;

/// Largest size of a current \[A\] over a stretch, whichever way it runs; `current` is a sum of states \[kA\].
pub(super) fn largest<const D: usize>(
    stretch: &Stretch<'_, D>,
    current: impl Fn(&SVector<f64, D>) -> f64,
) -> f64 {
    let (from, to) = (stretch.from, stretch.to);
    let [a, b] = [from, to].map(|p| [current(&p.y) * KILOAMPERE, current(&p.dy) * KILOAMPERE]);
    let (_, most) = summit(a, b, to.t - from.t);
    most.max(-a[0]).max(-b[0])
}
