//! The pip (ignition tip): a cylinder of fixed volume that heats like a fuse, softens, is crushed
//! and bursts.

use std::f64::consts::PI;

use super::metal::Enthalpy;

/// The law of a molten spot goes on below its beginning as far as this, for steps that overshoot it.
const LEAST_OVERLOAD: f64 = 0.1;

/// The pip's constants, folded once per rig.
///
/// Units are SI here; the laws hold in any consistent set, and the integrator fills this struct in
/// millimetres, milligrams, kiloamperes and milliseconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pip {
    /// Volume, kept while it is crushed \[m³\].
    pub volume: f64,
    /// Mass \[kg\].
    pub mass: f64,
    /// Enthalpy of the stud's metal.
    pub enthalpy: Enthalpy,
    /// Resistivity at 20 °C \[Ω·m\].
    pub resistivity_20: f64,
    /// Resistivity of the solid at the melting point \[Ω·m\].
    pub resistivity_melting: f64,
    /// Resistivity of the melt \[Ω·m\].
    pub resistivity_liquid: f64,
    /// Shape exponent of the solid's resistivity over enthalpy.
    pub shape: f64,
    /// Resistivity of the cold sheet \[Ω·m\].
    pub sheet_resistivity: f64,
    /// Flow stress at 20 °C \[Pa\].
    pub flow_stress: f64,
    /// Cold contact area F/H \[m²\]: the force that makes the spot over the softer metal's hardness.
    pub cold_area: f64,
    /// Voltage at which the spot melts and widens \[V\]: that of the metal that melts first.
    pub melting_voltage: f64,
    /// Radius of the flange \[m\].
    pub flange_radius: f64,
    /// Enthalpy at which it bursts \[J/kg\].
    pub burst: f64,
    /// μ0/4π \[N/A²\].
    pub blow_off: f64,
}

/// How far the pip has been heated: which branch of its laws holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PipHeat {
    /// Below the solidus.
    Solid,
    /// Between solidus and liquidus.
    Melting,
    /// Above the liquidus.
    Liquid,
}

/// What sets the radius of the contact spot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// Force and hardness.
    Plastic,
    /// The melting voltage, which it cannot hold more of.
    Molten,
    /// The pip's own section, which force and hardness would fill.
    Full,
    /// The pip's own section, which the melting voltage would fill.
    FullMolten,
}

/// The metal of the pip as far as it has been heated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heated {
    /// Resistivity \[Ω·m\].
    pub resistivity: f64,
    /// Share of its cold strength left; below zero beyond its branch's end.
    pub strength: f64,
}

/// The crushed pip at a moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Resistance of the column \[Ω\].
    pub resistance: f64,
    /// Resistance of its contact spot, pip side and sheet side \[Ω\].
    pub constriction: f64,
    /// Radius of the spot \[m\].
    pub spot: f64,
}

impl Pip {
    /// The metal at the enthalpy `h` \[J/kg\].
    pub fn heated(&self, heat: PipHeat, h: f64) -> Heated {
        Heated {
            resistivity: self.resistivity(heat, h),
            strength: self.strength(heat, h),
        }
    }

    /// Resistivity \[Ω·m\] at the enthalpy `h` \[J/kg\]. A branch goes on beyond its end without a
    /// kink, as a step of the integrator does before it finds that end.
    ///
    /// Solid: ρ20 + (ρm − ρ20)(1 − (1 − h/h_sol)^p); linear over the latent heat; constant as melt.
    pub fn resistivity(&self, heat: PipHeat, h: f64) -> f64 {
        let e = &self.enthalpy;
        match heat {
            PipHeat::Solid => {
                let cold = (1.0 - h / e.solidus).min(1.0);
                let left = if self.shape == 1.0 {
                    cold
                } else if cold <= 0.0 {
                    0.0
                } else {
                    // A power of at most order 1, to rounding; `powf` takes twice the time.
                    (self.shape * cold.ln()).exp()
                };
                let rise = self.resistivity_melting - self.resistivity_20;
                self.resistivity_20 + rise * (1.0 - left)
            }
            PipHeat::Melting => {
                let share = (h - e.solidus) / (e.liquidus - e.solidus);
                let rise = self.resistivity_liquid - self.resistivity_melting;
                self.resistivity_melting + rise * share
            }
            PipHeat::Liquid => self.resistivity_liquid,
        }
    }

    /// Share of its cold strength left at the enthalpy `h` \[J/kg\]; below zero beyond its branch's end.
    ///
    /// 1 − (T − T0)/(T_m − T0), Johnson & Cook (1983) with m = 1; none once it melts.
    pub fn strength(&self, heat: PipHeat, h: f64) -> f64 {
        match heat {
            PipHeat::Solid => 1.0 - h / self.enthalpy.solidus,
            PipHeat::Melting | PipHeat::Liquid => 0.0,
        }
    }

    /// Radius of the crushed column of length `l` \[m\] → \[m\].
    pub fn radius(&self, l: f64) -> f64 {
        (self.volume / (PI * l)).sqrt()
    }

    /// Radius of the plastic contact spot \[m\], at most the column's own radius (Holm).
    pub fn plastic_radius(&self, metal: &Heated, l: f64) -> f64 {
        let b = self.radius(l);
        let s = metal.strength;
        // a² = F/(π·H·s); compared as squares, so that s = 0 needs no infinity.
        if self.cold_area >= PI * b * b * s {
            b
        } else {
            (self.cold_area / (PI * s)).sqrt()
        }
    }

    /// Resistance of a constriction of the radius `a` in a column of the radius `b` \[m\] → \[Ω\].
    ///
    /// ρ/(4a)·(1 − a/b)^1.5 + ρ_sheet/(4a): Holm; Cooper, Mikic & Yovanovich, Int. J. Heat Mass Transfer 12
    /// (1969).
    fn constriction(&self, resistivity: f64, a: f64, b: f64) -> f64 {
        self.narrowed(resistivity, a, b) / (4.0 * a)
    }

    /// Four radii times that resistance \[Ω·m\].
    fn narrowed(&self, resistivity: f64, a: f64, b: f64) -> f64 {
        let free = (1.0 - a / b).max(0.0);
        resistivity * free * free.sqrt() + self.sheet_resistivity
    }

    /// Radius to which the melting voltage widens a plastic spot of the radius `a` \[m\] at the current `i` \[A\], if it
    /// melts at all: `a` times its voltage over the melting voltage.
    fn molten_radius(&self, resistivity: f64, a: f64, b: f64, i: f64) -> f64 {
        self.narrowed(resistivity, a, b) * i / (4.0 * self.melting_voltage)
    }

    /// Voltage the plastic spot would drop at the current `i` \[A\], over the melting voltage.
    pub fn overload(&self, metal: &Heated, l: f64, i: f64) -> f64 {
        let a = self.plastic_radius(metal, l);
        self.molten_radius(metal.resistivity, a, self.radius(l), i) / a
    }

    /// Area of the spot, softened, beyond the column's section \[m²\], by force and hardness alone.
    pub fn plastic_spare(&self, metal: &Heated, l: f64) -> f64 {
        self.cold_area - self.volume / l * metal.strength
    }

    /// Area of the spot beyond the column's section \[m²\] where the melting voltage widens it at the current `i` \[A\].
    pub fn molten_spare(&self, metal: &Heated, l: f64, i: f64) -> f64 {
        let a = self.plastic_radius(metal, l);
        let molten = self.molten_radius(metal.resistivity, a, self.radius(l), i);
        PI * molten * molten - self.volume / l
    }

    /// Radius of the contact spot \[m\] at the current `i` \[A\], whose law is `spot`: the plastic radius, or as
    /// much wider as the voltage of that is above the melting voltage.
    #[inline]
    pub fn spot_radius(&self, metal: &Heated, l: f64, i: f64, spot: Spot) -> f64 {
        match spot {
            Spot::Full | Spot::FullMolten => self.radius(l),
            Spot::Plastic => self.plastic_radius(metal, l),
            Spot::Molten => {
                let (a, b) = (self.plastic_radius(metal, l), self.radius(l));
                let least = LEAST_OVERLOAD * a;
                let widened = self.molten_radius(metal.resistivity, a, b, i);
                widened.max(least).min(b)
            }
        }
    }

    /// The column of length `l` \[m\] at the current `i` \[A\].
    pub fn column(&self, metal: &Heated, l: f64, i: f64, spot: Spot) -> Column {
        let resistivity = metal.resistivity;
        let a = self.spot_radius(metal, l, i, spot);
        Column {
            resistance: resistivity * l * l / self.volume,
            constriction: self.constriction(resistivity, a, self.radius(l)),
            spot: a,
        }
    }

    /// Force the column holds before it yields \[N\]: flow stress times its area.
    pub fn crush_force(&self, metal: &Heated, l: f64) -> f64 {
        self.flow_stress * metal.strength * self.volume / l
    }

    /// Electrodynamic blow-off of the spot \[N\]: μ0/4π·i²·ln(R_f/a) (Holm).
    pub fn blow_off_force(&self, i: f64, a: f64) -> f64 {
        self.blow_off * i * i * (self.flange_radius / a).ln()
    }
}

/// Depth to which the pip sinks into a centre mark \[m\].
///
/// The pip's rim, diameter `d`, rests in a cone of full angle `angle` \[rad\] and depth `depth` \[m\]:
/// D − d/(2·tan(θ/2)), from 0 to 95 % of the pip's length `l`.
pub fn sink(depth: f64, angle: f64, d: f64, l: f64) -> f64 {
    (depth - d / (2.0 * (0.5 * angle).tan())).clamp(0.0, 0.95 * l)
}

/// Volume of a centre mark \[m³\]: a cone of full angle `angle` \[rad\] and depth `depth` \[m\].
pub fn recess_volume(depth: f64, angle: f64) -> f64 {
    let r = depth * (0.5 * angle).tan();
    PI / 3.0 * r * r * depth
}
