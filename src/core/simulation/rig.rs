//! From a case to the lumped numbers of its circuit, plunge and faces.

use std::f64::consts::PI;

use super::circuit::Circuit;
use super::fields::{Place, fields};
use super::switch::Switch;
use crate::case::catalogue::{StudSize, find_stud};
use crate::case::model::{Case, Metal, Method};
use crate::error::Error;
use crate::physics::blow::Plane;
use crate::physics::joint::melting_voltage;
use crate::physics::metal::Enthalpy;
use crate::physics::pip::{self, Pip};
use crate::physics::plunge::{self, Flight, touch_gap};
use crate::physics::rim::{Rim, angle_of_hour};
use crate::physics::squeeze::Squeeze;
use crate::physics::{MU0, ROOM, arc, blow, strength};

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
    /// Limit of the verdict: fill above which most of the melt leaves as spatter.
    pub overfill: f64,
    /// Push on the melt \[N/A² m⁻¹ per kg/m³\] of each earth's own field, sheet and lead together, and of the gun
    /// lead's last: acceleration of the drift per i·i_k \[m/(s²A²)\].
    pub push: [Plane; MAX_EARTHS + 1],
    /// What stud, sheet and weld hold.
    pub strength: StrengthRig,
    /// Losses and junction of the switch.
    pub switch: Switch,
}

/// What a pull finds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrengthRig {
    /// Tensile strength of stud and sheet \[Pa\].
    pub metals: [f64; 2],
    /// Load of the stud's thread \[N\]; `None` for a stud that is not the catalogue's.
    pub stud: Option<f64>,
    /// Load of the sheet \[N\].
    pub sheet: f64,
    /// Least thickness the sheet should have \[m\].
    pub least_sheet: f64,
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
    /// The conical face over the sheet, its wedge and the centre mark.
    pub rim: Rim,
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

    /// Gap at which a pip that has not burst is a stub \[m\]: the flange touches, or the pip is pressed as wide.
    pub fn stub_gap(&self) -> f64 {
        let as_wide = self.pip.volume / self.flange_area - self.sink;
        self.touch_gap.max(as_wide)
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
    /// Density of the melt \[kg/m³\].
    pub density_liquid: f64,
    /// Enthalpy over temperature.
    pub enthalpy: Enthalpy,
    /// Conductivity of solid and melt \[W/(m·K)\], the melt's over the thickness of the solid it came from.
    pub conductivity: [f64; 2],
    /// Boiling temperature \[K\].
    pub boiling_point: f64,
    /// Heat of vaporisation \[J/kg\].
    pub vaporisation_heat: f64,
}

impl Face {
    /// Volume of melt over that of the solid it came from.
    pub fn swell(&self) -> f64 {
        self.density / self.density_liquid
    }
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
            heat_shares: c.heat_shares(),
            arc: ArcRig {
                base: arc::voltage(
                    c.arc_fall(),
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
            overfill: c.model.overfill,
            push: drift_push(c, PI * radius * radius),
            strength: strength_rig(c),
            switch: Switch::new(c),
        }
    }
}

/// Acceleration of the drift per i·i_k, by lane: J × B over the density of the stud's melt.
fn drift_push(c: &Case, area: f64) -> [Plane; MAX_EARTHS + 1] {
    let mut all = [[0.0; 2]; MAX_EARTHS + 1];
    for (place, field) in fields(c) {
        let push = blow::push(1.0 / (area * c.stud.metal.density_liquid), field);
        let lane = &mut all[lane(place)];
        *lane = [lane[0] + push[0], lane[1] + push[1]];
    }
    all
}

/// Which current makes a field: an earth lead's by its number, the gun lead's behind them.
pub fn lane(place: Place) -> usize {
    match place {
        Place::Sheet(k) | Place::EarthLead(k) => k,
        Place::GunLead => MAX_EARTHS,
    }
}

/// Least thickness of a sheet \[m\], whatever the stud: a widely published rule, from memory.
const LEAST_SHEET: f64 = 0.5e-3;

/// Nominal diameter of a thread over the least thickness of its sheet: the same rule.
const LEAST_SHEET_SHARE: f64 = 10.0;

fn strength_rig(c: &Case) -> StrengthRig {
    let metals = [&c.stud.metal, &c.sheet.metal].map(|m| m.strength);
    let size = find_stud(&c.stud.size);
    let diameter = size.and_then(StudSize::diameter);
    StrengthRig {
        metals,
        stud: size.map(|size| strength::stud(metals[0], size.stress_area)),
        sheet: strength::sheet(metals[1], c.stud.flange, c.sheet.thickness),
        least_sheet: diameter.map_or(LEAST_SHEET, |d| (d / LEAST_SHEET_SHARE).max(LEAST_SHEET)),
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
        density_liquid: m.density_liquid,
        enthalpy: enthalpy(m),
        conductivity: [
            m.conductivity_solid,
            m.conductivity_liquid * m.density_liquid / m.density,
        ],
        boiling_point: m.boiling_point,
        vaporisation_heat: m.vaporisation_heat,
    }
}

fn stud_rig(c: &Case) -> StudRig {
    let (s, t, m) = (&c.stud, &c.tool, &c.stud.metal);
    let radius = 0.5 * s.flange;
    let area = PI * radius * radius;
    let volume = 0.25 * PI * s.pip_diameter * s.pip_diameter * s.pip_length;
    let push = plunge::push(
        t.spring_force,
        t.moving_mass,
        t.attitude.along_axis(),
        t.friction,
    );
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
    let sheet = &c.sheet.metal;
    // In flight the pip is crushed as it lands, and is pressed on with what that takes.
    let spot_force = match t.method {
        Method::Contact => push,
        Method::Gap => push.max(m.flow_stress * volume / s.pip_length),
    };
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
            cold_area: spot_force / m.hardness.min(sheet.hardness),
            melting_voltage: melting_voltage(m.melting_point.min(sheet.melting_point), ROOM),
            flange_radius: radius,
            burst: h.boiling + c.model.burst_share * m.vaporisation_heat,
            blow_off: MU0 / (4.0 * PI),
        },
        flange_radius: radius,
        flange_area: area,
        rim: Rim {
            radius,
            cone: s.cone,
            tilt: t.tilt,
            low: angle_of_hour(t.tilt_towards),
            mark: recess,
        },
        pip_share: c.model.pip_share,
        squeeze: Squeeze::new(m.viscosity, m.density_liquid, radius),
    }
}
