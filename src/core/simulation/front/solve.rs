//! One step of the fronts: the secant on the Stefan condition, and what holds at faces and joint.

use wide::{CmpGt, CmpLe, CmpLt, f64x2};

use super::film::{Outer, Stretch};
use super::solid::Rim;
use super::{Fronts, Stage, Uncovered};
use crate::simulation::simd::{Book, Lanes};

/// Most solves in a step.
pub(super) const MOST_ROUNDS: usize = 30;

/// Correction of a front, over its depth, that needs no further solve; what the Stefan condition
/// still lacks then goes into the melt beside the front.
pub(super) const CLOSE_ENOUGH: f64 = 2e-5;

/// Ratio of the stiffness to that of the step before, or the other way round, below which it is not
/// taken to go on changing like that.
const LEAST_RATIO: f64 = 0.7;

/// Least front that counts, over the reach of the heat.
pub(super) const LEAST_FRONT: f64 = 1e-6;

/// What a step knows beforehand.
#[derive(Clone, Copy)]
struct Step {
    /// 1/β \[1/s\].
    inverse: f64,
    beta: f64,
    /// Flux offered to each open face \[W/m²\].
    flux: Lanes,
    /// Front and width the step starts from \[m\].
    front: Lanes,
    width: Lanes,
}

impl<const N: usize, const K: usize> Fronts<N, K> {
    /// Both faces under their own flux.
    pub(super) fn heated(
        &mut self,
        dt: f64,
        carry: f64,
        beta: f64,
        end: Lanes,
    ) -> Result<(), Uncovered> {
        let step = Step {
            inverse: 1.0 / beta,
            beta,
            flux: (end - self.heat.start(carry)) * (1.0 / beta),
            front: self.front.start(carry),
            width: self.width.start(carry),
        };
        self.heat.put(end);
        let least = self.law.reach * LEAST_FRONT;
        let none = f64x2::ZERO;
        let mut molten = self.molten;
        if molten.none() {
            self.evaluate(&step, none, none);
            molten = self.trial.rim.cmp_gt(none);
        }
        let mut front = none;
        let mut froze = none;
        // Each body finds at most once that it is molten after all, and once that it is no longer.
        loop {
            if molten.none() {
                self.evaluate(&step, none, none);
            } else {
                let guess = self.predicted(dt).fast_max(least * 100.0);
                front = self.settle(&step, molten.blend(guess, none), molten, least)?;
            }
            let gone = molten & front.cmp_le(least * 2.0);
            let melts = (molten | froze).blend(none, self.trial.rim.cmp_gt(none));
            if (gone | melts).none() {
                break;
            }
            froze |= gone;
            molten = (molten | melts) & !gone;
            front = none;
        }
        self.close(&step, front, front, molten, carry);
        Ok(())
    }

    /// One slab between two fronts.
    pub(super) fn shrink(&mut self, dt: f64, carry: f64, beta: f64) -> Result<(), Uncovered> {
        let step = Step {
            inverse: 1.0 / beta,
            beta,
            flux: f64x2::ZERO,
            front: self.front.start(carry),
            width: self.width.start(carry),
        };
        self.heat.advance(carry, f64x2::ZERO);
        let guess = self.predicted(dt);
        let front = self.settle(&step, guess, self.molten, f64x2::splat(f64::MIN))?;
        let slab = front.reduce_add();
        if slab <= 0.0 {
            return Err(Uncovered);
        }
        self.close(&step, front, self.share * slab, self.molten, carry);
        Ok(())
    }

    /// What is left of the slab freezes: its heat goes into both solids at the joint.
    pub(super) fn freeze(&mut self, beta: f64) {
        let inverse = 1.0 / beta;
        let speed = self.speed.now;
        let before = self.front.now;
        let end = before - speed * (self.slab() / speed.reduce_add());
        let length = self.law.depth - end;
        let heat = self.film.content() + self.law.fusion * self.width.now;
        let motion = (end - before) * inverse;
        let gained = self.join(length, motion, inverse, heat.reduce_add() * inverse) * beta;
        let change = gained - self.film.content() - self.law.liquidus * self.width.now
            + self.law.solidus * (before - end);
        self.heat.advance(0.0, f64x2::ZERO);
        self.vapour.advance(0.0, f64x2::ZERO);
        self.across
            .advance(0.0, f64x2::splat(-change.to_array()[0]));
        self.solid.substitute(length, self.trial.first);
        self.film.close(f64x2::ONE, f64x2::ZERO, f64x2::ZERO);
        self.front.put(end);
        self.width.put(f64x2::ZERO);
        self.speed.put(f64x2::ZERO);
        self.molten = f64x2::ZERO;
        self.stage = Stage::Joined;
        self.rounds += 1;
    }

    /// Two solids in contact.
    pub(super) fn cool(&mut self, carry: f64, beta: f64) {
        let length = self.law.depth - self.front.now;
        let gained = self.join(length, f64x2::ZERO, 1.0 / beta, 0.0);
        self.heat.advance(carry, f64x2::ZERO);
        self.vapour.advance(carry, f64x2::ZERO);
        self.across
            .advance(carry, f64x2::splat(gained.to_array()[1] * beta));
        self.solid.substitute(length, self.trial.first);
        self.rounds += 1;
    }

    /// Solves two solids that share the temperature of their rims; `heat` goes in between them
    /// \[W/m²\]. Returns what each gains \[W/m²\].
    fn join(&mut self, length: Lanes, motion: Lanes, inverse: f64, heat: f64) -> Lanes {
        let rim = self.solid.eliminate(length, motion, inverse).finish();
        // θ of the first cell = (source + link·joint + lead) / (base + near).
        let ease = 1.0 / (rim.base + rim.near);
        let per = rim.link * rim.base * ease - motion * self.solid.capacity * rim.base * ease;
        let own = (rim.near * rim.source - rim.base * rim.lead) * ease;
        let theta = (heat + own.reduce_add()) / per.reduce_add();
        let gained = per * theta - own;
        self.trial.first = (rim.source + gained) / rim.base;
        self.trial.rim = f64x2::splat(theta);
        self.trial.face = self.law.melting_point + self.trial.rim * self.law.per_conductivity[0];
        gained
    }

    /// Where the fronts will be after `dt` if they go on as they do.
    pub(super) fn predicted(&self, dt: f64) -> Lanes {
        let bend = if self.step_before > 0.0 {
            0.5 * dt * dt / self.step_before
        } else {
            0.0
        };
        self.front.now + self.speed.now * dt + (self.speed.now - self.speed.before) * bend
    }

    /// The stiffness at the end of the step, if it goes on to change by the same share.
    fn stiffness_ahead(&self) -> Lanes {
        let ratio = self.stiffness.now / self.stiffness.before;
        let goes_on =
            ratio.cmp_gt(f64x2::splat(LEAST_RATIO)) & ratio.cmp_lt(f64x2::splat(1.0 / LEAST_RATIO));
        self.stiffness.now * goes_on.blend(ratio, f64x2::ONE)
    }

    /// Moves the fronts of the molten bodies until their Stefan conditions hold.
    fn settle(
        &mut self,
        step: &Step,
        guess: Lanes,
        molten: Lanes,
        least: Lanes,
    ) -> Result<Lanes, Uncovered> {
        let none = f64x2::ZERO;
        let latent = self.law.fusion * step.inverse;
        let mut front = guess;
        let mut excess = self.evaluate(step, front, molten);
        let mut slope = self.stiffness_ahead().fast_min(none) - latent;
        let mut measured = none;
        for _ in 0..MOST_ROUNDS {
            let next = molten.blend((front - excess / slope).fast_max(least), none);
            let change = next - front;
            let scale = (front.abs() + self.law.reach * 1e-3) * CLOSE_ENOUGH;
            if change.abs().cmp_le(scale).all() {
                // What was foreseen only is no measure of what comes next.
                let Book { now, before } = self.stiffness;
                self.stiffness.before = measured.blend(now, before);
                self.stiffness.now = measured.blend(slope + latent, now);
                return Ok(front);
            }
            let then = self.evaluate(step, next, molten);
            let found = (then - excess) / change;
            // More melt always lowers the excess; where rounding says otherwise keep the slope.
            let trusted = found.cmp_lt(latent * -0.1) & change.abs().cmp_gt(scale * 1e-6);
            slope = trusted.blend(found, slope);
            measured |= trusted;
            (front, excess) = (next, then);
        }
        Err(Uncovered)
    }

    /// Solves both bodies for fronts at `front`; returns what the Stefan condition of each lacks,
    /// flux from the melt less flux into the solid less latent heat \[W/m²\].
    fn evaluate(&mut self, step: &Step, front: Lanes, molten: Lanes) -> Lanes {
        self.rounds += 1;
        let speed = (front - step.front) * step.inverse;
        let length = self.law.depth - front;
        let (rim, film) = if molten.none() {
            let solid = self.solid.eliminate(length, speed, step.inverse);
            (solid.finish(), None)
        } else {
            let width = match self.stage {
                Stage::Slab => self.share * front.reduce_add(),
                _ => molten.blend(front, f64x2::ONE),
            };
            let stretch = Stretch {
                width,
                rate: (width - step.width) * step.inverse,
                speed,
            };
            let (rim, outer) = self.eliminate(length, &stretch, step.inverse);
            (rim, Some((outer, stretch)))
        };
        // A film that is gone leaves its heat to the solid.
        let left = (self.film.started() + self.law.fusion * step.width) * step.inverse;
        let flux = step.flux + left;
        let open = (rim.source + flux) / rim.base;
        let held = (rim.source + rim.lead) / (rim.base + rim.near);
        self.trial.first = molten.blend(held, open);
        let face = (flux + rim.near * open - rim.lead) / rim.link;
        self.trial.rim = molten.blend(f64x2::ZERO, face);
        self.trial.into = step.flux;
        self.trial.face = self.law.melting_point + self.trial.rim * self.law.per_conductivity[0];
        let Some((outer, stretch)) = film else {
            self.trial.excess = f64x2::ZERO;
            return f64x2::ZERO;
        };
        let theta = match self.stage {
            Stage::Slab => self.joint(&outer, &stretch),
            _ => self.open_face(&outer, step.flux, molten),
        };
        let arrives = self.film.substitute(theta);
        let leaves = rim.lead - rim.near * held;
        self.trial.excess = molten.blend(arrives - leaves - self.law.fusion * speed, f64x2::ZERO);
        self.trial.excess
    }

    /// Eliminates solid and film side by side: each waits for its own last cell only, so that the two
    /// together take hardly longer than the solid alone.
    #[inline(always)]
    pub(super) fn eliminate(
        &mut self,
        length: Lanes,
        stretch: &Stretch,
        inverse: f64,
    ) -> (Rim, Outer) {
        let mut solid = self.solid.eliminate(length, stretch.speed, inverse);
        let mut film = self.film.eliminate(*stretch, inverse);
        for _ in 1..K {
            solid.advance();
            film.advance();
        }
        (solid.finish(), film.finish())
    }

    /// A molten face takes all the flux, or holds the boiling point and takes what the melt leads.
    fn open_face(&mut self, outer: &Outer, flux: Lanes, molten: Lanes) -> Lanes {
        let limit = outer.link * self.law.boiling + outer.lead;
        let free = (outer.source + flux) / outer.base;
        let held = (outer.source + limit) / (outer.base + outer.near);
        let boils = flux.cmp_gt(limit - outer.near * free);
        let theta = boils.blend(held, free);
        let into = boils.blend(limit - outer.near * held, flux);
        let face = (into + outer.near * theta - outer.lead) / outer.link;
        let face = self.law.melting_point + face * self.law.per_conductivity[1];
        self.trial.into = molten.blend(into, flux);
        self.trial.face = molten.blend(face, self.trial.face);
        theta
    }

    /// Both halves of the slab share what goes through the joint.
    fn joint(&mut self, outer: &Outer, stretch: &Stretch) -> Lanes {
        let ([base_a, base_b], [source_a, source_b]) =
            (outer.base.to_array(), outer.source.to_array());
        let [half_a, half_b] = outer.half.to_array();
        let [drift, _] = outer.drift.to_array();
        let link = 1.0 / (half_a + half_b);
        let per_b = link * (1.0 - drift * half_a) / base_b;
        let per_a = link * (1.0 + drift * half_b) / base_a;
        // Into the stud's half.
        let gain = (per_b * source_b - per_a * source_a) / (1.0 + per_a + per_b);
        let theta_a = (source_a + gain) / base_a;
        let theta_b = (source_b - gain) / base_b;
        let [motion, _] = (stretch.speed - stretch.rate).to_array();
        self.trial.through = motion * self.law.liquidus.to_array()[0] - gain;
        let face = f64x2::splat((theta_a * half_b + theta_b * half_a) * link);
        self.trial.face = self.law.melting_point + face * self.law.per_conductivity[1];
        f64x2::from([theta_a, theta_b])
    }

    /// Takes the last solve as the end of the step.
    fn close(&mut self, step: &Step, front: Lanes, width: Lanes, molten: Lanes, carry: f64) {
        self.solid
            .substitute(self.law.depth - front, self.trial.first);
        self.film
            .close(width, self.trial.excess * step.beta, molten);
        let speed = (front - step.front) * step.inverse;
        self.front.put(front);
        self.width.put(width);
        // A front that has just come or gone tells nothing of the next step.
        let went_on = self.molten & molten;
        let speed = molten.blend(speed, f64x2::ZERO);
        self.speed.before = went_on.blend(self.speed.now, speed);
        self.speed.now = speed;
        self.molten = molten;
        let vapour = step.flux - self.trial.into;
        self.vapour.advance(carry, vapour * step.beta);
        let through = if self.stage == Stage::Slab {
            self.trial.through
        } else {
            0.0
        };
        self.across
            .advance(carry, f64x2::splat(through * step.beta));
    }
}
