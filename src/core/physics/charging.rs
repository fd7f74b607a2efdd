//! The charge of a bank: constant current, then constant power; and the discharge through a bleeder.

/// A charger: it gives its full current until that would be more than its power.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Largest power into the bank \[W\].
    pub power: f64,
    /// Largest current into the bank \[A\].
    pub current: f64,
}

impl Supply {
    /// Voltage at which constant power takes over from constant current \[V\].
    pub fn knee(&self) -> f64 {
        self.power / self.current
    }

    /// Time to charge a bank `c` \[F\] from `u0` to `u1` \[V\], both not below zero \[s\]; 0 where it is there.
    ///
    /// C·du/dt = I below the knee, ½·C·d(u²)/dt = P above: t = C·Δu/I + C·Δ(u²)/(2P).
    pub fn time(&self, c: f64, u0: f64, u1: f64) -> f64 {
        if u1 <= u0 {
            return 0.0;
        }
        let knee = self.knee().clamp(u0, u1);
        c * (knee - u0) / self.current + 0.5 * c * (u1 * u1 - knee * knee) / self.power
    }

    /// Voltage of a bank `c` \[F\] after `t` \[s\] from `u0` \[V\], never above `most` \[V\].
    pub fn voltage(&self, c: f64, u0: f64, t: f64, most: f64) -> f64 {
        let to_knee = self.time(c, u0, self.knee());
        let u = if t <= to_knee {
            u0 + self.current * t / c
        } else {
            let from = self.knee().max(u0);
            (from * from + 2.0 * self.power * (t - to_knee) / c).sqrt()
        };
        u.min(most).max(u0)
    }

    /// Largest power into the bank on the way up to `u1` \[V\] \[W\].
    pub fn peak_power(&self, u1: f64) -> f64 {
        self.power.min(self.current * u1)
    }
}

/// Time for a bank `c` \[F\] to fall from `u0` to `u1` \[V\] through `r` \[Ω\] \[s\]: R·C·ln(u₀/u₁).
pub fn bleed_time(c: f64, r: f64, u0: f64, u1: f64) -> f64 {
    if u0 <= u1 {
        return 0.0;
    }
    r * c * (u0 / u1).ln()
}

/// Voltage that live parts must have fallen below \[V\], and the time they have for it \[s\]: IEC 60204-1, protection
/// against residual voltages, from memory.
pub const SAFE_VOLTAGE: f64 = 60.0;
/// See [`SAFE_VOLTAGE`].
pub const SAFE_TIME: f64 = 5.0;
