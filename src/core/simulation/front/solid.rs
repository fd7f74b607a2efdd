//! Solid behind the melting front: conduction on a mesh that moves with the front.
//!
//! Finite volumes over \[front, back\]; each cell keeps its share of that length. The unknown is
//! Kirchhoff's potential θ = k_s·(T − T_m) \[W/m\]; a cell's content is its enthalpy above that of
//! solid at the melting point \[J/m²\]. Elimination runs from the insulated back to the front, so that
//! what holds at the front is the last equation.

use wide::f64x2;

use crate::simulation::mesh::widths;
use crate::simulation::rig::Face;
use crate::simulation::simd::{Book, Lanes, pair};

/// Solid of both bodies in `N` cells each.
#[derive(Debug, Clone)]
pub(super) struct Solid<const N: usize> {
    cells: [Cell; N],
    /// Content over width and θ: 1/diffusivity \[s/m²\].
    pub capacity: Lanes,
    /// Conductivity \[W/(m·K)\] and melting point \[K\].
    conductivity: Lanes,
    melting_point: Lanes,
}

#[derive(Debug, Clone, Copy, Default)]
struct Cell {
    /// Share of the length.
    share: Lanes,
    /// One over the distance from its middle to the next cell's, over the length; 0 at the back.
    link: Lanes,
    /// Speed of its inner border over the front's, by the weight of its own θ there and of the next's.
    drift: [Lanes; 2],
    content: Book,
    /// Content the step starts from.
    start: Lanes,
    /// θ = weight · θ of the cell before + load.
    weight: Lanes,
    load: Lanes,
    theta: Lanes,
}

/// The equation of the cell at the front, base·θ = source + flux into it; and that flux by a
/// parabola through the rim and two cells, link·(θ of the rim) − near·θ + lead.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rim {
    pub base: Lanes,
    pub source: Lanes,
    pub link: Lanes,
    pub near: Lanes,
    pub lead: Lanes,
}

impl Rim {
    /// θ of the first cell where this flux goes into it \[W/m²\].
    pub fn first(&self, into: Lanes) -> Lanes {
        (self.source + into) / self.base
    }

    /// θ of the first cell and the flux into it, where θ of the rim is 0.
    pub fn held(&self) -> (Lanes, Lanes) {
        let first = (self.source + self.lead) / (self.base + self.near);
        (first, self.lead - self.near * first)
    }

    /// The flux into the first cell is admittance·(θ of the rim) − offset: the two.
    pub fn response(&self) -> (Lanes, Lanes) {
        let ease = 1.0 / (self.base + self.near);
        let offset = (self.near * self.source - self.base * self.lead) * ease;
        (self.link * self.base * ease, offset)
    }

    /// Of this one where the mask `of` says so, of the other elsewhere.
    pub fn or(&self, of: Lanes, other: &Rim) -> Rim {
        let either = |a: Lanes, b: Lanes| of.blend(a, b);
        Rim {
            base: either(self.base, other.base),
            source: either(self.source, other.source),
            link: either(self.link, other.link),
            near: either(self.near, other.near),
            lead: either(self.lead, other.lead),
        }
    }
}

/// The cells' equations on the way to the front.
pub(super) struct Elimination<'a, const N: usize> {
    cells: &'a mut [Cell; N],
    per_length: Lanes,
    capacity: Lanes,
    speed: Lanes,
    inverse: f64,
    /// Cells not yet eliminated, the first left out.
    left: usize,
    /// Flux into the cells behind: (admittance · θ − offset)/pivot. Written without differences, as in long
    /// steps the admittance is small beside the links, and as fractions: each cell waits for the one behind it,
    /// and for a product and a sum it waits less than for a quotient.
    admittance: Lanes,
    offset: Lanes,
    pivot: Lanes,
}

/// Cells after which the fractions are reduced, before they overflow.
pub(super) const REDUCED_EVERY: usize = 8;

impl<const N: usize> Elimination<'_, N> {
    /// Eliminates a cell.
    #[inline(always)]
    pub fn advance(&mut self) {
        let i = self.left;
        let before = &self.cells[i - 1];
        let link = before.link * self.per_length;
        let ahead = link - self.speed * before.drift[0];
        let behind = link + self.speed * before.drift[1];
        let c = &mut self.cells[i];
        let own = c.share * self.capacity;
        let pivot = self.admittance + (own + behind) * self.pivot;
        let load = c.start * self.inverse * self.pivot + self.offset;
        let ease = 1.0 / pivot;
        c.load = load * ease;
        c.weight = ahead * self.pivot * ease;
        self.admittance = ahead * self.admittance + own * ahead * self.pivot;
        self.offset = behind * load;
        self.pivot = pivot;
        if i.is_multiple_of(REDUCED_EVERY) {
            self.reduce();
        }
        self.left = i - 1;
    }

    #[inline(always)]
    fn reduce(&mut self) {
        let ease = 1.0 / self.pivot;
        self.admittance *= ease;
        self.offset *= ease;
        self.pivot = f64x2::ONE;
    }

    /// Eliminates what is left but the first cell, and gives its equation.
    #[inline(always)]
    pub fn finish(mut self) -> Rim {
        while self.left > 0 {
            self.advance();
        }
        self.reduce();
        let (c, next) = (&self.cells[0], &self.cells[1]);
        let third = self.per_length / (3.0 * c.share);
        Rim {
            base: c.share * self.capacity + self.admittance,
            source: c.start * self.inverse + self.offset,
            link: 8.0 * third,
            near: (9.0 - next.weight) * third,
            lead: next.load * third,
        }
    }
}

/// Links and drifts of cells that follow from their shares of the length.
fn lay_out<const N: usize>(cells: &mut [Cell; N], capacity: Lanes) {
    let mut border = f64x2::ZERO;
    for i in 0..N - 1 {
        let (own, next) = (cells[i].share, cells[i + 1].share);
        border += own;
        cells[i].link = 2.0 / (own + next);
        let speed = (f64x2::ONE - border) * capacity / (own + next);
        cells[i].drift = [speed * next, speed * own];
    }
}

/// Contents of cells of the shares `to` of a length, from those of cells of the shares `from`, straight
/// lines within each. Their sum stays.
fn remesh<const N: usize>(content: [f64; N], from: [f64; N], to: [f64; N]) -> [f64; N] {
    let mean = |i: usize| content[i] / from[i];
    let slope = |i: usize| 2.0 * (mean(i + 1) - mean(i)) / (from[i] + from[i + 1]);
    let steepness = |i: usize| match i {
        0 => 1.5 * slope(0) - 0.5 * slope(1),
        _ if i + 1 < N => 0.5 * (slope(i - 1) + slope(i)),
        _ => 0.0,
    };
    let (mut at, mut left, mut held) = (0, 0.0, 0.0);
    let (mut border, mut before) = (0.0, 0.0);
    let all: f64 = content.iter().sum();
    std::array::from_fn(|i| {
        border += to[i];
        while at + 1 < N && left + from[at] <= border {
            left += from[at];
            held += content[at];
            at += 1;
        }
        let within = border - left;
        let bend = 0.5 * steepness(at) * within * (within - from[at]);
        let up_to = if i + 1 < N {
            held + mean(at) * within + bend
        } else {
            all
        };
        let own = up_to - before;
        before = up_to;
        own
    })
}

impl<const N: usize> Solid<N> {
    /// Cold bodies, their first `even` cells `first` wide \[m\], two at least.
    pub fn new(faces: &[Face; 2], first: [f64; 2], even: usize) -> Self {
        let shares: [[f64; N]; 2] = [0, 1].map(|l| {
            widths::<N>(faces[l].depth, first[l], even).map(|width| width / faces[l].depth)
        });
        let share = |i: usize| f64x2::from([shares[0][i], shares[1][i]]);
        let conductivity = pair(faces, |f| f.conductivity[0]);
        let capacity = pair(faces, |f| f.density * f.enthalpy.heat_solid) / conductivity;
        let melting_point = pair(faces, |f| f.enthalpy.melting_point);
        let depth = pair(faces, |f| f.depth);
        let cold = conductivity * (pair(faces, |f| f.enthalpy.start) - melting_point);
        let mut cells = std::array::from_fn(|i| Cell {
            share: share(i),
            theta: cold,
            content: Book {
                now: cold * capacity * share(i) * depth,
                before: cold * capacity * share(i) * depth,
            },
            ..Cell::default()
        });
        lay_out(&mut cells, capacity);
        Solid {
            cells,
            capacity,
            conductivity,
            melting_point,
        }
    }

    /// Meshes one body anew with a first cell thinner by `finer`, after which nothing of the step before is
    /// known.
    pub fn refine(&mut self, lane: usize, finer: f64) {
        let from: [f64; N] = std::array::from_fn(|i| self.cells[i].share.to_array()[lane]);
        let content = std::array::from_fn(|i| self.cells[i].content.now.to_array()[lane]);
        let to = widths::<N>(1.0, from[0] / finer, 2);
        let content = remesh(content, from, to);
        let put = |lanes: &mut Lanes, value: f64| {
            let mut both = lanes.to_array();
            both[lane] = value;
            *lanes = f64x2::from(both);
        };
        for (i, c) in self.cells.iter_mut().enumerate() {
            put(&mut c.share, to[i]);
            put(&mut c.content.now, content[i]);
            put(&mut c.content.before, content[i]);
        }
        lay_out(&mut self.cells, self.capacity);
    }

    /// Opens a step.
    pub fn start(&mut self, carry: f64) {
        for c in &mut self.cells {
            c.start = c.content.start(carry);
        }
    }

    /// Begins to eliminate the cells from the back, for the length at the step's end \[m\], the front's
    /// speed \[m/s\] and 1/β \[1/s\].
    #[inline(always)]
    pub fn eliminate(&mut self, length: Lanes, speed: Lanes, inverse: f64) -> Elimination<'_, N> {
        Elimination {
            per_length: 1.0 / length,
            capacity: length * self.capacity * inverse,
            cells: &mut self.cells,
            speed,
            inverse,
            left: N - 1,
            admittance: f64x2::ZERO,
            offset: f64x2::ZERO,
            pivot: f64x2::ONE,
        }
    }

    /// Closes the step: θ of the first cell gives all others and their contents.
    pub fn substitute(&mut self, length: Lanes, first: Lanes) {
        let mut theta = first;
        let per = length * self.capacity;
        for (i, c) in self.cells.iter_mut().enumerate() {
            if i > 0 {
                theta = c.weight * theta + c.load;
            }
            c.theta = theta;
            c.content.put(c.share * per * theta);
        }
    }

    /// Sum of all contents \[J/m²\].
    pub fn content(&self) -> Lanes {
        self.cells
            .iter()
            .fold(f64x2::ZERO, |sum, c| sum + c.content.now)
    }

    /// Temperature \[K\] of a body at the distance `x` \[m\] behind its front, where θ is `rim`.
    pub fn temperature_at(&self, lane: usize, x: f64, length: f64, rim: f64) -> f64 {
        let (mut at, mut theta) = (0.0, rim);
        let mut border = 0.0;
        for c in &self.cells {
            let width = c.share.to_array()[lane] * length;
            let (middle, own) = (border + 0.5 * width, c.theta.to_array()[lane]);
            if x <= middle {
                theta += (own - theta) * (x - at) / (middle - at);
                return self.temperature(lane, theta);
            }
            (at, theta) = (middle, own);
            border += width;
        }
        self.temperature(lane, theta)
    }

    fn temperature(&self, lane: usize, theta: f64) -> f64 {
        self.melting_point.to_array()[lane] + theta / self.conductivity.to_array()[lane]
    }

    /// Temperature of the cell at a body's back \[K\].
    pub fn back(&self, lane: usize) -> f64 {
        self.temperature(lane, self.cells[N - 1].theta.to_array()[lane])
    }

    /// Lowest and highest temperature of a body's cells \[K\].
    pub fn span(&self, lane: usize) -> (f64, f64) {
        let (low, high) = self
            .cells
            .iter()
            .fold((f64::MAX, f64::MIN), |(low, high), c| {
                let theta = c.theta.to_array()[lane];
                (low.min(theta), high.max(theta))
            });
        (self.temperature(lane, low), self.temperature(lane, high))
    }
}
