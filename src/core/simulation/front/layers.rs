//! Bodies of unlike metals once they touch: each keeps its own layers, from the joint to its back.
//!
//! The joint does not move with the melt, and both sides have its temperature. A body may be solid to the
//! joint, or molten from the joint to its front. Where the joint falls below its melting point a crust
//! freezes from there, and the melt is a pocket between two fronts; once that has frozen the crust stands
//! on the solid.

use nalgebra::Matrix4;
use wide::f64x2;

use super::film::{Base, Film, Stretch};
use super::solid::Rim;
use super::{Fronts, Law};
use crate::simulation::simd::{Book, Lanes};

/// What a body is made of, from the joint to its back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layers {
    /// Solid.
    Solid,
    /// Melt, solid.
    Film,
    /// Crust, melt, solid.
    Pocket,
    /// Crust, solid.
    Crust,
}

impl Layers {
    pub fn molten(self) -> bool {
        matches!(self, Layers::Film | Layers::Pocket)
    }

    pub fn crusted(self) -> bool {
        matches!(self, Layers::Pocket | Layers::Crust)
    }

    /// Once its melt has frozen.
    pub fn frozen(self) -> Layers {
        match self {
            Layers::Film => Layers::Solid,
            Layers::Pocket => Layers::Crust,
            as_is => as_is,
        }
    }
}

/// What unlike metals have besides the solid, film and front of each.
#[derive(Debug, Clone)]
pub(super) struct Joint<const K: usize> {
    pub layers: [Layers; 2],
    /// Time since the faces touched \[s\].
    pub since: f64,
    pub crust: Film<K>,
    /// Thickness of the crust \[m\], and its growth at the end of the last step and of the one before \[m/s\].
    pub depth: Book,
    pub growth: Book,
    /// Thickest melt of each body so far \[m\].
    pub widest: Lanes,
    /// Rate of what the Stefan conditions lack, latent heat apart, with the places of the fronts and of
    /// the crusts \[W/m³\].
    pub slopes: Matrix4<f64>,
    /// What each side took in the last solve: takes·(temperature of the joint above its melting point) −
    /// offers \[W/(m²·K), W/m²\].
    pub takes: Lanes,
    pub offers: Lanes,
    /// What the Stefan condition of each crust lacks \[W/m²\].
    pub excess: Lanes,
}

impl<const K: usize> Joint<K> {
    pub fn new(capacity: Lanes) -> Self {
        Joint {
            layers: [Layers::Solid; 2],
            since: 0.0,
            crust: Film::new(capacity),
            depth: Book::default(),
            growth: Book::default(),
            widest: f64x2::ZERO,
            slopes: Matrix4::zeros(),
            takes: f64x2::ZERO,
            offers: f64x2::ZERO,
            excess: f64x2::ZERO,
        }
    }
}

/// Which bodies, as a mask.
pub(super) fn mask(layers: [Layers; 2], of: impl Fn(Layers) -> bool) -> Lanes {
    f64x2::from(layers.map(|l| if of(l) { f64::from_bits(u64::MAX) } else { 0.0 }))
}

/// What a step of the layers knows beforehand.
#[derive(Clone, Copy)]
pub(super) struct Start {
    /// 1/β \[1/s\].
    pub inverse: f64,
    pub beta: f64,
    pub carry: f64,
    /// Front, melt and crust the step starts from \[m\].
    pub front: Lanes,
    pub width: Lanes,
    pub crust: Lanes,
}

/// Front and crust at the end of a step \[m\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Places {
    pub front: Lanes,
    pub crust: Lanes,
}

/// A thickness that stands for one that is not there.
fn or_one(there: Lanes, thickness: Lanes) -> Lanes {
    there.blend(thickness, f64x2::ONE)
}

impl Law {
    /// Conductivity of what lies at the joint \[W/(m·K)\].
    fn at_joint(&self, melt: Lanes) -> Lanes {
        1.0 / melt.blend(self.per_conductivity[1], self.per_conductivity[0])
    }
}

impl<const N: usize, const K: usize> Fronts<N, K> {
    /// Solves both bodies, made of `layers`, for fronts and crusts at `at`; returns what the Stefan
    /// conditions of both lack \[W/m²\].
    pub(super) fn solve_layers(
        &mut self,
        start: &Start,
        layers: [Layers; 2],
        at: &Places,
    ) -> [Lanes; 2] {
        self.rounds += 1;
        let none = f64x2::ZERO;
        let (molten, crusted) = (mask(layers, Layers::molten), mask(layers, Layers::crusted));
        let (pocket, film) = (molten & crusted, molten & !crusted);
        let speed = (at.front - start.front) * start.inverse;
        let growth = (at.crust - start.crust) * start.inverse;
        let stretch = Stretch {
            width: or_one(molten, at.front - at.crust),
            rate: speed - growth,
            speed,
        };
        let (rim, outer) = self.eliminate(self.law.depth - at.front, &stretch, start.inverse);
        // Melt that is gone leaves its heat, to the crust's foot or to the joint, and so does a crust, which
        // takes it where it melts.
        let melt_left = self.film.started() + self.law.fusion * start.width;
        let crust_left =
            self.joint.crust.started() - molten.blend(self.law.fusion * start.crust, none);
        let left = molten.blend(none, melt_left) + crusted.blend(none, crust_left);
        let left = left * start.inverse;
        let (melt, (admittance, offset)) = (outer.rim(), rim.response());
        let foot = Base {
            admittance,
            offset: offset + left,
        };
        let mut edge = melt.or(molten, &rim);
        let mut crust = edge;
        if crusted.any() {
            crust = self.eliminate_crust(start, crusted, molten, at.crust, growth, &foot);
            edge = crust.or(crusted, &edge);
        }
        let left = crusted.blend(none, left);
        let into = self.share_joint(&edge, film, left.reduce_add());
        let [_, through] = (into - left).to_array();
        self.trial.through = through;

        let (held, enters) = melt.held();
        let arrives = self.film.substitute(pocket.blend(held, melt.first(into)));
        let (first, leaves) = rim.held();
        let reaches = self.joint.crust.substitute(crust.first(into));
        let end = self.joint.crust.end(reaches, &foot);
        let below = rim.first(crusted.blend(admittance * end - offset, into));
        self.trial.first = molten.blend(first, below);
        let fusion = self.law.fusion;
        self.trial.excess = molten.blend(arrives - leaves - fusion * speed, none);
        self.joint.excess = pocket.blend(enters - reaches - fusion * growth, none);
        [self.trial.excess, self.joint.excess]
    }

    /// The equation of the crusts at the joint.
    fn eliminate_crust(
        &mut self,
        start: &Start,
        crusted: Lanes,
        molten: Lanes,
        depth: Lanes,
        growth: Lanes,
        foot: &Base,
    ) -> Rim {
        let stretch = Stretch {
            width: or_one(crusted, depth),
            rate: growth,
            speed: growth,
        };
        let crust = &mut self.joint.crust;
        let mut cells = crust.eliminate_on(stretch, start.inverse, !molten, foot);
        for _ in 1..K {
            cells.advance();
        }
        cells.finish().rim()
    }

    /// Flux into each body \[W/m²\] where both have one temperature at the joint and `heat` goes in between
    /// them; `film` says where melt lies at the joint.
    fn share_joint(&mut self, edge: &Rim, film: Lanes, heat: f64) -> Lanes {
        let (admittance, offset) = edge.response();
        let conductivity = self.law.at_joint(film);
        let takes = admittance * conductivity;
        let melting_point = self.law.melting_point;
        // Above the first melting point, so that no digits are lost to the zero of the scale.
        let zero = melting_point.to_array()[0];
        let above = melting_point - zero;
        let sum = (offset + takes * above).reduce_add();
        let joint = (heat + sum) / takes.reduce_add();
        let [_, sheet] = (takes * (joint - above) - offset).to_array();
        self.joint.takes = takes;
        self.joint.offers = offset;
        self.trial.face = f64x2::splat(zero + joint);
        f64x2::from([heat - sheet, sheet])
    }

    /// Takes the last solve as the end of the step.
    pub(super) fn close_layers(&mut self, start: &Start, layers: [Layers; 2], at: &Places) {
        let none = f64x2::ZERO;
        let (molten, crusted) = (mask(layers, Layers::molten), mask(layers, Layers::crusted));
        let width = molten.blend(at.front - at.crust, none);
        self.solid
            .substitute(self.law.depth - at.front, self.trial.first);
        self.film
            .close(width, self.trial.excess * start.beta, molten);
        let joint = &mut self.joint;
        joint
            .crust
            .close(at.crust, joint.excess * -start.beta, crusted);
        let speed = (at.front - start.front) * start.inverse;
        let growth = (at.crust - start.crust) * start.inverse;
        // A front that has just come or gone tells nothing of the next step.
        let went_on = |of: fn(Layers) -> bool| mask(joint.layers, of) & mask(layers, of);
        let advance = |book: &mut Book, of: fn(Layers) -> bool, now: Lanes| {
            let now = mask(layers, of).blend(now, none);
            book.before = went_on(of).blend(book.now, now);
            book.now = now;
        };
        advance(&mut self.speed, Layers::molten, speed);
        advance(&mut joint.growth, |l| l == Layers::Pocket, growth);
        joint.depth.put(at.crust);
        joint.widest = joint.widest.fast_max(width);
        self.front.put(at.front);
        self.width.put(width);
        self.molten = molten;
        self.heat.advance(start.carry, none);
        self.vapour.advance(start.carry, none);
        self.across
            .advance(start.carry, f64x2::splat(self.trial.through * start.beta));
        joint.layers = layers;
    }
}
