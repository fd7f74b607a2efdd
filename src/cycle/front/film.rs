//! Melt between face and front: conduction on a mesh that stretches with the film.
//!
//! Finite volumes of even width. The unknown is Kirchhoff's potential θ = k_l·(T − T_m) \[W/m\]; a
//! cell's content is its enthalpy above that of melt at the melting point \[J/m²\]. Elimination runs
//! from the front, where θ = 0, to the face or joint. Cell 0 lies at the front; fluxes count
//! positive from the face to the front.

use wide::f64x2;

use crate::cycle::lanes::{Book, Lanes};

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

    /// Eliminates all cells but the one at the face, for 1/β = `inverse` \[1/s\].
    #[inline]
    pub fn eliminate(&mut self, stretch: &Stretch, inverse: f64) -> Outer {
        let link = f64x2::splat(K as f64) / stretch.width;
        let third = link * (1.0 / 3.0);
        self.third = third;
        let own = stretch.width * self.capacity * (inverse / K as f64);
        // Half of the drift through a border, from the front's to the face's in even parts.
        let part = stretch.rate * self.capacity * (-0.5 / K as f64);
        let mut half_drift = stretch.speed * self.capacity * 0.5;
        // The front holds θ = 0: nothing drifts through it, and a parabola through it and two cells
        // gives the flux into it.
        let (mut ahead, mut behind) = (third * 9.0, f64x2::ZERO);
        let (mut weight, mut load) = (f64x2::ZERO, f64x2::ZERO);
        let mut second = third;
        for c in &mut self.cells[..K - 1] {
            half_drift += part;
            let (next_ahead, next_behind) = (link - half_drift, link + half_drift);
            let ease = 1.0 / (own + ahead + next_behind - behind * weight);
            load = (c.start * inverse + behind * load) * ease;
            weight = (next_ahead + second) * ease;
            second = f64x2::ZERO;
            c.load = load;
            c.weight = weight;
            (ahead, behind) = (next_ahead, next_behind);
        }
        Outer {
            base: own + ahead - behind * weight,
            source: self.cells[K - 1].start * inverse + behind * load,
            link: third * 8.0,
            near: (9.0 - weight) * third,
            lead: load * third,
            half: stretch.width * (0.5 / K as f64),
            drift: (half_drift + part) * 2.0,
        }
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
