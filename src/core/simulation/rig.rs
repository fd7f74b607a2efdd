//! From a case to the lumped numbers of its circuit, plunge and faces.

use std::f64::consts::PI;

use super::circuit::Circuit;
use crate::case::model::{Attitude, Case, Metal, Method};
use crate::error::Error;
use crate::physics::metal::Enthalpy;
use crate::physics::pip::{self, Pip};
use crate::physics::plunge::{Flight, touch_gap};
use crate::physics::squeeze::Squeeze;
use crate::physics::{GRAVITY, MU0, arc};

pub use crate::case::joint_id::MAX_EARTHS;

/// A rig, loaded and set: everything a shot needs, in SI units, constants folded.
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    /// Bank, leads, joints and sheet.
    pub circuit: Circuit,
    /// Weld once the arc is shorted \[Ω\].
    pub forge_resistance: f64,
    /// Plunge and pip.
    pub stud: StudRig,
    /// Face of the stud and of the sheet.
    pub faces: [Face; 2],
    /// Share of the arc's power into stud and sheet.
    pub heat_shares: [f64; 2],
    /// Arc voltage.
    pub arc: ArcRig,
    /// Longest record of a discharge that does not end by itself \[s\].
    pub end_time: f64,
    /// Limit of the verdict: share of the arc's energy that boils metal off.
    pub hot_share: f64,
    /// Limit of the verdict: share of the sheet's thickness melted.
    pub burn_share: f64,
}

/// Plunge and pip.
#[derive(Debug, Clone, PartialEq)]
pub struct StudRig {
    /// Contact or gap.
    pub method: Method,
    /// Travel from release until the pip meets the sheet \[m\]; none for the contact method.
    pub approach: f64,
    /// Spring force at the start, and the net push with weight and friction \[N\].
    pub spring_force: f64,
    /// Free flight of the stud.
    pub flight: Flight,
    /// Length of the pip when the current starts, crushed by the push where it is soft \[m\].
    pub pip_length: f64,
    /// Depth to which it sinks into a centre mark \[m\].
    pub sink: f64,
    /// Gap at which the flange touches the sheet (tilt) \[m\].
    pub touch_gap: f64,
    /// Constants of the pip.
    pub pip: Pip,
    /// Flange radius \[m\].
    pub flange_radius: f64,
    /// Flange area \[m²\].
    pub flange_area: f64,
    /// Volume of the wedge under the cone \[m³\].
    pub wedge: f64,
    /// Volume of the centre mark \[m³\].
    pub recess: f64,
    /// Share of the pip that ends up as filler.
    pub pip_share: f64,
    /// Squeeze of the melt.
    pub squeeze: Squeeze,
}

impl StudRig {
    /// Gap when the pip meets the sheet \[m\].
    pub fn start_gap(&self) -> f64 {
        self.pip_length - self.sink
    }

    /// Travel at which no gap would be left \[m\]; the gap is this less the travel.
    pub fn open_travel(&self) -> f64 {
        self.approach + self.start_gap()
    }

    /// Travel at which the flange touches the sheet \[m\].
    pub fn touch_travel(&self) -> f64 {
        self.open_travel() - self.touch_gap
    }
}

/// One face and the body behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// Depth of the body \[m\].
    pub depth: f64,
    /// Density \[kg/m³\].
    pub density: f64,
    /// Enthalpy over temperature.
    pub enthalpy: Enthalpy,
    /// Conductivity of solid and melt \[W/(m·K)\].
    pub conductivity: [f64; 2],
    /// Boiling temperature \[K\].
    pub boiling_point: f64,
    /// Heat of vaporisation \[J/kg\].
    pub vaporisation_heat: f64,
}

/// Arc voltage, folded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcRig {
    /// Voltage at no gap and no current: falls and the wedge's part of the column \[V\].
    pub base: f64,
    /// Column field \[V/m\].
    pub field: f64,
    /// Slope resistance \[Ω\].
    pub resistance: f64,
}

impl Rig {
    /// A rig from a case that a program has built, checked like a case file.
    ///
    /// ```
    /// use arcplunge_core::{Case, Rig};
    ///
    /// let mut case = Case::default();
    /// case.bank.capacitance = -0.072;
    /// let error = Rig::try_new(&case).unwrap_err();
    /// assert!(error.to_string().contains("`bank.capacitance`"));
    /// ```
    ///
    /// # Errors
    /// With every key out of its bounds and every rule between keys that is broken.
    pub fn try_new(case: &Case) -> Result<Self, Error> {
        case.check()?;
        Ok(Rig::new(case))
    }

    /// Folds a (checked) case into lumped numbers.
    pub fn new(case: &Case) -> Self {
        let c = case;
        let radius = 0.5 * c.stud.flange;
        Rig {
            circuit: Circuit::new(c),
            forge_resistance: c.model.forge_resistance,
            stud: stud_rig(c),
            faces: [
                face(&c.stud.metal, c.model.stud_depth),
                face(&c.sheet.metal, c.sheet.thickness),
            ],
            heat_shares: [c.arc.to_stud, c.arc.to_sheet],
            arc: ArcRig {
                base: arc::voltage(
                    c.arc.fall,
                    c.arc.field,
                    0.0,
                    arc::wedge_height(radius, c.stud.cone),
                    0.0,
                    0.0,
                ),
                field: c.arc.field,
                resistance: c.arc.resistance,
            },
            end_time: c.model.end_time,
            hot_share: c.model.hot_share,
            burn_share: c.model.burn_share,
        }
    }
}

fn enthalpy(m: &Metal) -> Enthalpy {
    Enthalpy::new(
        m.heat_solid,
        m.heat_liquid,
        m.melting_point,
        m.boiling_point,
        m.fusion_heat,
    )
}

fn face(m: &Metal, depth: f64) -> Face {
    Face {
        depth,
        density: m.density,
        enthalpy: enthalpy(m),
        conductivity: [m.conductivity_solid, m.conductivity_liquid],
        boiling_point: m.boiling_point,
        vaporisation_heat: m.vaporisation_heat,
    }
}

fn stud_rig(c: &Case) -> StudRig {
    let (s, t, m) = (&c.stud, &c.tool, &c.stud.metal);
    let radius = 0.5 * s.flange;
    let area = PI * radius * radius;
    let volume = 0.25 * PI * s.pip_diameter * s.pip_diameter * s.pip_length;
    let axis = match t.attitude {
        Attitude::Down => GRAVITY,
        Attitude::Level => 0.0,
        Attitude::Up => -GRAVITY,
    };
    let push = t.spring_force + t.moving_mass * axis - t.friction;
    // Pressing the tool on crushes a soft pip until it holds the push.
    let pip_length = match t.method {
        Method::Contact if push > 0.0 => s.pip_length.min(m.flow_stress * volume / push),
        _ => s.pip_length,
    };
    let pip_diameter = s.pip_diameter * (s.pip_length / pip_length).sqrt();
    let (sink, recess) = c.sheet.centre_mark.map_or((0.0, 0.0), |mark| {
        (
            pip::sink(mark.depth, mark.angle, pip_diameter, pip_length),
            pip::recess_volume(mark.depth, mark.angle),
        )
    });
    let h = enthalpy(m);
    StudRig {
        method: t.method,
        // Above a centre mark the tip dives below the sheet's face before its rim touches.
        approach: if t.method == Method::Gap {
            t.lift + sink
        } else {
            0.0
        },
        spring_force: t.spring_force,
        flight: Flight {
            push,
            rate: t.spring_rate,
            mass: t.moving_mass,
        },
        pip_length,
        sink,
        touch_gap: touch_gap(radius, t.tilt, s.cone),
        pip: Pip {
            volume,
            mass: m.density * volume,
            enthalpy: h,
            resistivity_20: m.resistivity_20,
            resistivity_melting: m.resistivity_melting,
            resistivity_liquid: m.resistivity_liquid,
            shape: m.resistivity_shape,
            sheet_resistivity: c.sheet.metal.resistivity_20,
            flow_stress: m.flow_stress,
            cold_area: t.spring_force / m.hardness.min(c.sheet.metal.hardness),
            flange_radius: radius,
            burst: h.boiling + c.model.burst_share * m.vaporisation_heat,
            blow_off: MU0 / (4.0 * PI),
        },
        flange_radius: radius,
        flange_area: area,
        wedge: arc::wedge_volume(radius, s.cone),
        recess,
        pip_share: c.model.pip_share,
        squeeze: Squeeze::new(m.viscosity, m.density, radius),
    }
}
