//! Drives the heat in both bodies from ignition to freezing, and on to the back face's peak.

use super::cooling::Cooling;
use super::front::Fronts;
use super::heat_solver::{ArcKnot, Boundary, HeatSolver, Heating, MeltKnot, Until};
use super::integrator::hermite;
use super::melt::Bodies;
use super::mesh::{Cells, Method, Resolution};
use super::rig::Rig;

/// Heats, melts and freezes both faces under an arc.
///
/// `arc` runs from ignition to touchdown (`lands`) or to the arc's end. Each step's melt goes to
/// `record`, which is emptied first.
pub fn heat(
    rig: &Rig,
    arc: &[ArcKnot],
    lands: bool,
    until: Until,
    resolution: &Resolution,
    record: &mut Vec<MeltKnot>,
) -> Heating {
    record.clear();
    let (Some(first), Some(last)) = (arc.first(), arc.last()) else {
        return Heating::default();
    };
    let arc_time = (last.t - first.t).max(1e-9);
    let mut run = Run {
        rig,
        arc,
        arc_time,
        lands,
        until,
        resolution: *resolution,
        record,
    };
    if resolution.method == Method::Fronts {
        let faces = &rig.faces;
        let peak = arc.iter().map(|k| k.power).fold(0.0, f64::max);
        let spell = arc_time.min(SPELL * last.energy / peak.max(f64::MIN_POSITIVE));
        let found = match resolution.cells {
            Cells::Coarse => run.all(&mut Fronts::<20, 6>::new(faces, spell, resolution)),
            Cells::Standard => run.all(&mut Fronts::<24, 8>::new(faces, spell, resolution)),
            Cells::Fine => run.all(&mut Fronts::<48, 16>::new(faces, spell, resolution)),
            Cells::Finest => run.all(&mut Fronts::<96, 32>::new(faces, spell, resolution)),
        };
        if let Ok(found) = found {
            return found;
        }
        run.resolution = Resolution {
            cells: resolution.cells,
            ..Resolution::enthalpy()
        };
        run.record.clear();
    }
    let (faces, resolution) = (&rig.faces, run.resolution);
    let found = match resolution.cells {
        Cells::Coarse => run.all(&mut Bodies::<48>::new(faces, arc_time, &resolution)),
        Cells::Standard => run.all(&mut Bodies::<96>::new(faces, arc_time, &resolution)),
        Cells::Fine => run.all(&mut Bodies::<192>::new(faces, arc_time, &resolution)),
        Cells::Finest => run.all(&mut Bodies::<384>::new(faces, arc_time, &resolution)),
    };
    let Ok(heating) = found;
    heating
}

/// Energy of the arc in one step, over an even share, from which on it is taken in pieces; pieces for
/// each time that much.
const MOST_PER_STEP: f64 = 2.0;
const PIECES: f64 = 4.0;

/// Largest fall of the logarithm of the arc's power from step to step: a step in which metal stops to
/// boil off goes on boiling by its memory, and this keeps what it boils off small.
const MOST_FALL: f64 = 0.2;

/// Largest growth from step to step, below the 2.4 from which on the second-order formula amplifies.
const MOST_GROWTH: f64 = 2.0;

/// Energy of the arc in one step, over all before, too little for its course to matter.
const FEW_JOULES: f64 = 0.005;

/// Arc's energy over its largest power that the mesh of the fronts is made for: a spike melts no deeper
/// than its own time lets it, and twice an even share of the power is none.
const SPELL: f64 = 2.0;

/// One run of the heat.
struct Run<'a> {
    rig: &'a Rig,
    arc: &'a [ArcKnot],
    arc_time: f64,
    lands: bool,
    until: Until,
    resolution: Resolution,
    record: &'a mut Vec<MeltKnot>,
}

impl Run<'_> {
    fn all<S: HeatSolver>(&mut self, bodies: &mut S) -> Result<Heating, S::Uncovered> {
        let mut out = Heating::default();
        let (first, last) = (self.arc[0], self.arc[self.arc.len() - 1]);
        let (arc_time, r) = (self.arc_time, self.resolution);
        let area = self.rig.stud.flange_area;
        let mut energy = EnergyCurve {
            knots: self.arc,
            at: 0,
        };
        self.record.push(MeltKnot {
            t: first.t,
            melt: [0.0; 2],
            face: self.rig.faces.map(|f| f.enthalpy.start),
        });
        let mut t = first.t;
        let mut before = Step::default();
        let most = MOST_PER_STEP * last.energy / r.arc_steps as f64;
        for j in 1..=r.arc_steps {
            let from = t;
            let end = if j == r.arc_steps {
                last.t
            } else {
                first.t + arc_time * (j as f64 / r.arc_steps as f64).powf(r.grading)
            };
            let joules = energy.clone().at(end) - before.energy;
            let mut pieces = 1.0_f64;
            if joules > most {
                pieces = (joules / most * PIECES).ceil();
            }
            if j > 1 && joules > FEW_JOULES * before.energy {
                pieces = pieces.max(before.pieces(end - from, joules));
            }
            // At ignition into much resistance the shortest comes first.
            for piece in 1..=pieces as u32 {
                let share = (f64::from(piece) / pieces).powi(if j == 1 { 2 } else { 1 });
                let next = if share < 1.0 {
                    from + (end - from) * share
                } else {
                    end
                };
                let joules = energy.at(next);
                let heat = self.rig.heat_shares.map(|share| share * joules / area);
                // After a drop of the power the second-order formula would boil and cool on by its
                // memory.
                let (length, last_power) = (next - t, before.power);
                before = Step {
                    length,
                    energy: joules,
                    power: (joules - before.energy) / length,
                };
                if before.power < 0.5 * last_power {
                    bodies.restart();
                }
                bodies.step(length, Boundary::Heated(heat))?;
                t = next;
                let melt = bodies.melt();
                out.sheet_max = out.sheet_max.max(melt[1]);
                let face = bodies.face_temperatures();
                self.record.push(MeltKnot { t, melt, face });
            }
        }
        if self.lands {
            out.at_touchdown = Some(bodies.melt());
        }
        bodies.restart();
        self.cooling(t).run(bodies, &mut out, self.record)?;
        out.vapour = bodies.vapour().map(|v| v * area);
        out.imbalance = bodies.imbalance();
        [out.steps, out.rounds] = bodies.work();
        out.unsettled = bodies.unsettled();
        Ok(out)
    }

    /// How the bodies cool from the time `t` \[s\] on, at which the arc ends.
    fn cooling(&self, t: f64) -> Cooling {
        let joules = self.arc[self.arc.len() - 1].energy;
        let area = self.rig.stud.flange_area;
        let [stud, sheet] = self.rig.faces.map(|f| f.enthalpy.melting_point);
        Cooling {
            boundary: if self.lands {
                Boundary::Contact
            } else {
                Boundary::Heated(self.rig.heat_shares.map(|share| share * joules / area))
            },
            level: stud.min(sheet),
            start: t,
            arc_time: self.arc_time,
            until: self.until,
            resolution: self.resolution,
        }
    }
}

/// The last step under the arc: its length \[s\], the energy at its end \[J\] and its mean power \[W\].
#[derive(Debug, Clone, Copy, Default)]
struct Step {
    length: f64,
    energy: f64,
    power: f64,
}

impl Step {
    /// Even pieces that bring `joules` over the time `dt` \[s\] after this step, so that neither the power
    /// falls too far from one to the next nor their length grows too much.
    fn pieces(&self, dt: f64, joules: f64) -> f64 {
        let fall = (self.power * dt / joules).ln();
        let falls = fall * 2.0 * dt / (dt + self.length);
        let growth = dt / self.length;
        (falls / MOST_FALL).max(growth / MOST_GROWTH).ceil()
    }
}

/// The arc's energy over time, read forwards.
#[derive(Clone)]
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
        hermite([a.energy, a.power], [b.energy, b.power], h, s)
            .clamp(a.energy, b.energy.max(a.energy))
    }
}
