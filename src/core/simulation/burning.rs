//! When a contact of the loop begins to melt.

use nalgebra::SVector;

use super::integrator::{Stretch, hermite, summit};
use super::rig::Rig;
use super::units::{KILOAMPERE, MILLISECOND};
use crate::case::joint_id::{JointId, PerJoint};
use crate::physics::joint::MELTING_VOLTAGE;

/// A current over a stretch \[A\], with its slopes \[A/ms\] at both ends, and its summit: the share of the
/// stretch at which it is largest, and how large.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course {
    ends: [[f64; 2]; 2],
    summit: (f64, f64),
}

impl Course {
    /// Of a sum of states \[kA\].
    pub fn of<const D: usize>(
        stretch: &Stretch<'_, D>,
        current: impl Fn(&SVector<f64, D>) -> f64,
    ) -> Self {
        let (from, to) = (stretch.from, stretch.to);
        let ends = [from, to].map(|p| [current(&p.y), current(&p.dy)].map(|i| i * KILOAMPERE));
        Course {
            ends,
            summit: summit(ends[0], ends[1], to.t - from.t),
        }
    }

    /// Largest size \[A\], of a current that runs the other way round as well.
    pub fn largest(&self) -> f64 {
        let [a, b] = self.ends;
        self.summit.1.max(-a[0]).max(-b[0])
    }
}

/// Notes which contacts reach their melting voltage in a stretch of the integration, by the whole current and
/// those of the earths.
pub(super) fn melting<const N: usize, const D: usize>(
    rig: &Rig,
    &Stretch { from, to, .. }: &Stretch<'_, D>,
    whole: &Course,
    earths: &[Course; N],
    melts_from: &mut PerJoint<Option<f64>>,
) {
    for id in JointId::all(N) {
        let course = id.earth().map_or(whole, |k| &earths[k]);
        let contact = &rig.circuit.joints[id];
        let (until, top) = course.summit;
        // A spark drops its voltage only while a current flows.
        if melts_from[id].is_none() && top > 0.0 && contact.voltage(top) >= MELTING_VOLTAGE {
            let wanted = (MELTING_VOLTAGE - contact.drop) / contact.resistance;
            let share = reached(course.ends, to.t - from.t, wanted, until);
            melts_from[id] = Some((from.t + share * (to.t - from.t)) * MILLISECOND);
        }
    }
}

/// Share of a step at which a current, value and slope at both ends, reaches `wanted`, as it has at the
/// share `until`.
fn reached([a, b]: [[f64; 2]; 2], h: f64, wanted: f64, until: f64) -> f64 {
    if a[0] >= wanted {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, until);
    // Half a step thirty times is far below a nanosecond.
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if hermite(a, b, h, middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::reached;

    #[test]
    fn closed_form_a_cubic_is_met_where_it_is() {
        // i = t³ + t over two units of time, met at t = 1.5.
        let share = reached([[0.0, 1.0], [10.0, 13.0]], 2.0, 1.5_f64.powi(3) + 1.5, 1.0);
        assert!((share - 0.75).abs() < 1e-8, "{share}");
        assert_eq!(reached([[3.0, 1.0], [4.0, 1.0]], 1.0, 2.0, 1.0), 0.0);
    }
}
