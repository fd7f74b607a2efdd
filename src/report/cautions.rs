//! What every result carries: the limits of the model and the usual cautions.

/// What a verdict is worth.
pub const SCREEN: &str =
    "A verdict is a screen, not an acceptance: test welds to ISO 14555 decide.";

/// What the model leaves out, in one line.
pub const LIMITS: &str = "The model squeezes all melt between flat, rigid discs; it leaves out melt \
blown out at first contact, the pinch of the arc, a bouncing stud, and which pole the stud is. It hangs most on \
the melt's conductivity, the heat shares, the arc's fall and the burst of the pip, known from memory: the band shows that.";

/// Dangers of the work.
pub const CAUTIONS: [&str; 7] = [
    "Stored charge: a bank can kill after it is switched off. Let it discharge and measure.",
    "Arc light burns eyes and skin: wear protection, warn those near.",
    "Noise: the bang of the arc needs hearing protection.",
    "Spatter starts fires: clear what burns, and look again later.",
    "Fumes: zinc, paint and oil on the sheet give off harmful fumes. Strip them, ventilate.",
    "Magnetic field: kiloamperes flow in the leads. People with implants keep away.",
    "The maker's instructions, local rules and qualified practice come before this program.",
];

/// Cautions and the worth of a verdict, as files carry them.
pub fn all() -> Vec<&'static str> {
    CAUTIONS.into_iter().chain([SCREEN]).collect()
}
