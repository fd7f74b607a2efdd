//! Heat in both bodies by following the melting fronts: the fast method for the usual case.
//!
//! Each body is solid behind its front and, once the face has reached the melting point, molten
//! before it; both parts are meshed anew by stretching as the front moves, and heat moves with the
//! mesh (conservative ALE finite volumes). The front's place at a step's end is found by a secant on
//! its Stefan condition. Two films of one metal in contact are a single slab between two fronts,
//! which shrinks to nothing: then the joint is frozen and two solids are left. Two metals in contact keep
//! their own layers, as `layers` says. Time steps are BDF2 as in the enthalpy method.
//!
//! What this does not cover ([`Uncovered`]) is left to the enthalpy method: melt near the back, one metal
//! molten on one face only at touchdown, and a body that melts again behind a crust.
//! Crank, Free and Moving Boundary Problems (1984), ch. 5 (front-fixing methods); from memory.

mod contact;
mod figures;
mod film;
mod layers;
mod solid;
mod solve;

use nalgebra::Matrix4;
use wide::{CmpGt, f64x2};

use super::mesh::Resolution;
use super::rig::Face;
use super::simd::{Book, Lanes, pair};
use crate::physics::ROOM;
use film::Film;
use layers::{Joint, Layers};
use solid::Solid;

/// A case that the fronts do not cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Uncovered;

/// Least share of the slab that either film has at touchdown.
const LEAST_SHARE: f64 = 0.1;

/// Cells at a solid face under the arc over those with which it meets another metal's melt.
const FINER: f64 = 8.0;

/// Share of a body's depth its front may reach.
const DEEPEST: f64 = 0.9;

/// What lies between the bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Both faces are open; each has its own film or none.
    Open,
    /// One slab of melt between two fronts.
    Slab,
    /// Solid joins solid where the slab froze.
    Joined,
    /// Two metals, each in layers of its own.
    Layered,
}

/// Both bodies, and the heat balances of their faces.
#[derive(Debug, Clone)]
pub(super) struct Fronts<const N: usize, const K: usize> {
    faces: [Face; 2],
    law: Law,
    stage: Stage,
    solid: Solid<N>,
    film: Film<K>,
    /// Front behind the face, and width of the film \[m\].
    front: Book,
    width: Book,
    /// Speed of the front at the end of the last step and of the one before \[m/s\].
    speed: Book,
    /// Which bodies have melt (lane masks).
    molten: Lanes,
    /// Share of the slab in each body's half of the mesh; largest slab \[m\].
    share: Lanes,
    largest: f64,
    /// Rate of the net flux into the front with its place, from the last secant \[W/m³\].
    stiffness: Book,
    joint: Joint<K>,
    trial: Trial,
    step_before: f64,
    heat: Book,
    vapour: Book,
    across: Book,
    pub rounds: u64,
    pub steps: u64,
}

/// Constants of the metals.
#[derive(Debug, Clone, Copy)]
struct Law {
    depth: Lanes,
    /// Heat of fusion, enthalpy at the start, of solid and of melt at the melting point, above 20 °C as melt may move
    /// from one body to the other \[J/m³\].
    fusion: Lanes,
    warmth: Lanes,
    solidus: Lanes,
    liquidus: Lanes,
    /// θ of the melt at the boiling point \[W/m\].
    boiling: Lanes,
    melting_point: Lanes,
    per_conductivity: [Lanes; 2],
    /// Scale of the depth heat reaches during the arc \[m\].
    reach: Lanes,
}

/// What the last solve found.
#[derive(Debug, Clone, Copy, Default)]
struct Trial {
    /// θ of the solid's first cell and of its rim.
    first: Lanes,
    rim: Lanes,
    /// Flux that went into each open face \[W/m²\], and temperature of the faces \[K\].
    into: Lanes,
    face: Lanes,
    /// What the Stefan condition of each front lacks \[W/m²\].
    excess: Lanes,
    /// Flux from the stud into the sheet, melt that moves with the mesh included \[W/m²\].
    through: f64,
}

impl<const N: usize, const K: usize> Fronts<N, K> {
    /// Two cold bodies meshed for an arc of the length `arc_time` \[s\].
    pub fn new(faces: &[Face; 2], arc_time: f64, resolution: &Resolution) -> Self {
        let reach = faces
            .map(|f| (f.conductivity[0] / (f.density * f.enthalpy.heat_solid) * arc_time).sqrt());
        let law = Law {
            depth: pair(faces, |f| f.depth),
            fusion: pair(faces, |f| {
                f.density * (f.enthalpy.liquidus - f.enthalpy.solidus)
            }),
            warmth: pair(faces, |f| {
                f.density * f.enthalpy.heat_solid * (f.enthalpy.start - ROOM)
            }),
            solidus: pair(faces, |f| f.density * f.enthalpy.started_at(ROOM).solidus),
            liquidus: pair(faces, |f| f.density * f.enthalpy.started_at(ROOM).liquidus),
            boiling: pair(faces, |f| {
                f.conductivity[1] * (f.boiling_point - f.enthalpy.melting_point)
            }),
            melting_point: pair(faces, |f| f.enthalpy.melting_point),
            per_conductivity: [0, 1].map(|state| pair(faces, |f| 1.0 / f.conductivity[state])),
            reach: f64x2::from(reach),
        };
        let capacity = pair(faces, |f| {
            f.density * f.enthalpy.heat_liquid / f.conductivity[1]
        });
        Fronts {
            faces: *faces,
            law,
            stage: Stage::Open,
            solid: Solid::new(
                faces,
                reach.map(|r| r * resolution.first_cell),
                resolution.even_cells(N).max(2),
            ),
            film: Film::new(capacity),
            front: Book::default(),
            width: Book::default(),
            speed: Book::default(),
            molten: f64x2::ZERO,
            share: f64x2::ZERO,
            largest: 0.0,
            stiffness: Book::default(),
            joint: Joint::new(pair(faces, |f| {
                f.density * f.enthalpy.heat_solid / f.conductivity[0]
            })),
            trial: Trial {
                face: pair(faces, |f| f.enthalpy.start),
                ..Trial::default()
            },
            step_before: 0.0,
            heat: Book::default(),
            vapour: Book::default(),
            across: Book::default(),
            rounds: 0,
            steps: 0,
        }
    }

    fn slab(&self) -> f64 {
        self.front.now.reduce_add()
    }

    /// Whether the bodies differ in more than their depth and where they start.
    fn unlike(&self) -> bool {
        let [a, b] = self.faces;
        a != Face {
            depth: a.depth,
            enthalpy: b.enthalpy.started_at(a.enthalpy.start),
            ..b
        }
    }

    /// Two metals touch: a face without melt takes the jump in fine cells.
    fn begin_layers(&mut self) {
        self.stage = Stage::Layered;
        for (lane, molten) in self.molten.to_array().into_iter().enumerate() {
            if molten.to_bits() == 0 {
                self.solid.refine(lane, FINER);
            } else {
                self.joint.layers[lane] = Layers::Film;
            }
        }
        self.joint.widest = self.width.now;
        let [stud, sheet] = self.stiffness.now.to_array();
        self.joint.slopes = Matrix4::from_diagonal(&[stud, sheet, 0.0, 0.0].into());
    }

    /// The faces touch.
    fn meet(&mut self) -> Result<(), Uncovered> {
        if self.unlike() {
            self.begin_layers();
            return Ok(());
        }
        if self.molten.none() {
            self.stage = Stage::Joined;
            return Ok(());
        }
        self.share = self.front.now / f64x2::splat(self.slab());
        if self.share.cmp_gt(f64x2::splat(LEAST_SHARE)).all() {
            self.stage = Stage::Slab;
            self.largest = self.slab();
            self.stiffness = Book::default();
            Ok(())
        } else {
            Err(Uncovered)
        }
    }
}
