//! Heat in both bodies: conduction with melting, boiling at the faces, contact after touchdown.
//!
//! One-dimensional enthalpy method on two bodies side by side (lane 0 the stud, lane 1 the sheet),
//! implicit in time by BDF2 with variable steps (the first step after a jump is backward Euler).
//! Within a step each cell is solid, melting or molten, and the system is then linear; the cells'
//! states are corrected until they agree with the solution. Elimination runs from the insulated end
//! to the face, so a prescribed flux, a boiling face and two faces in contact differ in the last
//! equation only.
//!
//! Heat put in is given as the exact integral of the arc's power, and the scheme is written in
//! increments of it, so that enthalpy + vapour + exchange equals heat to rounding.
//! Voller & Cross, Int. J. Heat Mass Transfer 24 (1981) 545 (enthalpy method); Hairer & Wanner,
//! Solving ODEs II (BDF2 with variable steps); Júdice & Pires, Computers Oper. Res. 21 (1994) 587 (states
//! corrected together, then one at a time; from memory).

use std::convert::Infallible;

use wide::{CmpGe, CmpGt, CmpLt, CmpNe, f64x2};

use super::heat_solver::{Boundary, HeatSolver};
use super::mesh::{Resolution, widths};
use super::potential::{MELTING, Potential};
use super::rig::Face;
use super::simd::{Book, Lanes, bdf2, imbalance, pair};
use crate::physics::ROOM;

/// Most corrections of the cells' states in a step.
const MOST_ROUNDS: usize = 200;

/// Corrections in which all cells change that should; two or three are the rule. Cells that freeze and melt in
/// turn for longer than this change one at a time.
const TOGETHER: usize = 8;

/// Most times a step is halved whose cells still do not settle.
const MOST_HALVINGS: u32 = 10;

/// Cells after which the elimination's ratio is brought back to order 1.
const RESCALE: usize = 8;

/// Two bodies with their enthalpies, and the heat balances of their faces.
#[derive(Debug, Clone)]
pub struct Bodies<const M: usize> {
    faces: [Face; 2],
    potential: Potential,
    cells: [Cell; M],
    step_before: f64,
    heat: Book,
    vapour: Book,
    /// From the stud into the sheet.
    across: Book,
    /// Temperatures of the faces after the last step \[K\].
    face_temperature: [f64; 2],
    /// Rounds done.
    pub rounds: u64,
    /// Steps done.
    pub steps: u64,
    /// Steps after whose rounds cells still changed their states.
    pub unsettled: u64,
}

/// One cell of each body.
#[derive(Debug, Clone, Copy)]
struct Cell {
    width: Lanes,
    /// Mass over the area \[kg/m²\], and its inverse.
    mass: Lanes,
    massless: Lanes,
    /// Distance from the middle to the next cell's \[m\], and its inverse.
    gap: Lanes,
    link: Lanes,
    /// Enthalpy above 20 °C \[J/kg\]: now, one step before, and where the step starts from.
    h: Lanes,
    before: Lanes,
    start: Lanes,
    /// State: dh/dθ and the enthalpy at θ = 0; a melting cell takes up any heat at θ = 0.
    per: Lanes,
    zero: Lanes,
    /// θ = weight · θ of the cell before + load.
    weight: Lanes,
    load: Lanes,
}

impl<const M: usize> Bodies<M> {
    /// Two cold bodies meshed for an arc of the length `arc_time` \[s\].
    pub fn new(faces: &[Face; 2], arc_time: f64, resolution: &Resolution) -> Self {
        let columns: [[f64; M]; 2] = faces.map(|f| {
            let diffusivity = f.conductivity[0] / (f.density * f.enthalpy.heat_solid);
            let first = resolution.first_cell * (diffusivity * arc_time).sqrt();
            widths(f.depth, first, resolution.even_cells(M))
        });
        let density = pair(faces, |f| f.density);
        let potential = Potential::new(faces);
        let (per, zero) = potential.state(f64x2::ZERO);
        let width = |i: usize| f64x2::from([columns[0][i], columns[1][i]]);
        let cells = std::array::from_fn(|i| {
            let gap = 0.5 * (width(i) + width((i + 1).min(M - 1)));
            let mass = width(i) * density;
            Cell {
                width: width(i),
                mass,
                massless: 1.0 / mass,
                gap,
                link: if i + 1 < M { 1.0 / gap } else { f64x2::ZERO },
                h: f64x2::ZERO,
                before: f64x2::ZERO,
                start: f64x2::ZERO,
                per,
                zero,
                weight: f64x2::ZERO,
                load: f64x2::ZERO,
            }
        });
        Bodies {
            faces: *faces,
            potential,
            cells,
            step_before: 0.0,
            heat: Book::default(),
            vapour: Book::default(),
            across: Book::default(),
            face_temperature: faces.map(|f| f.enthalpy.start),
            rounds: 0,
            steps: 0,
            unsettled: 0,
        }
    }

    /// Takes one step of `dt` \[s\]; this scheme covers everything.
    pub fn advance(&mut self, dt: f64, boundary: Boundary) {
        self.advance_in_parts(dt, boundary, MOST_HALVINGS);
    }

    /// One step, or two of half its length where the cells do not settle on their states.
    fn advance_in_parts(&mut self, dt: f64, boundary: Boundary, halvings: u32) {
        let heat = self.heat;
        if self.attempt(dt, boundary, halvings == 0) {
            return;
        }
        // Back to where the step began, as after a jump.
        self.heat = heat;
        self.step_before = 0.0;
        for c in &mut self.cells {
            c.h = c.before;
        }
        let middle = match boundary {
            Boundary::Heated(end) => {
                Boundary::Heated((0.5 * (heat.now + f64x2::from(end))).to_array())
            }
            Boundary::Contact => Boundary::Contact,
        };
        for part in [middle, boundary] {
            self.advance_in_parts(0.5 * dt, part, halvings - 1);
        }
    }

    /// Tries a step of `dt` \[s\]; false if the cells have not settled on their states, unless that is to be
    /// taken all the same.
    fn attempt(&mut self, dt: f64, boundary: Boundary, last: bool) -> bool {
        let r = if self.step_before > 0.0 {
            dt / self.step_before
        } else {
            0.0
        };
        let (carry, beta) = bdf2(dt, self.step_before);
        for c in &mut self.cells {
            let change = c.h - c.before;
            c.start = c.h + change * carry;
            (c.per, c.zero) = self.potential.state(c.h + change * r);
            c.before = c.h;
        }
        let flux = self.mean_flux(carry, beta, boundary);
        let (mut into, mut through, mut changed) = (f64x2::ZERO, 0.0, true);
        for round in 0..MOST_ROUNDS {
            self.rounds += 1;
            (into, through, changed) = self.solve(beta, flux, round >= TOGETHER);
            if !changed {
                break;
            }
        }
        if changed && !last {
            return false;
        }
        self.unsettled += u64::from(changed);
        let vapour = flux.map_or(f64x2::ZERO, |f| f - into);
        self.vapour.advance(carry, vapour * beta);
        self.across.advance(carry, f64x2::splat(through * beta));
        self.step_before = dt;
        self.steps += 1;
        true
    }

    /// Flux that brings the heat balance to the end of the step, or `None` in contact \[W/m²\].
    fn mean_flux(&mut self, carry: f64, beta: f64, boundary: Boundary) -> Option<Lanes> {
        let Boundary::Heated(end) = boundary else {
            return None;
        };
        let end = f64x2::from(end);
        let flux = (end - self.heat.start(carry)) * (1.0 / beta);
        self.heat.put(end);
        Some(flux)
    }

    /// Solves the linear system of the present states; returns the flux that went into each face,
    /// the flux through the joint \[W/m²\], and whether a cell turned out to be in another state. Of those
    /// only the first of each body takes it where they are corrected `singly`.
    fn solve(&mut self, beta: f64, flux: Option<Lanes>, singly: bool) -> (Lanes, f64, bool) {
        let inverse = 1.0 / beta;
        // Flux into the cells behind: admittance · θ − offset, for the potential θ before them. The
        // admittance is kept as a ratio, so that no division waits for the one before.
        let (mut over, mut under) = (f64x2::ZERO, f64x2::ONE);
        let mut offset = f64x2::ZERO;
        for i in (1..M).rev() {
            let (link, gap) = (self.cells[i - 1].link, self.cells[i - 1].gap);
            let c = &mut self.cells[i];
            let capacity = c.mass * inverse;
            let source = capacity * (c.start - c.zero) + offset;
            let sum = capacity * c.per * under + over;
            let next = under + sum * gap;
            let ease = under * gap / next;
            c.load = source * ease;
            c.weight = link * ease;
            offset = link * c.load;
            (over, under) = (sum, next);
            if i % RESCALE == 0 {
                over /= under;
                under = f64x2::ONE;
            }
        }
        let (theta, into, through) = self.solve_faces(inverse, flux, over / under, offset);
        let entering = into + f64x2::from([-through, through]);
        let changed = self.substitute(beta, theta, entering, singly);
        (into, through, changed)
    }

    /// The last equation: potentials of the face cells, fluxes into the faces and through the joint.
    fn solve_faces(
        &mut self,
        inverse: f64,
        flux: Option<Lanes>,
        admittance: Lanes,
        offset: Lanes,
    ) -> (Lanes, Lanes, f64) {
        // θ of a face cell = (source + flux in)·ease.
        let c = &self.cells[0];
        let capacity = c.mass * inverse;
        let ease = 1.0 / (capacity * c.per + admittance);
        let source = capacity * (c.start - c.zero) + offset;
        let per_kelvin = 1.0 / self.potential.conductivity(c.h);
        let half = 0.5 * c.width;
        let melting_point = pair(&self.faces, |f| f.enthalpy.melting_point);
        let Some(flux) = flux else {
            let [stud, sheet] = (melting_point + source * ease * per_kelvin).to_array();
            let resistance = ((half + ease) * per_kelvin).reduce_add();
            let through = (stud - sheet) / resistance;
            let theta = (source + f64x2::from([-through, through])) * ease;
            let [stud, _] = (melting_point + (theta - through * half) * per_kelvin).to_array();
            self.face_temperature = [stud; 2];
            return (theta, f64x2::ZERO, through);
        };
        // A boiling face holds the boiling point, and half a cell leads the heat in.
        let limit = 1.0 / half;
        let boiling = self.potential.boiling;
        let free = (source + flux) * ease;
        let held = (source + limit * boiling) * ease / (1.0 + limit * ease);
        let boils = flux.cmp_gt((boiling - free) * limit);
        let theta = boils.blend(held, free);
        let into = boils.blend(limit * (boiling - held), flux);
        self.face_temperature = (melting_point + (theta + into * half) * per_kelvin).to_array();
        (theta, into, 0.0)
    }

    /// Back substitution from the faces into the bodies; true if a cell changed its state.
    fn substitute(&mut self, beta: f64, face: Lanes, mut entering: Lanes, singly: bool) -> bool {
        let mut theta = face;
        let mut changed = f64x2::ZERO;
        let melting = f64x2::splat(MELTING);
        for i in 0..M {
            let (weight, load) = if i + 1 < M {
                (self.cells[i + 1].weight, self.cells[i + 1].load)
            } else {
                (f64x2::ZERO, f64x2::ZERO)
            };
            let c = &mut self.cells[i];
            let next = weight * theta + load;
            let leaving = c.link * (theta - next);
            let balance = c.start + (entering - leaving) * c.massless * beta;
            c.h = c.per.cmp_ge(melting).blend(balance, c.zero + theta * c.per);
            let (per, zero) = self.potential.state(c.h);
            let mut differs = per.cmp_ne(c.per);
            if differs.any() {
                differs &= !self.potential.at_the_edge(c.h, c.per, c.zero);
                if singly {
                    differs &= !changed;
                }
                changed |= differs;
                c.per = differs.blend(per, c.per);
                c.zero = differs.blend(zero, c.zero);
            }
            entering = leaving;
            theta = next;
        }
        changed.any()
    }
}

impl<const M: usize> HeatSolver for Bodies<M> {
    /// It covers everything.
    type Uncovered = Infallible;

    fn step(&mut self, dt: f64, boundary: Boundary) -> Result<(), Infallible> {
        self.advance(dt, boundary);
        Ok(())
    }

    fn restart(&mut self) {
        self.step_before = 0.0;
    }

    fn melt(&self) -> [f64; 2] {
        let mut out = f64x2::ZERO;
        for c in &self.cells {
            out += c.width * self.potential.melt_share(c.h);
        }
        out.to_array()
    }

    fn vapour(&self) -> [f64; 2] {
        self.vapour.now.to_array()
    }

    fn imbalance(&self) -> f64 {
        let mut held = f64x2::ZERO;
        for c in &self.cells {
            held += c.h * c.mass;
        }
        let out = self.across.now * f64x2::from([1.0, -1.0]);
        imbalance(&self.faces, self.heat.now, held + self.vapour.now, out)
    }

    /// Enthalpy of the cell closest to melting above the solidus, over the heat of fusion: positive
    /// while there is melt, negative after.
    fn molten_margin(&self) -> f64 {
        let hottest = self
            .cells
            .iter()
            .fold(f64x2::splat(f64::MIN), |a, c| a.fast_max(c.h));
        let [a, b] = ((hottest - self.potential.solidus) * self.potential.fusion).to_array();
        a.max(b)
    }

    /// Whether each body has one temperature throughout, to a ten thousandth.
    fn is_even(&self) -> bool {
        let above = pair(&self.faces, |f| f.enthalpy.melting_point - ROOM);
        let first = self.potential.excess(self.cells[0].h);
        let (low, high) = self.cells.iter().fold((first, first), |(low, high), c| {
            let t = self.potential.excess(c.h);
            (low.fast_min(t), high.fast_max(t))
        });
        (high - low).cmp_lt((high + above).abs() * 1e-4).all()
    }

    fn face_temperatures(&self) -> [f64; 2] {
        self.face_temperature
    }

    fn joint_temperature(&self) -> f64 {
        0.5 * (self.face_temperature[0] + self.face_temperature[1])
    }

    fn back_temperature(&self) -> f64 {
        self.faces[1]
            .enthalpy
            .temperature(self.cells[M - 1].h.to_array()[1])
    }

    fn fitting_step(&self, dt: f64) -> f64 {
        dt
    }

    fn work(&self) -> [u64; 2] {
        [self.steps, self.rounds]
    }

    fn unsettled(&self) -> u64 {
        self.unsettled
    }
}
