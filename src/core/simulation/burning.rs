//! When a contact of the loop begins to melt.

use nalgebra::SVector;

use super::integrator::{Stretch, hermite, summit};
use super::rig::{MAX_EARTHS, Rig};
use crate::physics::joint::MELTING_VOLTAGE;

/// One entry a joint: bank terminal, tool terminal, chuck, then terminal and clamp of each earth.
pub type PerJoint<T> = [T; 3 + 2 * MAX_EARTHS];

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
        let ends = [from, to].map(|p| [current(&p.y) * 1e3, current(&p.dy) * 1e3]);
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
    let mut note = |joint: usize, [resistance, drop]: [f64; 2], course: &Course| {
        let (until, top) = course.summit;
        // A spark drops its voltage only while a current flows.
        if melts_from[joint].is_none() && top > 0.0 && resistance * top + drop >= MELTING_VOLTAGE {
            let wanted = (MELTING_VOLTAGE - drop) / resistance;
            let share = reached(course.ends, to.t - from.t, wanted, until);
            melts_from[joint] = Some((from.t + share * (to.t - from.t)) * 1e-3);
        }
    };
    for (j, joint) in rig.joints.iter().enumerate() {
        note(j, *joint, whole);
    }
    for (k, earth) in earths.iter().enumerate() {
        for part in 0..2 {
            let joint = [rig.earth_resistances[k][1 + part], rig.earth_drops[k][part]];
            note(3 + 2 * k + part, joint, earth);
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
