//! How welds side by side warm a thin sheet for each other.

use std::f64::consts::PI;

/// A thin sheet that loses heat from both faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Conductivity \[W/(m·K)\].
    pub conductivity: f64,
    /// Heat per volume \[J/(m³·K)\].
    pub heat: f64,
    /// Thickness \[m\].
    pub thickness: f64,
    /// From each face to the air \[W/(m²·K)\].
    pub film: f64,
}

/// Film of a sheet that lies or stands in still air, some kelvin above it \[W/(m²·K)\]: convection 4 and radiation 5,
/// common practice, no source.
pub const STILL_AIR: f64 = 9.0;

impl Plate {
    /// Rise \[K\] at the distance `r` \[m\] and the time `t` \[s\] after `q` \[J\] went in at a point.
    ///
    /// q/(4π·k·δ·t)·exp(−r²/(4αt) − 2h·t/(ρcδ)): instantaneous line source through a thin plate (Rosenthal, Trans.
    /// ASME 68 (1946) 849; Carslaw & Jaeger, section 10.3), its loss over the faces as a decay; wide sheet.
    pub fn rise(&self, q: f64, r: f64, t: f64) -> f64 {
        let spread = 4.0 * self.conductivity / self.heat * t;
        let loss = 2.0 * self.film / (self.heat * self.thickness) * t;
        q / (PI * self.heat * self.thickness * spread) * (-r * r / spread - loss).exp()
    }
}
