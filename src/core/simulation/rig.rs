//! From a case to the lumped numbers of its circuit, plunge and faces.

use std::f64::consts::PI;

use nalgebra::SMatrix;

use super::fields::{Place, fields};
use crate::case::catalogue::find_stud;
use crate::case::model::{Case, Metal, Method};
use crate::error::Error;
use crate::physics::metal::Enthalpy;
use crate::physics::blow::Plane;
use crate::physics::pip::{self, Pip};
use crate::physics::joint::melting_voltage;
use crate::physics::plunge::{self, Flight, touch_gap};
use crate::physics::rim::{Rim, angle_of_hour};
use crate::physics::squeeze::Squeeze;
use crate::physics::{MU0, ROOM, arc, blow, lead, strength};

/// Most earth leads a rig can have.
pub const MAX_EARTHS: usize = 4;

/// A rig, loaded and set: everything a shot needs, in SI units, constants folded.
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    /// Number of earth leads, 1 to 4.
    pub earths: usize,
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Charging voltage \[V\].
    pub voltage: f64,
    /// Series resistance of the bank \[Ω\].
    pub esr: f64,
    /// Constant drop of the switch \[V\].
    pub switch_drop: f64,
    /// Slope of the switch \[Ω\].
    pub switch_slope: f64,
    /// Drop of the free-wheel diode \[V\].
    pub diode_drop: f64,
    /// Internal wiring \[Ω\].
    pub internal_resistance: f64,
    /// Gun lead \[Ω\].
    pub gun_resistance: f64,
    /// Joints in series at bank, tool and chuck: resistance \[Ω\] and constant drop \[V\].
    pub joints: [[f64; 2]; 3],
    /// Each earth's lead, terminal, clamp and spreading in the sheet \[Ω\].
    pub earth_resistances: [[f64; 4]; MAX_EARTHS],
    /// Each earth's constant drops at terminal and clamp \[V\].
    pub earth_drops: [[f64; 2]; MAX_EARTHS],
    /// Inductance matrix 𝓛 of the earth branches, gun lead included \[H\].
    pub inductance: [[f64; MAX_EARTHS]; MAX_EARTHS],
    /// A bolted short in place of the stud \[Ω\].
    pub bolted: Option<f64>,
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
        let mut earth_resistances = [[0.0; 4]; MAX_EARTHS];
        let mut earth_drops = [[0.0; 2]; MAX_EARTHS];
        for (k, e) in c.earths.iter().enumerate().take(MAX_EARTHS) {
            let distance = e.at[0].hypot(e.at[1]);
            earth_resistances[k] = [
                lead::resistance(e.length, e.section, c.lead.temperature),
                e.terminal.resistance,
                e.clamp.resistance,
                lead::spreading_resistance(
                    c.sheet.metal.resistivity_20,
                    c.sheet.thickness,
                    distance,
                    radius,
                ),
            ];
            earth_drops[k] = [e.terminal.drop, e.clamp.drop];
        }
        let joint = |j: &crate::case::model::Joint| [j.resistance, j.drop];
        Rig {
            earths: c.earths.len().min(MAX_EARTHS),
            capacitance: c.bank.capacitance,
            voltage: c.bank.voltage,
            esr: c.bank.esr,
            switch_drop: c.bank.switch_drop,
            switch_slope: c.bank.switch_slope,
            diode_drop: c.bank.diode_drop,
            internal_resistance: c.bank.internal_resistance,
            gun_resistance: lead::resistance(c.lead.length, c.lead.section, c.lead.temperature),
            joints: [
                joint(&c.joints.bank),
                joint(&c.joints.tool),
                joint(&c.joints.chuck),
            ],
            earth_resistances,
            earth_drops,
            inductance: inductance_matrix(c),
            bolted: c.stud.short_resistance,
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
        }
    }

    /// Resistance in series with the stud, without bank, switch and earths \[Ω\].
    pub fn series_resistance(&self) -> f64 {
        self.internal_resistance
            + self.gun_resistance
            + self.joints.iter().map(|j| j[0]).sum::<f64>()
    }

    /// Constant drops of the joints in series \[V\].
    pub fn series_drop(&self) -> f64 {
        self.joints.iter().map(|j| j[1]).sum()
    }

    /// Resistance of one earth branch \[Ω\].
    pub fn earth_resistance(&self, k: usize) -> f64 {
        self.earth_resistances[k].iter().sum()
    }

    /// Constant drop of one earth branch \[V\].
    pub fn earth_drop(&self, k: usize) -> f64 {
        self.earth_drops[k].iter().sum()
    }

    /// Fixed resistance of the loop, earths in parallel, without pip or arc \[Ω\].
    pub fn loop_resistance(&self) -> f64 {
        let earths: f64 = (0..self.earths)
            .map(|k| 1.0 / self.earth_resistance(k))
            .sum();
        self.esr
            + self.switch_slope
            + self.series_resistance()
            + self.bolted.unwrap_or(0.0)
            + 1.0 / earths
    }

    /// Fixed inductance of the loop, 1/Σ𝓛⁻¹ \[H\].
    pub fn loop_inductance(&self) -> f64 {
        let inverse = invert(&self.inductance, self.earths, [true; MAX_EARTHS]);
        1.0 / inverse.iter().flatten().sum::<f64>()
    }
}

/// Inverse of the inductance matrix over the conducting branches, zero elsewhere \[1/H\].
///
/// The matrix is positive definite for any real set of leads; a case whose leads lie closer than
/// their own size is refused before it comes here.
pub fn invert(
    inductance: &[[f64; MAX_EARTHS]; MAX_EARTHS],
    n: usize,
    conducting: [bool; MAX_EARTHS],
) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    let on = |k: usize| k < n && conducting[k];
    // A branch that does not conduct is replaced by a unit row, so that one size serves all.
    let matrix = SMatrix::<f64, MAX_EARTHS, MAX_EARTHS>::from_fn(|r, c| {
        if on(r) && on(c) {
            inductance[r][c] * 1e6
        } else if r == c {
            1.0
        } else {
            0.0
        }
    });
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    if let Some(inverse) = matrix.cholesky().map(|c| c.inverse()) {
        for r in 0..n {
            for c in 0..n {
                if on(r) && on(c) {
                    out[r][c] = inverse[(r, c)] * 1e6;
                }
            }
        }
    }
    out
}

/// 𝓛_kj = L_g − M_gj − M_gk + M_kj \[H\].
fn inductance_matrix(c: &Case) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    // What is coiled up does not lie along the earth leads.
    let straight = c.lead.length - lead::coiled_length(c.lead.turns, c.lead.coil_diameter);
    let gun = lead::self_inductance(straight, lead::rope_radius(c.lead.section))
        + c.bank.internal_inductance
        + lead::coil_inductance(c.lead.turns, c.lead.coil_diameter, c.lead.section);
    let mutual = |a: f64, b: f64| lead::mutual_inductance(a.min(b), c.lead.spacing);
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    for (k, a) in c.earths.iter().enumerate().take(MAX_EARTHS) {
        for (j, b) in c.earths.iter().enumerate().take(MAX_EARTHS) {
            let own = if k == j {
                lead::self_inductance(a.length, lead::rope_radius(a.section))
            } else {
                mutual(a.length, b.length)
            };
            out[k][j] = gun - mutual(straight, a.length) - mutual(straight, b.length) + own;
        }
    }
    out
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
    let diameter = size.and_then(|size| size.name.strip_prefix('M')?.parse::<f64>().ok());
    StrengthRig {
        metals,
        stud: size.map(|size| strength::stud(metals[0], size.stress_area)),
        sheet: strength::sheet(metals[1], c.stud.flange, c.sheet.thickness),
        least_sheet: diameter.map_or(LEAST_SHEET, |d| (d * 1e-3 / LEAST_SHEET_SHARE).max(LEAST_SHEET)),
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
