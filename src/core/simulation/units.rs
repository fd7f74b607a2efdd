//! Units of the integrator, in which every state is of order 1: ms, kA, mΩ, µH, F, mm, g, J.
//!
//! They are consistent: V = kA·mΩ, kA/ms = V/µH, V/ms = kA/F, N = g·(m/s)/ms and MJ/kg = J/mg. A number in SI
//! times an SI unit below is one of the integrator; one of the integrator times its own unit is one in SI.

/// 1 s \[ms\].
pub const SECOND: f64 = 1e3;
/// 1 ms \[s\].
pub const MILLISECOND: f64 = 1e-3;
/// 1 m \[mm\].
pub const METRE: f64 = 1e3;
/// 1 mm \[m\].
pub const MILLIMETRE: f64 = 1e-3;
/// 1 per m \[1/mm\].
pub const PER_METRE: f64 = 1e-3;
/// 1 A \[kA\].
pub const AMPERE: f64 = 1e-3;
/// 1 kA \[A\].
pub const KILOAMPERE: f64 = 1e3;
/// 1 10³ A²s, the integral of kA² over ms \[A²s\].
pub const KILOAMPERE_SQUARED_MILLISECOND: f64 = 1e3;
/// 1 Ω \[mΩ\].
pub const OHM: f64 = 1e3;
/// 1 H \[µH\].
pub const HENRY: f64 = 1e6;
/// 1 per H \[1/µH\].
pub const PER_HENRY: f64 = 1e-6;
/// 1 kg \[g\].
pub const KILOGRAM: f64 = 1e3;
/// 1 MJ/kg \[J/kg\].
pub const MEGAJOULE_PER_KILOGRAM: f64 = 1e6;
