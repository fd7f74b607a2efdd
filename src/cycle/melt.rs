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
//! Solving ODEs II (BDF2 with variable steps).

#![allow(clippy::needless_range_loop)] // cells and lanes of several arrays go together

use super::mesh::{Resolution, widths};
use super::rig::Face;

/// Most corrections of the cells' states in a step.
const MOST_ROUNDS: usize = 20;

type Lanes = [f64; 2];

/// What the faces exchange during a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Boundary {
    /// Heat from the arc up to the end of the step into each face [J/m²].
    Heated(Lanes),
    /// The faces conduct into each other.
    Contact,
}

/// Two bodies with their enthalpies, and the heat books of their faces.
#[derive(Debug, Clone)]
pub struct Bodies<const M: usize> {
    faces: [Face; 2],
    width: [Lanes; M],
    /// Mass of each cell over the area [kg/m²].
    mass: [Lanes; M],
    potential: [Potential; 2],
    /// Enthalpy above 20 °C [J/kg]: now, and one step before.
    h: [Lanes; M],
    before: [Lanes; M],
    /// Conductance between a cell and the next one over its conductivity [1/m].
    link: [Lanes; M],
    /// State of each cell: dh/dθ and the enthalpy at θ = 0; a melting cell is one that takes up any
    /// heat at θ = 0.
    per: [Lanes; M],
    zero: [Lanes; M],
    step_before: f64,
    heat: Book,
    vapour: Book,
    /// From the stud into the sheet.
    across: [f64; 2],
    /// Temperatures of the faces after the last step [K].
    face_temperature: Lanes,
    /// Rounds and steps done.
    pub rounds: u64,
    pub steps: u64,
}

/// A cumulated heat of both faces [J/m²]: now, and one step before.
#[derive(Debug, Clone, Copy, Default)]
struct Book {
    now: Lanes,
    before: Lanes,
}

impl<const M: usize> Bodies<M> {
    /// Two cold bodies meshed for an arc of the length `arc_time` [s].
    pub fn new(faces: &[Face; 2], arc_time: f64, resolution: &Resolution) -> Self {
        let mut width = [[0.0; 2]; M];
        for (l, f) in faces.iter().enumerate() {
            let diffusivity = f.conductivity[0] / (f.density * f.enthalpy.heat_solid);
            let first = resolution.first_cell * (diffusivity * arc_time).sqrt();
            let column: [f64; M] = widths(f.depth, first, resolution.even_cells);
            for (w, c) in width.iter_mut().zip(column) {
                w[l] = c;
            }
        }
        let mass = width.map(|w| [w[0] * faces[0].density, w[1] * faces[1].density]);
        let mut link = [[0.0; 2]; M];
        for i in 0..M - 1 {
            for l in 0..2 {
                link[i][l] = 2.0 / (width[i][l] + width[i + 1][l]);
            }
        }
        Bodies {
            faces: *faces,
            width,
            mass,
            potential: faces.map(|f| Potential::new(&f)),
            h: [[0.0; 2]; M],
            before: [[0.0; 2]; M],
            link,
            per: [[0.0; 2]; M],
            zero: [[0.0; 2]; M],
            step_before: 0.0,
            heat: Book::default(),
            vapour: Book::default(),
            across: [0.0; 2],
            face_temperature: [crate::physics::ROOM; 2],
            rounds: 0,
            steps: 0,
        }
    }

    /// Forgets the step before: the next one is backward Euler, as after a jump it must be.
    pub fn restart(&mut self) {
        self.step_before = 0.0;
        self.heat.before = self.heat.now;
    }

    /// Melt depth on each face [m]; partly molten cells count by their share of latent heat.
    pub fn melt(&self) -> Lanes {
        let mut out = [0.0; 2];
        for i in 0..M {
            for l in 0..2 {
                out[l] += self.width[i][l] * self.potential[l].melt_share(self.h[i][l]);
            }
        }
        out
    }

    /// Heat of vapour that has left each face [J/m²].
    pub fn vapour(&self) -> Lanes {
        self.vapour.now
    }

    /// Heat in, less enthalpy, vapour and exchange, over the heat in, the worse of both faces.
    pub fn imbalance(&self) -> f64 {
        let mut worst = 0.0_f64;
        for l in 0..2 {
            let held: f64 = (0..M).map(|i| self.h[i][l] * self.mass[i][l]).sum();
            let out = if l == 0 {
                self.across[0]
            } else {
                -self.across[0]
            };
            let heat = self.heat.now[l];
            if heat > 0.0 {
                worst = worst.max(((heat - held - self.vapour.now[l] - out) / heat).abs());
            }
        }
        worst
    }

    /// Temperature of the joint (the faces' mean) [K].
    pub fn joint_temperature(&self) -> f64 {
        0.5 * (self.face_temperature[0] + self.face_temperature[1])
    }

    /// Enthalpy of the cell closest to melting above the solidus, over the heat of fusion: positive
    /// while there is melt, negative after.
    pub fn molten_margin(&self) -> f64 {
        let mut out = f64::NEG_INFINITY;
        for l in 0..2 {
            let e = &self.faces[l].enthalpy;
            let hottest = self
                .h
                .iter()
                .map(|h| h[l])
                .fold(f64::NEG_INFINITY, f64::max);
            out = out.max((hottest - e.solidus) / (e.liquidus - e.solidus));
        }
        out
    }

    /// Temperature of the sheet's back face [K].
    pub fn back_temperature(&self) -> f64 {
        self.faces[1].enthalpy.temperature(self.h[M - 1][1])
    }

    /// Takes one step of `dt` [s].
    pub fn step(&mut self, dt: f64, boundary: Boundary) {
        let r = if self.step_before > 0.0 {
            dt / self.step_before
        } else {
            0.0
        };
        let carry = r * r / (1.0 + 2.0 * r);
        let beta = (1.0 + r) / (1.0 + 2.0 * r) * dt;
        let mut start = [[0.0; 2]; M];
        for i in 0..M {
            for l in 0..2 {
                let change = self.h[i][l] - self.before[i][l];
                start[i][l] = self.h[i][l] + carry * change;
                (self.per[i][l], self.zero[i][l]) =
                    self.potential[l].state(self.h[i][l] + r * change);
            }
        }
        self.before = self.h;
        let flux = self.mean_flux(carry, beta, boundary);
        let (mut into, mut through) = ([0.0; 2], 0.0);
        for _ in 0..MOST_ROUNDS {
            self.rounds += 1;
            let changed;
            (into, through, changed) = self.solve(beta, &start, flux);
            if !changed {
                break;
            }
        }
        for l in 0..2 {
            let vapour = flux.map_or(0.0, |f| f[l] - into[l]);
            advance(
                &mut self.vapour.now[l],
                &mut self.vapour.before[l],
                carry,
                beta * vapour,
            );
        }
        let [now, before] = &mut self.across;
        advance(now, before, carry, beta * through);
        self.step_before = dt;
        self.steps += 1;
    }

    /// Flux that brings the books of heat to the end of the step, or `None` in contact [W/m²].
    fn mean_flux(&mut self, carry: f64, beta: f64, boundary: Boundary) -> Option<Lanes> {
        let Boundary::Heated(end) = boundary else {
            debug_assert!(carry == 0.0 || self.heat.now == self.heat.before);
            return None;
        };
        let mut out = [0.0; 2];
        for l in 0..2 {
            let (now, before) = (self.heat.now[l], self.heat.before[l]);
            out[l] = (end[l] - now - carry * (now - before)) / beta;
            self.heat.before[l] = now;
            self.heat.now[l] = end[l];
        }
        Some(out)
    }

    /// Solves the linear system of the present states; returns the flux that went into each face,
    /// the flux through the joint [W/m²], and whether a cell turned out to be in another state.
    fn solve(&mut self, beta: f64, start: &[Lanes; M], flux: Option<Lanes>) -> (Lanes, f64, bool) {
        let inverse = 1.0 / beta;
        // Flux into the cells behind: admittance · θ − offset, for the potential θ before them.
        let mut admittance = [0.0; 2];
        let mut offset = [0.0; 2];
        let mut weight = [[0.0; 2]; M];
        let mut load = [[0.0; 2]; M];
        for i in (1..M).rev() {
            for l in 0..2 {
                let g = self.link[i - 1][l];
                let capacity = self.mass[i][l] * inverse;
                let sum = capacity * self.per[i][l] + admittance[l];
                let source = capacity * (start[i][l] - self.zero[i][l]) + offset[l];
                let d = 1.0 / (g + sum);
                weight[i][l] = g * d;
                load[i][l] = source * d;
                admittance[l] = g * sum * d;
                offset[l] = g * load[i][l];
            }
        }
        let (theta, into, through) = self.solve_faces(inverse, start, flux, admittance, offset);
        let entering = [into[0] - through, into[1] + through];
        let changed = self.substitute(beta, start, theta, entering, &weight, &load);
        (into, through, changed)
    }

    /// The last equation: potentials of the face cells, fluxes into the faces and through the joint.
    fn solve_faces(
        &mut self,
        inverse: f64,
        start: &[Lanes; M],
        flux: Option<Lanes>,
        admittance: Lanes,
        offset: Lanes,
    ) -> (Lanes, Lanes, f64) {
        // θ of a face cell = (source + flux in)·ease; a melting one stays at zero.
        let mut ease = [0.0; 2];
        let mut source = [0.0; 2];
        let mut conductivity = [0.0; 2];
        for l in 0..2 {
            conductivity[l] = self.potential[l].conductivity(self.h[0][l]);
            let capacity = self.mass[0][l] * inverse;
            ease[l] = 1.0 / (capacity * self.per[0][l] + admittance[l]);
            source[l] = capacity * (start[0][l] - self.zero[0][l]) + offset[l];
        }
        let half: Lanes = std::array::from_fn(|l| 0.5 * self.width[0][l]);
        let Some(flux) = flux else {
            let [a, b] = [0, 1].map(|l| source[l] * ease[l] / conductivity[l]);
            let jump = self.faces[0].enthalpy.melting_point - self.faces[1].enthalpy.melting_point;
            let resistance = half[0] / conductivity[0]
                + half[1] / conductivity[1]
                + ease[0] / conductivity[0]
                + ease[1] / conductivity[1];
            let through = (jump + a - b) / resistance;
            let theta = [
                (source[0] - through) * ease[0],
                (source[1] + through) * ease[1],
            ];
            let hot = self.faces[0].enthalpy.melting_point + theta[0] / conductivity[0]
                - through * half[0] / conductivity[0];
            self.face_temperature = [hot; 2];
            return (theta, [0.0; 2], through);
        };
        let mut theta = [0.0; 2];
        let mut into = flux;
        for l in 0..2 {
            let limit = 1.0 / half[l];
            let boiling = self.potential[l].boiling;
            theta[l] = (source[l] + flux[l]) * ease[l];
            if flux[l] > (boiling - theta[l]) * limit {
                // The face boils: it holds the boiling point, and half a cell leads the heat in.
                theta[l] = (source[l] + limit * boiling) * ease[l] / (1.0 + limit * ease[l]);
                into[l] = limit * (boiling - theta[l]);
            }
            self.face_temperature[l] = self.faces[l].enthalpy.melting_point
                + (theta[l] + into[l] * half[l]) / conductivity[l];
        }
        (theta, into, 0.0)
    }

    /// Back substitution from the faces into the bodies; true if a cell changed its state.
    fn substitute(
        &mut self,
        beta: f64,
        start: &[Lanes; M],
        face: Lanes,
        entering: Lanes,
        weight: &[Lanes; M],
        load: &[Lanes; M],
    ) -> bool {
        let mut theta = face;
        let mut entering = entering;
        let mut changed = false;
        for i in 0..M {
            let mut next = [0.0; 2];
            let mut leaving = [0.0; 2];
            if i + 1 < M {
                for l in 0..2 {
                    next[l] = weight[i + 1][l] * theta[l] + load[i + 1][l];
                    leaving[l] = self.link[i][l] * (theta[l] - next[l]);
                }
            }
            for l in 0..2 {
                let per = self.per[i][l];
                let h = if per < MELTING {
                    self.zero[i][l] + theta[l] * per
                } else {
                    start[i][l] + beta * (entering[l] - leaving[l]) / self.mass[i][l]
                };
                self.h[i][l] = h;
                let (now, zero) = self.potential[l].state(h);
                changed |= now != per;
                self.per[i][l] = now;
                self.zero[i][l] = zero;
            }
            entering = leaving;
            theta = next;
        }
        changed
    }
}

/// now ← now + carry·(now − before) + add.
fn advance(now: &mut f64, before: &mut f64, carry: f64, add: f64) {
    let next = *now + carry * (*now - *before) + add;
    *before = *now;
    *now = next;
}

/// dh/dθ of a melting cell [J·m/(kg·W)]: so large that its θ stays at zero to the last digit.
const MELTING: f64 = 1e100;

/// Kirchhoff's potential θ = ∫k dT from the melting point [W/m], linear in h in each state.
#[derive(Debug, Clone, Copy)]
struct Potential {
    solidus: f64,
    liquidus: f64,
    /// dh/dθ, solid and molten.
    per: [f64; 2],
    boiling: f64,
    conductivity: [f64; 2],
    /// One over the heat of fusion.
    fusion: f64,
}

impl Potential {
    fn new(f: &Face) -> Self {
        let e = &f.enthalpy;
        let [solid, molten] = f.conductivity;
        Potential {
            solidus: e.solidus,
            liquidus: e.liquidus,
            per: [e.heat_solid / solid, e.heat_liquid / molten],
            boiling: molten * (f.boiling_point - e.melting_point),
            conductivity: f.conductivity,
            fusion: 1.0 / (e.liquidus - e.solidus),
        }
    }

    /// dh/dθ and the enthalpy at θ = 0 of the state that belongs to the enthalpy `h`.
    fn state(&self, h: f64) -> (f64, f64) {
        if h < self.solidus {
            (self.per[0], self.solidus)
        } else if h > self.liquidus {
            (self.per[1], self.liquidus)
        } else {
            (MELTING, self.liquidus)
        }
    }

    fn melt_share(&self, h: f64) -> f64 {
        ((h - self.solidus) * self.fusion).clamp(0.0, 1.0)
    }

    /// Conductivity at the enthalpy `h` [W/(m·K)], mixed by the share of melt.
    fn conductivity(&self, h: f64) -> f64 {
        let [solid, molten] = self.conductivity;
        solid + (molten - solid) * self.melt_share(h)
    }
}
