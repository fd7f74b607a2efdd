//! Current-carrying joints: how hot the contact spot gets, when it melts, and what forces it apart.

/// Lorenz number \[V²/K²\] (theoretical value 2.443·10⁻⁸ from k and e).
pub const LORENZ: f64 = 2.44e-8;

/// Metal of the contacts: lugs, clamps and chucks are of copper or its alloys.
pub const CONTACT_METAL: &str = "copper";

/// Voltage at which a copper contact softens \[V\] (Holm, Electric Contacts, table of contact metals).
pub const SOFTENING_VOLTAGE: f64 = 0.12;

/// Voltage at which a copper contact melts \[V\] (Holm, as above).
pub const MELTING_VOLTAGE: f64 = 0.43;

/// Melting point of copper \[K\] (ITS-90, freezing point of copper).
pub const MELTING_POINT: f64 = 1357.77;

/// Voltage at which a contact melts \[V\] whose metal melts at `melting_point` \[K\], its bulk at `t0` \[K\].
///
/// 2·√(L·(T_m² − T0²)), Kohlrausch's relation (Holm): iron 0.553 V where Holm has 0.6, copper 0.414 where he has
/// 0.43.
pub fn melting_voltage(melting_point: f64, t0: f64) -> f64 {
    2.0 * (LORENZ * (melting_point * melting_point - t0 * t0)).sqrt()
}

/// Force that a current drives a contact apart with, over its square \[N/A²\]: Slade, Electrical Contacts, 2nd ed.
/// (2014); the form is Holm's, μ₀/4π·ln(B/a), its logarithm taken as a constant.
pub const BLOW_OFF: f64 = 4.45e-7;

/// Least voltage of an arc between copper contacts \[V\] (Holm, from memory).
pub const ARC_VOLTAGE: f64 = 13.0;

/// Temperature of a contact spot that drops the voltage `u` \[V\], bulk at `t0` \[K\] → \[K\].
///
/// √(T0² + U²/4L), Kohlrausch's relation (Holm); quasi-steady, any shape of spot. Meaningless
/// once the metal has melted: past that voltage the joint is simply burning.
pub fn spot_temperature(u: f64, t0: f64) -> f64 {
    (t0 * t0 + u * u / (4.0 * LORENZ)).sqrt()
}

/// Current whose blow-off equals a contact's `force` \[N\] → \[A\].
pub fn parting_current(force: f64) -> f64 {
    (force / BLOW_OFF).sqrt()
}

/// A contact of the loop, as the shot begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Cold resistance \[Ω\].
    pub resistance: f64,
    /// Force that holds it \[N\]: none is parted from the start, without end never parts.
    pub force: f64,
    /// Voltage of its arc once it has parted \[V\].
    pub drop: f64,
}

impl Default for Contact {
    /// One that is not there: it conducts freely and never parts.
    fn default() -> Self {
        Contact {
            resistance: 0.0,
            force: f64::INFINITY,
            drop: ARC_VOLTAGE,
        }
    }
}

impl Contact {
    /// Whether it is parted from the start.
    pub fn starts_parted(&self) -> bool {
        self.force <= 0.0
    }

    /// Largest voltage across it \[V\] at currents up to `largest` \[A\], whether or not it parts.
    ///
    /// U = i·min(R, U_m/max|i| so far): it resists, melts at U_m, and keeps the wider spot.
    pub fn largest_voltage(&self, largest: f64, parted: bool) -> f64 {
        if parted {
            self.drop
        } else {
            (self.resistance * largest).min(MELTING_VOLTAGE)
        }
    }
}
