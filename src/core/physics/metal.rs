//! Enthalpy of a metal with constant heats: the temperature it holds at a given enthalpy.

use super::ROOM;

/// Enthalpies of a metal above where it starts \[J/kg\], with the temperatures they belong to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Enthalpy {
    /// Temperature it starts at, and from which enthalpies count \[K\].
    pub start: f64,
    /// Specific heat of the solid \[J/(kg·K)\].
    pub heat_solid: f64,
    /// Specific heat of the melt \[J/(kg·K)\].
    pub heat_liquid: f64,
    /// Melting temperature \[K\].
    pub melting_point: f64,
    /// Solid at the melting point \[J/kg\].
    pub solidus: f64,
    /// Melt at the melting point \[J/kg\].
    pub liquidus: f64,
    /// Melt at the boiling point \[J/kg\].
    pub boiling: f64,
}

impl Enthalpy {
    /// From 20 °C: from the heats \[J/(kg·K)\], melting and boiling point \[K\] and heat of fusion \[J/kg\].
    pub fn new(
        heat_solid: f64,
        heat_liquid: f64,
        melting_point: f64,
        boiling_point: f64,
        fusion_heat: f64,
    ) -> Self {
        let solidus = heat_solid * (melting_point - ROOM);
        let liquidus = solidus + fusion_heat;
        let boiling = liquidus + heat_liquid * (boiling_point - melting_point);
        Enthalpy {
            start: ROOM,
            heat_solid,
            heat_liquid,
            melting_point,
            solidus,
            liquidus,
            boiling,
        }
    }

    /// The same metal, started at `start` \[K\], below its melting point.
    pub fn started_at(self, start: f64) -> Self {
        let less = self.heat_solid * (start - self.start);
        Enthalpy {
            start,
            solidus: self.solidus - less,
            liquidus: self.liquidus - less,
            boiling: self.boiling - less,
            ..self
        }
    }

    /// Temperature \[K\] at the enthalpy `h` \[J/kg\].
    pub fn temperature(&self, h: f64) -> f64 {
        if h < self.solidus {
            self.start + h / self.heat_solid
        } else if h <= self.liquidus {
            self.melting_point
        } else {
            self.melting_point + (h - self.liquidus) / self.heat_liquid
        }
    }

    /// Share of melt at the enthalpy `h` \[J/kg\], 0 to 1.
    pub fn melt_share(&self, h: f64) -> f64 {
        ((h - self.solidus) / (self.liquidus - self.solidus)).clamp(0.0, 1.0)
    }
}
