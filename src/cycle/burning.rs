//! When a contact of the loop begins to melt.

use super::march::{Point, Stretch, hermite, summit};
use super::phase::I;
use super::rig::{MAX_EARTHS, Rig};
use crate::physics::joint::MELTING_VOLTAGE;

/// One entry a joint: bank terminal, tool terminal, chuck, then terminal and clamp of each earth.
pub type PerJoint<T> = [T; 3 + 2 * MAX_EARTHS];

/// Notes which contacts reach their melting voltage in a stretch of the march.
pub(super) fn melting<const N: usize, const D: usize>(
    rig: &Rig,
    &Stretch { from, to, .. }: &Stretch<'_, D>,
    melts_from: &mut PerJoint<Option<f64>>,
) {
    let branch = |p: &Point<D>, k: usize| [p.y[I + k] * 1e3, p.dy[I + k] * 1e3];
    let whole =
        |p: &Point<D>| [&p.y, &p.dy].map(|list| (0..N).map(|k| list[I + k]).sum::<f64>() * 1e3);
    let mut note = |joint: usize, [resistance, drop]: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        let volts = |i: f64| resistance * i + drop;
        // A spark drops its voltage only while a current flows.
        let (until, top) = summit(a, b, to.t - from.t);
        if melts_from[joint].is_none() && top > 0.0 && volts(top) >= MELTING_VOLTAGE {
            let wanted = (MELTING_VOLTAGE - drop) / resistance;
            let share = reached(a, b, to.t - from.t, wanted, until);
            melts_from[joint] = Some((from.t + share * (to.t - from.t)) * 1e-3);
        }
    };
    let (a, b) = (whole(from), whole(to));
    for (j, joint) in rig.joints.iter().enumerate() {
        note(j, *joint, a, b);
    }
    for k in 0..N {
        let (a, b) = (branch(from, k), branch(to, k));
        for part in 0..2 {
            let joint = [rig.earth_resistances[k][1 + part], rig.earth_drops[k][part]];
            note(3 + 2 * k + part, joint, a, b);
        }
    }
}

/// Share of a step at which a current, value and slope at both ends, reaches `wanted`, as it has at the
/// share `until`.
fn reached(a: [f64; 2], b: [f64; 2], h: f64, wanted: f64, until: f64) -> f64 {
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
        let share = reached([0.0, 1.0], [10.0, 13.0], 2.0, 1.5_f64.powi(3) + 1.5, 1.0);
        assert!((share - 0.75).abs() < 1e-8, "{share}");
        assert_eq!(reached([3.0, 1.0], [4.0, 1.0], 1.0, 2.0, 1.0), 0.0);
    }
}
