//! One law a file: pure functions of plain SI numbers, each with its source.

pub mod air;
pub mod arc;
pub mod blow;
pub mod cable;
pub mod charging;
pub mod guide;
pub mod joint;
pub mod junction;
pub mod lead;
pub mod lumps;
pub mod metal;
pub mod pip;
pub mod plate;
pub mod plunge;
pub mod rim;
pub mod sheet;
pub mod squeeze;
pub mod strength;
pub mod thread;
pub mod wear;

/// Magnetic constant 4π·10⁻⁷ \[H/m\]; the 2019 SI value differs by 2·10⁻¹⁰ of itself.
pub const MU0: f64 = 4.0e-7 * std::f64::consts::PI;

/// Standard acceleration of gravity \[m/s²\] (ISO 80000-3).
pub const GRAVITY: f64 = 9.80665;

/// Temperature everything starts at, 20 °C \[K\].
pub const ROOM: f64 = 293.15;
