//! What a surface in still air loses: natural convection about a level cylinder, and radiation.

use super::GRAVITY;

/// Stefan and Boltzmann's constant \[W/(m²·K⁴)\] (CODATA 2018).
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Prandtl number of air, 250 to 400 K within 2 % (Incropera & DeWitt, table A.4, from memory).
const PRANDTL: f64 = 0.707;

/// Conductivity \[W/(m·K)\] and kinematic viscosity \[m²/s\] of air at 1 bar and `t` \[K\].
///
/// Powers through the values at 300 K, 0.0263 and 15.89·10⁻⁶, with exponents that meet those at 400 K, 0.0338 and
/// 26.41·10⁻⁶ (Incropera & DeWitt, table A.4, from memory).
pub fn air(t: f64) -> [f64; 2] {
    let x = t / 300.0;
    [0.0263 * x.powf(0.872), 15.89e-6 * x.powf(1.766)]
}

/// Film coefficient of natural convection about a level cylinder of diameter `d` \[m\], surface at `t`, still air at
/// `t0` \[K\] → \[W/(m²·K)\].
///
/// Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1049: Nu = (0.60 + 0.387·Ra^⅙/(1 + (0.559/Pr)^(9/16))^(8/27))²,
/// Ra up to 10¹², properties at the mean temperature.
pub fn convection(d: f64, t: f64, t0: f64) -> f64 {
    let mean = 0.5 * (t + t0);
    let [conductivity, viscosity] = air(mean);
    let rayleigh = GRAVITY / mean * (t - t0).abs() * d.powi(3) * PRANDTL / (viscosity * viscosity);
    let prandtl = (1.0 + (0.559f64 / PRANDTL).powf(9.0 / 16.0)).powf(8.0 / 27.0);
    let nusselt = (0.60 + 0.387 * rayleigh.powf(1.0 / 6.0) / prandtl).powi(2);
    nusselt * conductivity / d
}

/// Film coefficient of radiation from a small surface of the `emissivity` at `t` to a room at `t0` \[K\] →
/// \[W/(m²·K)\]: ε·σ·(T⁴ − T₀⁴)/(T − T₀), written without the difference.
pub fn radiation(emissivity: f64, t: f64, t0: f64) -> f64 {
    emissivity * STEFAN_BOLTZMANN * (t * t + t0 * t0) * (t + t0)
}
