//! Flight of the stud under its spring: closed form, from rest or moving, until it lands or stops.

/// Gap at which the flange's rim touches the sheet \[m\]: a flange of the radius `radius` \[m\] tilted by more
/// than its cone \[rad\], R·(tan tilt − tan cone), else none.
pub fn touch_gap(radius: f64, tilt: f64, cone: f64) -> f64 {
    (radius * (tilt.tan() - cone.tan())).max(0.0)
}

/// Net push on the stud at the start \[N\]: spring and weight along the axis, less friction.
///
/// `force` and `friction` \[N\], `mass` \[kg\], `axis` \[m/s²\] the acceleration of gravity towards the sheet.
pub fn push(force: f64, mass: f64, axis: f64, friction: f64) -> f64 {
    force + mass * axis - friction
}

/// A flight driven by a constant push less a spring's slackening: m·x″ = F − k·x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flight {
    /// Net push at x = 0: spring at the start, weight along the axis, less friction \[N\].
    pub push: f64,
    /// Spring rate \[N/m\].
    pub rate: f64,
    /// Moving mass \[kg\].
    pub mass: f64,
}

impl Flight {
    /// Time \[s\] from (`x0` \[m\], `w0` \[m/s\]) until the travel `x1` ≥ x0 is reached, or `None` if the
    /// stud comes to rest before.
    pub fn time_to(&self, x0: f64, w0: f64, x1: f64) -> Option<f64> {
        let a0 = (self.push - self.rate * x0) / self.mass;
        let s = x1 - x0;
        if s <= 0.0 {
            return Some(0.0);
        }
        if w0 <= 0.0 && a0 <= 0.0 {
            return None;
        }
        // Energy decides whether it gets there: w1² = w0² + 2·a0·s − (k/m)·s².
        let omega2 = self.rate / self.mass;
        let w1_squared = w0 * w0 + 2.0 * a0 * s - omega2 * s * s;
        if w1_squared < 0.0 {
            return None;
        }
        let w1 = w1_squared.sqrt();
        // The half-angle form of the phase keeps its digits for soft springs (ω → 0):
        // tan(ωt/2) = ω·s/(w0 + w1), since s = (w0 + w1)/ω·tan(ωt/2).
        let omega = omega2.sqrt();
        let q = s / (w0 + w1);
        if omega * q < 1e-8 {
            Some(2.0 * q)
        } else {
            Some(2.0 / omega * (omega * q).atan())
        }
    }

    /// Travel \[m\] and speed \[m/s\] a time `t` \[s\] after (`x0`, `w0`), held once it has stopped.
    pub fn at(&self, x0: f64, w0: f64, t: f64) -> (f64, f64) {
        let a0 = (self.push - self.rate * x0) / self.mass;
        if w0 <= 0.0 && a0 <= 0.0 {
            return (x0, 0.0);
        }
        let omega = (self.rate / self.mass).sqrt();
        let stop = self.time_to_rest(x0, w0);
        let t = t.min(stop);
        let phase = omega * t;
        if phase < 1e-6 {
            return (x0 + w0 * t + 0.5 * a0 * t * t, (w0 + a0 * t).max(0.0));
        }
        let (sin, cos) = phase.sin_cos();
        let half = (0.5 * phase).sin();
        // 1 − cos = 2·sin²(half) keeps its digits for short flights.
        let x = x0 + w0 / omega * sin + a0 / (omega * omega) * 2.0 * half * half;
        let w = w0 * cos + a0 / omega * sin;
        (x, w.max(0.0))
    }

    /// Time \[s\] after which the stud comes to rest by itself, infinite if it never does.
    pub fn time_to_rest(&self, x0: f64, w0: f64) -> f64 {
        let a0 = (self.push - self.rate * x0) / self.mass;
        let omega = (self.rate / self.mass).sqrt();
        if omega == 0.0 {
            return if a0 < 0.0 { w0 / -a0 } else { f64::INFINITY };
        }
        // w(t) = w0·cos ωt + (a0/ω)·sin ωt = 0: the first zero after the start.
        (w0 * omega).atan2(-a0) / omega
    }
}
