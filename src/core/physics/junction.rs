//! The junction of a switch over its heat sink: transient thermal impedance as a Foster table.

/// Stages of the table.
pub const STAGES: usize = 4;

/// Z(t) = Σ r_i·(1 − e^(−t/τ_i)), as data sheets give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foster {
    /// Resistances \[K/W\].
    pub r: [f64; STAGES],
    /// Time constants \[s\].
    pub tau: [f64; STAGES],
}

impl Foster {
    /// Transient thermal impedance after `t` \[s\] \[K/W\].
    pub fn impedance(&self, t: f64) -> f64 {
        let stage = |k: usize| -self.r[k] * (-t / self.tau[k]).exp_m1();
        (0..STAGES).map(stage).sum()
    }

    /// Rises of the stages right after a pulse of `energy` \[J\] and `t` \[s\], from `rises` \[K\] before it.
    pub fn pulse(&self, rises: [f64; STAGES], energy: f64, t: f64) -> [f64; STAGES] {
        let power = energy / t;
        std::array::from_fn(|k| {
            let gone = -(-t / self.tau[k]).exp_m1();
            rises[k] + gone * (self.r[k] * power - rises[k])
        })
    }

    /// Rises of the stages after `t` \[s\] without power.
    pub fn rest(&self, rises: [f64; STAGES], t: f64) -> [f64; STAGES] {
        std::array::from_fn(|k| rises[k] * (-t / self.tau[k]).exp())
    }

    /// Heat the stages hold \[J\]: Σ τ_i/r_i·ΔT_i.
    pub fn held(&self, rises: [f64; STAGES]) -> f64 {
        let stage = |k: usize| {
            if self.r[k] > 0.0 {
                self.tau[k] / self.r[k] * rises[k]
            } else {
                0.0
            }
        };
        (0..STAGES).map(stage).sum()
    }
}

/// Length \[s\] of the even pulse of `peak` power \[W\] that has the `energy` \[J\] of a real one: the usual stand-in of
/// data sheets for a pulse of any shape, on the safe side.
pub fn even_pulse(energy: f64, peak: f64) -> f64 {
    energy / peak
}
