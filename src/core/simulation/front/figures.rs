//! What the fronts show of themselves, and the step they take.

use wide::{CmpGt, f64x2};

use super::{DEEPEST, Fronts, Stage, Uncovered};
use crate::physics::ROOM;
use crate::simulation::heat_solver::{Boundary, HeatSolver};
use crate::simulation::simd::{bdf2, imbalance};

/// Slab, over its largest, that freezes in one step.
const LAST_SLAB: f64 = 0.03;

/// Share of what is left of the slab that may freeze in a step before the last.
const SLAB_STEP: f64 = 0.5;

/// Steps while a joint of two metals cools, over those of one metal.
const SLOW_COOLING: f64 = 4.0;

impl<const N: usize, const K: usize> HeatSolver for Fronts<N, K> {
    type Uncovered = Uncovered;

    fn step(&mut self, dt: f64, boundary: Boundary) -> Result<(), Uncovered> {
        let mut freezes = match boundary {
            Boundary::Heated(_) => false,
            Boundary::Contact => {
                if self.stage == Stage::Open {
                    self.meet()?;
                }
                let rate = self.speed.now.reduce_add();
                self.stage == Stage::Slab && self.slab() + rate * dt <= 1e-9 * self.largest
            }
        };

        if freezes {
            self.restart();
        }
        let (carry, beta) = bdf2(dt, self.step_before);
        self.solid.start(carry);
        self.film.start(carry);
        match (boundary, self.stage) {
            (Boundary::Heated(end), _) => self.heated(dt, carry, beta, f64x2::from(end))?,
            (_, Stage::Layered) => freezes = self.contact(dt, carry, beta)?,
            (_, Stage::Slab) if freezes => self.freeze(beta),
            (_, Stage::Slab) => self.shrink(dt, carry, beta)?,
            _ => self.cool(carry, beta),
        }
        let slab = self.slab();
        self.largest = self.largest.max(slab);
        self.steps += 1;
        self.step_before = if freezes { 0.0 } else { dt };
        if self.front.now.cmp_gt(self.law.depth * DEEPEST).any() {
            return Err(Uncovered);
        }
        Ok(())
    }

    fn restart(&mut self) {
        self.step_before = 0.0;
    }

    fn melt(&self) -> [f64; 2] {
        let front = self.front.now.fast_max(f64x2::ZERO);
        match self.stage {
            Stage::Open => front.to_array(),
            Stage::Slab => front.fast_min(f64x2::splat(self.slab())).to_array(),
            Stage::Joined => [0.0; 2],
            Stage::Layered => self.width.now.to_array(),
        }
    }

    fn molten_margin(&self) -> f64 {
        // A slab's last step ends where it has frozen.
        if self.molten.none() { 0.0 } else { f64::MAX }
    }

    fn vapour(&self) -> [f64; 2] {
        self.vapour.now.to_array()
    }

    fn imbalance(&self) -> f64 {
        let held = self.solid.content()
            + self.film.content()
            + self.joint.crust.content()
            + self.law.solidus * (self.law.depth - self.front.now + self.joint.depth.now)
            + self.law.liquidus * self.width.now
            - self.law.warmth * self.law.depth;
        let out = self.across.now * f64x2::from([1.0, -1.0]);
        imbalance(&self.faces, self.heat.now, held + self.vapour.now, out)
    }

    fn face_temperatures(&self) -> [f64; 2] {
        match self.stage {
            Stage::Open => self.trial.face.to_array(),
            _ => [self.joint_temperature(); 2],
        }
    }

    fn joint_temperature(&self) -> f64 {
        let [stud, sheet] = self.trial.face.to_array();
        match self.stage {
            Stage::Open => return 0.5 * (stud + sheet),
            Stage::Layered => return stud,
            Stage::Slab | Stage::Joined => {}
        }
        for (lane, front) in self.front.now.to_array().into_iter().enumerate() {
            if front < 0.0 {
                let length = (self.law.depth - self.front.now).to_array()[lane];
                let rim = self.trial.rim.to_array()[lane];
                return self.solid.temperature_at(lane, -front, length, rim);
            }
        }
        // The last superheat is too little to be told from rounding, yet the slab is not solid.
        let least = self.law.melting_point.to_array()[0] * (1.0 + 1e-12);
        if self.stage == Stage::Slab {
            stud.max(least)
        } else {
            stud
        }
    }

    fn back_temperature(&self) -> f64 {
        self.solid.back(1)
    }

    fn is_even(&self) -> bool {
        self.molten.none()
            && (0..2).all(|l| {
                let (low, high) = self.solid.span(l);
                high - low < (high - ROOM).abs() * 1e-4
            })
    }

    /// Melt about to freeze is followed to its end.
    fn fitting_step(&self, dt: f64) -> f64 {
        if self.unlike() {
            return self.step_to_freezing(dt);
        }
        let rate = self.speed.now.reduce_add();
        if self.stage != Stage::Slab || rate >= 0.0 || self.steps == 0 {
            return dt;
        }
        let left = self.slab() / -rate;
        if self.slab() < LAST_SLAB * self.largest {
            left
        } else {
            dt.min(SLAB_STEP * left)
        }
    }

    /// A joint of two metals freezes below the melting point of one: it cools slowly then.
    fn cooling_steps(&self) -> f64 {
        if self.stage == Stage::Layered {
            SLOW_COOLING
        } else {
            1.0
        }
    }

    fn work(&self) -> [u64; 2] {
        [self.steps, self.rounds]
    }

    /// A step that does not settle is not covered.
    fn unsettled(&self) -> u64 {
        0
    }
}
