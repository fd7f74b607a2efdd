//! Melt between face and front: conduction on a mesh that stretches with the film.
//!
//! Finite volumes of even width. The unknown is Kirchhoff's potential θ = k_l·(T − T_m) \[W/m\]; a
//! cell's content is its enthalpy above that of melt at the melting point \[J/m²\]. Elimination runs
//! from the front, where θ = 0, to the face or joint. Cell 0 lies at the front; fluxes count
//! positive from the face to the front.

use wide::f64x2;

use super::solid::{REDUCED_EVERY, Rim};
use crate::simulation::simd::{Book, Lanes};

/// Melt of both bodies in `K` cells each.
#[derive(Debug, Clone)]
pub(super) struct Film<const K: usize> {
    cells: [Cell; K],
    /// Content over width and θ: 1/diffusivity \[s/m²\].
    capacity: Lanes,
    /// One over three cells' width \[1/m\].
    third: Lanes,
}

#[derive(Debug, Clone, Copy, Default)]
struct Cell {
    content: Book,
    start: Lanes,
    weight: Lanes,
    load: Lanes,
    theta: Lanes,
}

/// Extent and motion of the films at the end of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    /// Width \[m\], its rate and the front's speed \[m/s\].
    pub width: Lanes,
    pub rate: Lanes,
    pub speed: Lanes,
}

/// The equation of the cell at the face, base·θ = source + flux into it; that flux by a parabola
/// through the face and two cells, link·(θ of the face) − near·θ + lead; half a cell's width \[m\];
/// speed of the face over the diffusivity \[1/m\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Outer {
    pub base: Lanes,
    pub source: Lanes,
    pub link: Lanes,
    pub near: Lanes,
    pub lead: Lanes,
    pub half: Lanes,
    pub drift: Lanes,
}

impl Outer {
    /// The same equation for a face that stays where it is, or whose θ is 0.
    pub fn rim(&self) -> Rim {
        Rim {
            base: self.base,
            source: self.source,
            link: self.link,
            near: self.near,
            lead: self.lead,
        }
    }
}

/// What a film stands on in place of a front at θ = 0: something that takes `admittance`·θ − `offset`
/// \[W/m²\] where its own θ is that of the film's end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base {
    pub admittance: Lanes,
    pub offset: Lanes,
}

/// The cells' equations on the way to the face.
pub(super) struct Elimination<'a, const K: usize> {
    cells: &'a mut [Cell; K],
    stretch: Stretch,
    inverse: f64,
    link: Lanes,
    third: Lanes,
    own: Lanes,
    /// Half of the drift through a border, from the front's to the face's in even parts.
    half_drift: Lanes,
    part: Lanes,
    next: usize,
    /// The front holds θ = 0: nothing drifts through it, and a parabola through it and two cells
    /// gives the flux into it.
    ahead: Lanes,
    behind: Lanes,
    /// θ of the last cell is (weight · θ of the next + load)/pivot, as fractions like those of the solid.
    weight: Lanes,
    load: Lanes,
    pivot: Lanes,
    second: Lanes,
}

impl<const K: usize> Elimination<'_, K> {
    /// Eliminates a cell.
    #[inline(always)]
    pub fn advance(&mut self) {
        let c = &mut self.cells[self.next];
        self.half_drift += self.part;
        let (ahead, behind) = (self.link - self.half_drift, self.link + self.half_drift);
        let pivot = (self.own + self.ahead + behind) * self.pivot - self.behind * self.weight;
        self.load = c.start * self.inverse * self.pivot + self.behind * self.load;
        self.weight = (ahead + self.second) * self.pivot;
        self.pivot = pivot;
        self.second = f64x2::ZERO;
        let ease = 1.0 / pivot;
        (c.load, c.weight) = (self.load * ease, self.weight * ease);
        (self.ahead, self.behind) = (ahead, behind);
        self.next += 1;
        if self.next.is_multiple_of(REDUCED_EVERY) {
            self.reduce();
        }
    }

    #[inline(always)]
    fn reduce(&mut self) {
        let ease = 1.0 / self.pivot;
        self.weight *= ease;
        self.load *= ease;
        self.pivot = f64x2::ONE;
    }

    /// The equation of the cell at the face, once all others are eliminated.
    #[inline(always)]
    pub fn finish(mut self) -> Outer {
        self.reduce();
        let (own, third) = (self.own, self.third);
        Outer {
            base: own + self.ahead - self.behind * self.weight,
            source: self.cells[K - 1].start * self.inverse + self.behind * self.load,
            link: third * 8.0,
            near: (9.0 - self.weight) * third,
            lead: self.load * third,
            half: self.stretch.width * (0.5 / K as f64),
            drift: (self.half_drift + self.part) * 2.0,
        }
    }
}

impl<const K: usize> Film<K> {
    pub fn new(capacity: Lanes) -> Self {
        Film {
            cells: [Cell::default(); K],
            capacity,
            third: f64x2::ZERO,
        }
    }

    pub fn start(&mut self, carry: f64) {
        for c in &mut self.cells {
            c.start = c.content.start(carry);
        }
    }

    /// Sum of what the step starts from \[J/m²\].
    pub fn started(&self) -> Lanes {
        self.cells.iter().fold(f64x2::ZERO, |sum, c| sum + c.start)
    }

    /// Sum of all contents \[J/m²\].
    pub fn content(&self) -> Lanes {
        self.cells
            .iter()
            .fold(f64x2::ZERO, |sum, c| sum + c.content.now)
    }

    /// Begins to eliminate the cells from the front, for 1/β = `inverse` \[1/s\].
    #[inline(always)]
    pub fn eliminate(&mut self, stretch: Stretch, inverse: f64) -> Elimination<'_, K> {
        let link = f64x2::splat(K as f64) / stretch.width;
        let third = link * (1.0 / 3.0);
        self.third = third;
        Elimination {
            own: stretch.width * self.capacity * (inverse / K as f64),
            part: stretch.rate * self.capacity * (-0.5 / K as f64),
            half_drift: stretch.speed * self.capacity * 0.5,
            cells: &mut self.cells,
            stretch,
            inverse,
            link,
            third,
            next: 0,
            ahead: third * 9.0,
            behind: f64x2::ZERO,
            weight: f64x2::ZERO,
            load: f64x2::ZERO,
            pivot: f64x2::ONE,
            second: third,
        }
    }

    /// Begins to eliminate the cells of films that stand on `base` where the mask `joined` says so, and on
    /// a front elsewhere.
    pub fn eliminate_on(
        &mut self,
        stretch: Stretch,
        inverse: f64,
        joined: Lanes,
        base: &Base,
    ) -> Elimination<'_, K> {
        let mut out = self.eliminate(stretch, inverse);
        // The parabola's flux, third·(9·θ₀ − θ₁) − 8·third·θ of the end, is what the base takes there.
        let share = base.admittance / (base.admittance + out.third * 8.0);
        let share = joined.blend(share, f64x2::ONE);
        out.ahead *= share;
        out.second *= share;
        // Through no weight, so that it is a source alone.
        out.behind = f64x2::ONE;
        out.load = joined.blend(base.offset * (f64x2::ONE - share), f64x2::ZERO);
        out
    }

    /// θ of the end that stands on `base`, for what `substitute` has returned.
    pub fn end(&self, arrives: Lanes, base: &Base) -> Lanes {
        (arrives + base.offset) / (base.admittance + self.third * 8.0)
    }

    /// θ of the cell at the face gives all others; returns the flux into the front \[W/m²\].
    #[inline]
    pub fn substitute(&mut self, face: Lanes) -> Lanes {
        let mut theta = face;
        self.cells[K - 1].theta = theta;
        for c in self.cells[..K - 1].iter_mut().rev() {
            theta = c.weight * theta + c.load;
            c.theta = theta;
        }
        (theta * 9.0 - self.cells[1].theta) * self.third
    }

    /// Closes the step where there is melt; `rest` goes to the front cell \[J/m²\].
    pub fn close(&mut self, width: Lanes, rest: Lanes, molten: Lanes) {
        let per = width * self.capacity * (1.0 / K as f64);
        let mut rest = rest;
        for c in &mut self.cells {
            c.content
                .put(molten.blend(per * c.theta + rest, f64x2::ZERO));
            rest = f64x2::ZERO;
        }
    }
}
