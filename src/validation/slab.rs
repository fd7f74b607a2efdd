//! Bodies set up like the published problems of heat conduction, and short ways to heat them.

use arcplunge_core::case::Case;
use arcplunge_core::physics::ROOM;
use arcplunge_core::physics::metal::Enthalpy;
use arcplunge_core::simulation::heat_solver::{ArcKnot, Boundary, Heating, MeltKnot, Until};
use arcplunge_core::simulation::heating::heat;
use arcplunge_core::simulation::melt::Bodies;
use arcplunge_core::simulation::mesh::Resolution;
use arcplunge_core::simulation::rig::{Face, Rig};

/// Cells of each body: the standard mesh.
pub const CELLS: usize = 96;

/// Constants of a metal in a test problem; temperatures count from the start's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    /// Conductivity of solid and melt \[W/(m·K)\].
    pub conductivity: [f64; 2],
    /// Density \[kg/m³\].
    pub density: f64,
    /// Specific heat of solid and melt \[J/(kg·K)\].
    pub heat: [f64; 2],
    /// Heat of fusion \[J/kg\].
    pub fusion: f64,
    /// Melting point above the start \[K\].
    pub melts: f64,
    /// Boiling point above the start \[K\].
    pub boils: f64,
    /// Depth \[m\].
    pub depth: f64,
}

impl Slab {
    /// As a face of a rig.
    pub fn face(&self) -> Face {
        let (melts, boils) = (ROOM + self.melts, ROOM + self.boils);
        Face {
            depth: self.depth,
            density: self.density,
            density_liquid: self.density,
            enthalpy: Enthalpy::new(self.heat[0], self.heat[1], melts, boils, self.fusion),
            conductivity: self.conductivity,
            boiling_point: boils,
            vaporisation_heat: 6e6,
        }
    }

    /// Diffusivity of the solid \[m²/s\].
    pub fn diffusivity(&self) -> f64 {
        self.conductivity[0] / (self.density * self.heat[0])
    }

    /// Diffusivity of the melt \[m²/s\].
    pub fn melt_diffusivity(&self) -> f64 {
        self.conductivity[1] / (self.density * self.heat[1])
    }

    /// Two such bodies, meshed for the time `t` \[s\].
    pub fn bodies(&self, t: f64) -> Bodies<CELLS> {
        Bodies::new(&[self.face(); 2], t, &Resolution::enthalpy())
    }

    /// Two such bodies under an arc that puts the flux `flux` \[W/m²\] into each for the time `t` \[s\],
    /// then in contact: what every shot does with its faces. The melt over time goes to `record`.
    pub fn weld(
        &self,
        flux: f64,
        t: f64,
        resolution: &Resolution,
        record: impl FnMut(MeltKnot),
    ) -> Heating {
        let knot = |t| (t, flux * t, flux);
        self.weld_under(&[knot(0.0), knot(t)], resolution, record)
    }

    /// The same under a flux that changes: knots of time \[s\], heat put in so far \[J/m²\], flux \[W/m²\].
    pub fn weld_under(
        &self,
        knots: &[(f64, f64, f64)],
        resolution: &Resolution,
        record: impl FnMut(MeltKnot),
    ) -> Heating {
        let mut rig = Rig::new(&Case::default());
        rig.faces = [self.face(); 2];
        rig.heat_shares = [1.0; 2];
        let area = rig.stud.flange_area;
        let knot = |&(t, heat, flux): &(f64, f64, f64)| ArcKnot {
            t,
            energy: heat * area,
            power: flux * area,
        };
        let arc: Vec<ArcKnot> = knots.iter().map(knot).collect();
        let mut course = Vec::new();
        let found = heat(&rig, &arc, true, Until::Frozen, resolution, &mut course);
        course.into_iter().for_each(record);
        found
    }
}

/// Heats both bodies with `flux` \[W/m²\] for the time `t` \[s\] in `steps` steps graded toward the
/// start; after each, `seen` is told the time.
pub fn pour(
    bodies: &mut Bodies<CELLS>,
    flux: f64,
    t: f64,
    steps: usize,
    mut seen: impl FnMut(f64, &Bodies<CELLS>),
) {
    let mut now = 0.0;
    for j in 1..=steps {
        let next = t * (j as f64 / steps as f64).powf(1.5);
        bodies.advance(next - now, Boundary::Heated([flux * next; 2]));
        now = next;
        seen(now, bodies);
    }
}
