//! The heat after the arc: until the joint has frozen and cooled, and on to the back face's peak.

use super::heat_solver::{Boundary, HeatSolver, Heating, MeltKnot, Until};
use super::mesh::Resolution;
use crate::physics::ROOM;

/// Below this the joint counts as cold \[K\] (500 °C).
const COLD_JOINT: f64 = 773.15;

/// The cooling rate is taken over the first 100 K below the melting point \[K\].
const COOLING_SPAN: f64 = 100.0;

/// Arc times after which bodies of one temperature end the record: joints too hot ever to freeze.
const EVEN_AFTER: f64 = 50.0;

/// The heat is followed for at most this long after the arc \[s\].
const LONGEST: f64 = 20.0;

/// The heat after the arc.
pub(super) struct Cooling {
    pub boundary: Boundary,
    /// Lower melting point of the two metals \[K\].
    pub level: f64,
    /// End of the arc, and how long it burned \[s\].
    pub start: f64,
    pub arc_time: f64,
    pub until: Until,
    pub resolution: Resolution,
}

impl Cooling {
    pub fn run<S: HeatSolver>(
        &self,
        bodies: &mut S,
        out: &mut Heating,
        record: &mut Vec<MeltKnot>,
    ) -> Result<(), S::Uncovered> {
        let lands = self.boundary == Boundary::Contact;
        let cooled = self.level - COOLING_SPAN;
        let mut t = self.start;
        let mut dt = self.arc_time * self.resolution.contact_step;
        let mut margin = bodies.molten_margin();
        let mut joint = bodies.joint_temperature();
        let mut back = bodies.back_temperature();
        let mut frozen = margin <= 0.0;
        // Settled: nothing is left to happen but that heat spreads.
        let mut settled = frozen && !lands;
        let mut left_melting = None;
        while t - self.start < LONGEST {
            if !frozen {
                dt = bodies.fitting_step(dt);
            }
            bodies.step(dt, self.boundary)?;
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
                let face = bodies.face_temperatures();
                record.push(MeltKnot { t, melt, face });
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
                // A joint of unlike metals may be as cold when its last melt freezes: within one step
                // only its own slope is known.
                out.cooling_rate =
                    from.filter(|from| joint_before > cooled && to > *from)
                        .map(|from| {
                            if from < t - dt {
                                COOLING_SPAN / (to - from)
                            } else {
                                (joint_before - joint) / dt
                            }
                        });
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
            let share = if margin < 1.0 {
                self.resolution.freezing_step * bodies.cooling_steps()
            } else {
                1.0
            };
            dt = self.next_step(dt, t, share, settled);
        }
        if self.until == Until::BackFace {
            out.back_face = Some(back);
        }
        Ok(())
    }

    /// Steps grow with the time since ignition, and are shorter again while the last melt freezes
    /// and the joint cools its first 100 K.
    fn next_step(&self, dt: f64, t: f64, share: f64, settled: bool) -> f64 {
        let r = &self.resolution;
        if settled {
            return dt * r.late_growth;
        }
        let longest = r.longest * (self.arc_time + t - self.start);
        (dt * r.growth).min(longest * share)
    }
}
