//! One step of two metals in contact: where their fronts and crusts go, and which layers come and go.
//!
//! Up to two fronts a body have one Stefan condition each, and what one side takes through the joint the
//! other feels at once: the four are solved together by Broyden's method, which keeps the matrix of the
//! step before and learns from each solve. C. G. Broyden, Math. Comput. 19 (1965) 577.

use nalgebra::{Matrix4, Vector4};
use wide::f64x2;

use super::layers::{Layers, Places, Start};
use super::solve::{CLOSE_ENOUGH, LEAST_FRONT, MOST_ROUNDS};
use super::{Fronts, Stage, Uncovered};

/// First step in contact over the usual one: the faces meet with a jump, and a crust grows with the root of the
/// time.
const FIRST_CONTACT: f64 = 0.1;

/// Longest step over the time since the faces touched.
const CONTACT_STEP: f64 = 0.45;

/// Melt, over the thickest of its body, that freezes in one step.
const LAST_MELT: f64 = 0.03;

/// Share of what is left of the melt that may freeze in a step before the last.
const MELT_STEP: f64 = 0.5;

/// Thickness, over that before, below which no correction takes a layer.
const LEAST_SHARE: f64 = 0.2;

/// Crust, over the reach of the heat, that counts once the melt behind it has frozen: its cells are the
/// thinnest, and drown in the rounding of long steps.
const LEAST_CRUST: f64 = 1e-3;

/// Changes of layers in one step, more than any pair needs.
const MOST_CHANGES: usize = 8;

/// Temperature of the joint over the melting point that is rounding.
const ROUNDING: f64 = 1e-12;

/// How a search for the fronts ended.
enum Found {
    /// Their conditions hold.
    Settled,
    /// The melt of this body is gone before the end of the step.
    Frozen(usize),
    /// The crust of this body is.
    Melted(usize),
}

impl Places {
    /// Fronts of stud and sheet, then crusts.
    fn vector(&self) -> Vector4<f64> {
        let ([a, b], [c, d]) = (self.front.to_array(), self.crust.to_array());
        Vector4::new(a, b, c, d)
    }

    fn from_vector(v: &Vector4<f64>) -> Places {
        Places {
            front: f64x2::from([v[0], v[1]]),
            crust: f64x2::from([v[2], v[3]]),
        }
    }
}

/// Which of fronts and crusts move by a Stefan condition.
fn moving(layers: [Layers; 2]) -> [bool; 4] {
    let [a, b] = layers;
    let pocket = |l| l == Layers::Pocket;
    [a.molten(), b.molten(), pocket(a), pocket(b)]
}

impl<const N: usize, const K: usize> Fronts<N, K> {
    /// One step of the layers; true if melt froze to its end.
    pub(super) fn contact(&mut self, dt: f64, carry: f64, beta: f64) -> Result<bool, Uncovered> {
        self.joint.crust.start(carry);
        self.joint.since += dt;
        let start = Start {
            inverse: 1.0 / beta,
            beta,
            carry,
            front: self.front.start(carry),
            width: self.width.start(carry),
            crust: self.joint.depth.start(carry),
        };
        let mut layers = self.joint.layers;
        let mut at = self.foreseen(dt).vector();
        let mut froze = [false; 2];
        let melt = at.fixed_rows::<2>(0) - at.fixed_rows::<2>(2);
        for l in 0..2 {
            if layers[l].molten() && melt[l] <= 1e-9 * self.joint.widest.to_array()[l] {
                self.freeze_layer(l, &mut layers, &mut at);
                froze[l] = true;
            }
        }
        for _ in 0..MOST_CHANGES {
            match self.settle_layers(&start, layers, &mut at)? {
                Found::Frozen(l) => {
                    self.freeze_layer(l, &mut layers, &mut at);
                    froze[l] = true;
                }
                Found::Melted(l) => {
                    layers[l] = Layers::Film;
                    at[2 + l] = 0.0;
                    self.forget(2 + l);
                }
                Found::Settled => {
                    let Some(l) = self.next_change(layers, froze)? else {
                        self.close_layers(&start, layers, &Places::from_vector(&at));
                        return Ok(froze[0] || froze[1]);
                    };
                    self.begin_layer(l, &start, &mut layers, &mut at)?;
                }
            }
        }
        Err(Uncovered)
    }

    /// Where fronts and crusts will be after `dt` if they go on as they do.
    fn foreseen(&self, dt: f64) -> Places {
        let joint = &self.joint;
        let bend = if self.step_before > 0.0 {
            0.5 * dt * dt / self.step_before
        } else {
            0.0
        };
        let crust = joint.depth.now + joint.growth.now * dt;
        let crust = crust + (joint.growth.now - joint.growth.before) * bend;
        Places {
            front: self.predicted(dt),
            crust: crust.fast_max(joint.depth.now * LEAST_SHARE),
        }
    }

    /// The melt of body `l` is taken to freeze where its two ends meet.
    fn freeze_layer(&mut self, l: usize, layers: &mut [Layers; 2], at: &mut Vector4<f64>) {
        let of = |lanes: wide::f64x2| lanes.to_array()[l];
        let (front, crust) = (of(self.front.now), of(self.joint.depth.now));
        let (recedes, grows) = (-of(self.speed.now), of(self.joint.growth.now));
        let place = match layers[l] {
            Layers::Film => 0.0,
            _ if recedes + grows > 0.0 => {
                let share = (grows / (recedes + grows)).clamp(0.0, 1.0);
                crust + (front - crust) * share
            }
            _ => crust,
        };
        layers[l] = layers[l].frozen();
        let mut place = place;
        if place < LEAST_CRUST * self.law.reach.to_array()[l] {
            layers[l] = Layers::Solid;
            place = 0.0;
        }
        at[l] = place;
        at[2 + l] = place;
        self.forget(l);
        self.forget(2 + l);
    }

    /// Nothing is known of how the conditions change with this front or crust.
    fn forget(&mut self, n: usize) {
        self.joint.slopes.row_mut(n).fill(0.0);
        self.joint.slopes.column_mut(n).fill(0.0);
    }

    /// The body, if any, one of whose layers the joint's temperature does not allow: melt colder than it
    /// melts at, the highest melting point first, or solid hotter than that, the lowest first.
    fn next_change(
        &self,
        layers: [Layers; 2],
        froze: [bool; 2],
    ) -> Result<Option<usize>, Uncovered> {
        let joint = self.trial.face.to_array()[0];
        let melting_point = self.law.melting_point.to_array();
        let above = melting_point.map(|m| joint / m - 1.0);
        let mut found: Option<usize> = None;
        for l in 0..2 {
            let wrong = match layers[l] {
                Layers::Film => above[l] < -ROUNDING,
                Layers::Pocket => false,
                Layers::Solid => above[l] > ROUNDING && !froze[l],
                Layers::Crust => {
                    if above[l] > ROUNDING && !froze[l] {
                        return Err(Uncovered);
                    }
                    false
                }
            };
            if wrong && found.is_none_or(|other| above[l].abs() > above[other].abs()) {
                found = Some(l);
            }
        }
        Ok(found)
    }

    /// Body `l` gets a crust on its melt, or melt on its solid. With the joint at the melting point the other
    /// side takes q₀ and the own one gives q; a layer of the thickness x leads q₀/(1 + α·x), where α is
    /// what the other side takes per kelvin over the layer's conductivity, and that less q freezes or melts x
    /// within the step.
    fn begin_layer(
        &mut self,
        l: usize,
        start: &Start,
        layers: &mut [Layers; 2],
        at: &mut Vector4<f64>,
    ) -> Result<(), Uncovered> {
        let freezes = layers[l] == Layers::Film;
        let (takes, offers) = (self.joint.takes.to_array(), self.joint.offers.to_array());
        let melting_point = self.law.melting_point.to_array();
        let other = 1 - l;
        let mut across = takes[other] * (melting_point[l] - melting_point[other]) - offers[other];
        let mut own = offers[l];
        if !freezes {
            (across, own) = (-across, -own);
        }
        let state = usize::from(!freezes);
        let alpha = takes[other] * self.law.per_conductivity[state].to_array()[l];
        let latent = self.law.fusion.to_array()[l] * start.inverse;
        if across <= own {
            return Err(Uncovered);
        }
        // (own + latent·x)·(1 + α·x) = across.
        let (a, b) = (alpha * latent, latent + alpha * own);
        let root = (b * b + 4.0 * a * (across - own)).sqrt();
        let thickness = 2.0 * (across - own) / (b + root);
        let n = if freezes {
            layers[l] = Layers::Pocket;
            2 + l
        } else {
            layers[l] = Layers::Film;
            l
        };
        let most = if freezes { 0.5 * at[l] } else { f64::MAX };
        at[n] = thickness.min(most);
        self.forget(n);
        let lead = 1.0 + alpha * thickness;
        self.joint.slopes[(n, n)] = -across * alpha / (lead * lead);
        Ok(())
    }

    /// Moves fronts and crusts until their Stefan conditions hold.
    fn settle_layers(
        &mut self,
        start: &Start,
        layers: [Layers; 2],
        at: &mut Vector4<f64>,
    ) -> Result<Found, Uncovered> {
        let moves = moving(layers);
        let fusion = self.law.fusion.to_array();
        let reach = self.law.reach.to_array();
        let latent = Matrix4::from_diagonal(&Vector4::from_fn(|n, _| {
            if moves[n] {
                fusion[n % 2] * start.inverse
            } else {
                1.0
            }
        }));
        let slopes = self.joint.slopes - latent;
        let mut inverse = slopes.try_inverse().ok_or(Uncovered)?;
        let mut lacks = self.lacking(start, layers, at);
        let mut learned = Matrix4::zeros();
        for _ in 0..MOST_ROUNDS {
            let mut change = -(inverse * lacks);
            for (l, &made_of) in layers.iter().enumerate() {
                if let Some(found) = self.within(l, made_of, at, &mut change) {
                    return Ok(found);
                }
            }
            let close = (0..4).all(|n| {
                let scale = (at[n].abs() + reach[n % 2] * 1e-3) * CLOSE_ENOUGH;
                !moves[n] || change[n].abs() <= scale
            });
            if close {
                self.joint.slopes += learned;
                return Ok(Found::Settled);
            }
            *at += change;
            let then = self.lacking(start, layers, at);
            // Both the matrix, for the next step, and by Sherman and Morrison its inverse.
            let found = then - lacks;
            let off = found - (slopes + learned) * change;
            learned += off * change.transpose() / change.norm_squared();
            let (by, along) = (inverse * found, change.transpose() * inverse);
            let pivot = change.dot(&by);
            if pivot == 0.0 {
                return Err(Uncovered);
            }
            inverse += (change - by) * along / pivot;
            lacks = then;
        }
        Err(Uncovered)
    }

    /// Shortens the change where it would take too much of a layer; tells when the layer is gone.
    fn within(
        &self,
        l: usize,
        layers: Layers,
        at: &Vector4<f64>,
        change: &mut Vector4<f64>,
    ) -> Option<Found> {
        if !layers.molten() {
            return None;
        }
        let least = self.law.reach.to_array()[l] * LEAST_FRONT;
        let (melt, thins) = (at[l] - at[2 + l], change[2 + l] - change[l]);
        if melt - thins <= melt * LEAST_SHARE {
            if melt <= least * 2.0 {
                return Some(Found::Frozen(l));
            }
            let share = (1.0 - LEAST_SHARE) * melt / thins;
            change[l] *= share;
            change[2 + l] *= share;
        }
        if layers == Layers::Pocket && at[2 + l] + change[2 + l] <= at[2 + l] * LEAST_SHARE {
            if at[2 + l] <= least * 2.0 {
                return Some(Found::Melted(l));
            }
            change[2 + l] = (LEAST_SHARE - 1.0) * at[2 + l];
        }
        None
    }

    fn lacking(&mut self, start: &Start, layers: [Layers; 2], at: &Vector4<f64>) -> Vector4<f64> {
        let [front, crust] = self.solve_layers(start, layers, &Places::from_vector(at));
        Places { front, crust }.vector()
    }

    /// The step \[s\] to take where `dt` is proposed: melt about to freeze is followed to its end.
    pub(super) fn step_to_freezing(&self, dt: f64) -> f64 {
        if self.stage == Stage::Open {
            // The jump between the faces begins with the first step after the arc.
            let jumps = self.step_before == 0.0;
            return if jumps { FIRST_CONTACT * dt } else { dt };
        }
        let dt = dt.min(CONTACT_STEP * self.joint.since);
        let (width, widest) = (self.width.now.to_array(), self.joint.widest.to_array());
        let rate = (self.speed.now - self.joint.growth.now).to_array();
        let mut step = dt;
        for l in 0..2 {
            if !self.joint.layers[l].molten() || rate[l] >= 0.0 {
                continue;
            }
            let left = width[l] / -rate[l];
            step = step.min(if width[l] < LAST_MELT * widest[l] {
                left
            } else {
                MELT_STEP * left
            });
        }
        step
    }
}
