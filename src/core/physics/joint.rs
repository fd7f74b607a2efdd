//! Current-carrying joints: how hot the contact spot gets, and when copper softens and melts.

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

/// Temperature of a contact spot that drops the voltage `u` \[V\], bulk at `t0` \[K\] → \[K\].
///
/// √(T0² + U²/4L), Kohlrausch's relation (Holm); quasi-steady, any shape of spot. Meaningless
/// once the metal has melted: past that voltage the joint is simply burning.
pub fn spot_temperature(u: f64, t0: f64) -> f64 {
    (t0 * t0 + u * u / (4.0 * LORENZ)).sqrt()
}

/// A contact of the loop.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Contact {
    /// Resistance \[Ω\].
    pub resistance: f64,
    /// Constant drop while it conducts \[V\].
    pub drop: f64,
}

impl Contact {
    /// Voltage across it at the current `i` \[A\] → \[V\].
    pub fn voltage(&self, i: f64) -> f64 {
        self.resistance * i + self.drop
    }
}
