//! Arc blow: the fields of sheet current and leads at the stud's face, their push on the melt, and
//! what a drift of the melt does to the rim.
//!
//! The sheet is the plane z = 0 with the stud at the origin and the tool above. The current comes
//! down the stud, so its density points along -z; reversed current pushes the same way, since the
//! push goes with the square of the current.

use std::f64::consts::PI;

use super::MU0;

/// A vector in space: two directions along the sheet, and up.
pub type Vector = [f64; 3];

/// A vector in the plane of the sheet.
pub type Plane = [f64; 2];

/// Density of the sheet's current under the stud on its way to one clamp, per ampere \[1/m\].
///
/// d/(2π·|d|²), with `d` \[m\] from the stud to the clamp: the flow to a sink in a wide, thin, evenly
/// conducting sheet. What spreads from the stud itself is even all round and has no share.
pub fn sheet_current(d: Plane) -> Plane {
    let square = d[0] * d[0] + d[1] * d[1];
    d.map(|c| c / (2.0 * PI * square))
}

/// Flux density at the upper face of a sheet \[T\] that carries `k` \[A/m\].
///
/// μ₀/2·k × n, Griffiths, Introduction to Electrodynamics, example 5.8 (from memory): an endless
/// plane of even current; holds close to the face of a sheet in which `k` changes slowly.
pub fn sheet_field(k: Plane) -> Vector {
    [0.5 * MU0 * k[1], -0.5 * MU0 * k[0], 0.0]
}

/// Flux density at a point per ampere in a straight run \[T/A\].
///
/// Biot and Savart's law for a finite segment, Griffiths, example 5.5 (from memory):
/// μ₀/(4π·s)·(sin θ₂ − sin θ₁). Points \[m\]; the current flows `from` → `to`. Inside the rope's
/// `radius` \[m\] the field falls to nothing at its middle, as with an even current density.
pub fn run_field(from: Vector, to: Vector, at: Vector, radius: f64) -> Vector {
    let run = minus(to, from);
    let (a, b) = (minus(at, from), minus(at, to));
    let across = cross(run, a);
    // Squares of the run's length and of that times the distance.
    let (moment2, length2) = (dot(across, across), dot(run, run));
    if moment2 == 0.0 {
        return [0.0; 3]; // on the run's own line
    }
    let ends = dot(run, a) / norm(a) - dot(run, b) / norm(b);
    let factor = MU0 / (4.0 * PI) * ends / moment2.max(length2 * radius * radius);
    across.map(|c| c * factor)
}

/// Push on the melt along the sheet \[N/m³\]: J × B for a current of density `j` \[A/m²\] down the stud
/// in the flux density `b` \[T\].
pub fn push(j: f64, b: Vector) -> Plane {
    [j * b[1], -j * b[0]]
}

fn minus(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn cross(a: Vector, b: Vector) -> Vector {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn norm(a: Vector) -> f64 {
    dot(a, a).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conserves_the_push_when_the_current_turns_round() {
        let at = [0.02, 0.01, 0.0];
        let b = run_field([0.1, 0.0, 0.2], [0.3, 0.2, 0.1], at, 1e-3);
        let (one, other) = (push(1e8, b), push(-1e8, b.map(|c| -c)));
        assert_eq!(one, other);
        assert!(one[0] != 0.0 && one[1] != 0.0);
    }

    #[test]
    fn conserves_the_field_of_a_set_up_twice_as_large_at_half() {
        let twice = |v: Vector| v.map(|c| 2.0 * c);
        let (from, to, at) = ([0.1, 0.02, 0.2], [0.3, 0.2, 0.1], [0.02, 0.01, 0.0]);
        let small = run_field(from, to, at, 1e-3);
        let large = run_field(twice(from), twice(to), twice(at), 2e-3);
        for (large, small) in twice(large).iter().zip(small) {
            assert!((large / small - 1.0).abs() < 1e-12);
        }
        let (k, far) = (sheet_current([0.1, 0.2]), sheet_current([0.2, 0.4]));
        assert!((2.0 * far[0] / k[0] - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_field_stays_finite_on_and_in_the_rope() {
        let (from, to) = ([-1.0, 0.0, 0.0], [1.0, 0.0, 0.0]);
        assert_eq!(run_field(from, to, [0.0; 3], 4e-3), [0.0; 3]);
        assert_eq!(run_field(from, to, from, 4e-3), [0.0; 3]);
        assert_eq!(run_field(from, from, [0.0, 1.0, 0.0], 4e-3), [0.0; 3]);
        let at = |d: f64| run_field(from, to, [0.0, d, 0.0], 4e-3)[2];
        assert!((at(2e-3) / at(4e-3) - 0.5).abs() < 1e-5);
        assert!((at(4.001e-3) / at(4e-3) - 1.0).abs() < 1e-3);
    }
}
