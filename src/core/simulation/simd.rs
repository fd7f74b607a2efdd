//! Numbers of both bodies side by side, and cumulated ones.

use wide::f64x2;

use super::rig::Face;

/// A number for each body: the stud's, the sheet's.
pub(super) type Lanes = f64x2;

/// A number of both faces.
pub(super) fn pair(faces: &[Face; 2], of: impl Fn(&Face) -> f64) -> Lanes {
    f64x2::from([of(&faces[0]), of(&faces[1])])
}

/// Share of the change over the last step that BDF2 carries into the next, and the time β over
/// which the rates at its end act \[s\]; `before` is the last step's length, 0 after a jump, which makes it
/// backward Euler: nothing is carried, and what was before the jump no longer counts.
pub(super) fn bdf2(dt: f64, before: f64) -> (f64, f64) {
    let r = if before > 0.0 { dt / before } else { 0.0 };
    (r * r / (1.0 + 2.0 * r), (1.0 + r) / (1.0 + 2.0 * r) * dt)
}

/// A quantity of both bodies: now, and one step before.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Book {
    pub now: Lanes,
    pub before: Lanes,
}

impl Book {
    /// Where the step starts from.
    pub fn start(&self, carry: f64) -> Lanes {
        self.now + (self.now - self.before) * carry
    }

    /// Takes the value at the end of the step.
    pub fn put(&mut self, next: Lanes) {
        self.before = self.now;
        self.now = next;
    }

    /// One step of the same recursion the enthalpies take.
    pub fn advance(&mut self, carry: f64, add: Lanes) {
        self.put(self.start(carry) + add);
    }
}

/// Share of a body's heat missing from its balance, the worse of both: `heat` in from the arc,
/// `held` by the body or gone as vapour, `out` through the joint \[J/m²\]. A body may take all its heat
/// through the joint. Heat below a thousandth of what would bring the body to melting drowns in the
/// rounding of its whole content, some 1e-13 of it, and counts as that.
pub(super) fn imbalance(faces: &[Face; 2], heat: Lanes, held: Lanes, out: Lanes) -> f64 {
    let least = pair(faces, |f| 1e-3 * f.density * f.enthalpy.solidus * f.depth);
    let whole = heat.fast_max(out.abs()).fast_max(least);
    let [a, b] = ((heat - held - out).abs() / whole).to_array();
    a.max(b)
}
