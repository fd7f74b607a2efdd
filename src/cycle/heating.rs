//! Drives the heat in both bodies from ignition to freezing, and on to the back face's peak.

use super::melt::{Bodies, Boundary};
use super::mesh::{Cells, Resolution};
use super::rig::Rig;
use crate::physics::ROOM;

/// Arc energy at a time: a knot of a cubic Hermite curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcKnot {
    /// Time [s].
    pub t: f64,
    /// Energy of the arc since ignition [J] and its power [W].
    pub energy: f64,
    pub power: f64,
}

/// Melt at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeltKnot {
    /// Time [s].
    pub t: f64,
    /// Melt depth of stud and sheet [m].
    pub melt: [f64; 2],
}

/// What the heat did.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Heating {
    /// Melt of both faces at touchdown [m].
    pub at_touchdown: Option<[f64; 2]>,
    /// Largest melt of the sheet [m].
    pub sheet_max: f64,
    /// Time at which the last melt of the joint froze [s].
    pub frozen: Option<f64>,
    /// Cooling rate of the joint over the first 100 K below the lower melting point [K/s].
    pub cooling_rate: Option<f64>,
    /// Hottest back face of the sheet [K].
    pub back_face: Option<f64>,
    /// Vapour energy of both faces [J].
    pub vapour: [f64; 2],
    /// Largest relative gap in the books of heat.
    pub imbalance: f64,
    /// Work: steps and linear solves.
    pub steps: u64,
    pub rounds: u64,
}

/// How far to follow the heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Until {
    /// The joint has frozen and cooled 100 K.
    Frozen,
    /// The joint is below 500 °C and the sheet's back face has peaked.
    BackFace,
}

/// Below this the joint counts as cold [K] (500 °C).
const COLD_JOINT: f64 = 773.15;

/// The cooling rate is taken over the first 100 K below the melting point [K].
const COOLING_SPAN: f64 = 100.0;

/// Arc times after which bodies of one temperature end the record: joints too hot ever to freeze.
const EVEN_AFTER: f64 = 50.0;

/// The heat is followed for at most this long after the arc [s].
const LONGEST: f64 = 20.0;

/// Steps while the last melt freezes, over those before.
const FREEZING_STEP: f64 = 0.1;

/// First step after touchdown over the arc time.
const FIRST_CONTACT_STEP: f64 = 2e-4;

/// Heats, melts and freezes both faces under an arc.
///
/// `arc` runs from ignition to touchdown (`lands`) or to the arc's end. Each step's melt goes to
/// `record`.
pub fn heat(
    rig: &Rig,
    arc: &[ArcKnot],
    lands: bool,
    until: Until,
    resolution: &Resolution,
    record: &mut impl FnMut(MeltKnot),
) -> Heating {
    match resolution.cells {
        Cells::Coarse => heat_on::<48>(rig, arc, lands, until, resolution, record),
        Cells::Standard => heat_on::<96>(rig, arc, lands, until, resolution, record),
        Cells::Fine => heat_on::<192>(rig, arc, lands, until, resolution, record),
        Cells::Finest => heat_on::<384>(rig, arc, lands, until, resolution, record),
    }
}

fn heat_on<const M: usize>(
    rig: &Rig,
    arc: &[ArcKnot],
    lands: bool,
    until: Until,
    resolution: &Resolution,
    record: &mut impl FnMut(MeltKnot),
) -> Heating {
    let mut out = Heating::default();
    let (Some(first), Some(last)) = (arc.first(), arc.last()) else {
        return out;
    };
    let arc_time = (last.t - first.t).max(1e-9);
    let area = rig.stud.flange_area;
    let mut bodies = Bodies::<M>::new(&rig.faces, arc_time, resolution);
    let mut energy = EnergyCurve { knots: arc, at: 0 };
    record(MeltKnot {
        t: first.t,
        melt: [0.0; 2],
    });
    let mut t = first.t;
    for j in 1..=resolution.arc_steps {
        let next = if j == resolution.arc_steps {
            last.t
        } else {
            first.t + arc_time * (j as f64 / resolution.arc_steps as f64).powf(resolution.grading)
        };
        let joules = energy.at(next);
        let heat = rig.heat_shares.map(|share| share * joules / area);
        bodies.step(next - t, Boundary::Heated(heat));
        t = next;
        let melt = bodies.melt();
        out.sheet_max = out.sheet_max.max(melt[1]);
        record(MeltKnot { t, melt });
    }
    if lands {
        out.at_touchdown = Some(bodies.melt());
    }
    let heat = rig.heat_shares.map(|share| share * last.energy / area);
    let cooling = Cooling {
        boundary: if lands {
            Boundary::Contact
        } else {
            Boundary::Heated(heat)
        },
        level: rig.faces[0]
            .enthalpy
            .melting_point
            .min(rig.faces[1].enthalpy.melting_point),
        start: t,
        arc_time,
        until,
        resolution: *resolution,
    };
    bodies.restart();
    cooling.run(&mut bodies, &mut out, record);
    out.vapour = bodies.vapour().map(|v| v * area);
    out.imbalance = bodies.imbalance();
    out.steps = bodies.steps;
    out.rounds = bodies.rounds;
    out
}

/// The heat after the arc.
struct Cooling {
    boundary: Boundary,
    /// Lower melting point of the two metals [K].
    level: f64,
    /// End of the arc, and how long it burned [s].
    start: f64,
    arc_time: f64,
    until: Until,
    resolution: Resolution,
}

impl Cooling {
    fn run<const M: usize>(
        &self,
        bodies: &mut Bodies<M>,
        out: &mut Heating,
        record: &mut impl FnMut(MeltKnot),
    ) {
        let lands = self.boundary == Boundary::Contact;
        let cooled = self.level - COOLING_SPAN;
        let mut t = self.start;
        let mut dt = self.arc_time * FIRST_CONTACT_STEP;
        let mut margin = bodies.molten_margin();
        let mut joint = bodies.joint_temperature();
        let mut back = bodies.back_temperature();
        let mut frozen = margin <= 0.0;
        // Settled: nothing is left to happen but that heat spreads.
        let mut settled = frozen && !lands;
        let mut left_melting = None;
        while t - self.start < LONGEST {
            bodies.step(dt, self.boundary);
            t += dt;
            let crossing = |before: f64, now: f64, level: f64| {
                t - dt * ((level - now) / (before - now)).clamp(0.0, 1.0)
            };
            let (margin_before, joint_before) = (margin, joint);
            margin = bodies.molten_margin();
            joint = bodies.joint_temperature();
            if !settled {
                let melt = bodies.melt();
                out.sheet_max = out.sheet_max.max(melt[1]);
                record(MeltKnot { t, melt });
            }
            if !frozen && margin <= 0.0 {
                frozen = true;
                out.frozen = lands.then(|| crossing(margin_before, margin, 0.0));
            }
            if joint_before > self.level && joint <= self.level {
                left_melting = Some(crossing(joint_before, joint, self.level));
            }
            if !settled && frozen && (!lands || joint <= cooled) {
                settled = true;
                let from = left_melting.zip(out.frozen).map(|(a, b)| a.max(b));
                let to = crossing(joint_before, joint, cooled);
                out.cooling_rate = from
                    .filter(|from| joint_before > cooled && to > *from)
                    .map(|from| COOLING_SPAN / (to - from));
            }
            let now = bodies.back_temperature();
            let falling = now < back || (now - back).abs() < 1e-4 * (now - ROOM);
            back = back.max(now);
            let enough = match self.until {
                Until::Frozen => settled,
                Until::BackFace => settled && joint < COLD_JOINT && falling,
            };
            if enough || (t - self.start > EVEN_AFTER * self.arc_time && bodies.is_even()) {
                break;
            }
            dt = self.next_step(dt, t, margin, settled);
        }
        if self.until == Until::BackFace {
            out.back_face = Some(back);
        }
    }

    /// Steps grow with the time since ignition, and are shorter again while the last melt freezes
    /// and the joint cools its first 100 K.
    fn next_step(&self, dt: f64, t: f64, margin: f64, settled: bool) -> f64 {
        let r = &self.resolution;
        if settled {
            return dt * r.late_growth;
        }
        let longest = r.longest * (self.arc_time + t - self.start);
        let share = if margin < 1.0 { FREEZING_STEP } else { 1.0 };
        (dt * r.growth).min(longest * share)
    }
}

/// The arc's energy over time, read forwards.
struct EnergyCurve<'a> {
    knots: &'a [ArcKnot],
    at: usize,
}

impl EnergyCurve<'_> {
    fn at(&mut self, t: f64) -> f64 {
        while self.at + 2 < self.knots.len() && self.knots[self.at + 1].t < t {
            self.at += 1;
        }
        let Some(b) = self.knots.get(self.at + 1) else {
            return self.knots[self.at].energy;
        };
        let a = self.knots[self.at];
        let h = b.t - a.t;
        if h <= 0.0 {
            return b.energy;
        }
        let s = ((t - a.t) / h).clamp(0.0, 1.0);
        let r = 1.0 - s;
        (a.energy * r * r * (1.0 + 2.0 * s)
            + b.energy * s * s * (3.0 - 2.0 * s)
            + h * s * r * (a.power * r - b.power * s))
            .clamp(a.energy, b.energy.max(a.energy))
    }
}
