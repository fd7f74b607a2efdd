//! How warm the sheet is where the next weld goes: by all welds made on it before.

use crate::case::Case;
use crate::physics::plate::{Plate, STILL_AIR};

/// Share of the melting point \[K\] that a warm sheet is held below: beyond, the welds before would run into it.
const WARMEST: f64 = 0.7;

/// The sheet in work.
#[derive(Debug, Clone)]
pub struct WorkSheet {
    plate: Plate,
    pitch: f64,
    row: usize,
    studs: usize,
    room: f64,
    most: f64,
    /// Time and heat of the welds on this sheet \[s, J\].
    made: Vec<(f64, f64)>,
}

impl WorkSheet {
    /// A fresh sheet of a case.
    pub fn new(case: &Case) -> Self {
        let metal = &case.sheet.metal;
        WorkSheet {
            plate: Plate {
                conductivity: metal.conductivity_solid,
                heat: metal.density * metal.heat_solid,
                thickness: case.sheet.thickness,
                film: STILL_AIR,
            },
            pitch: case.thermal.pitch,
            row: (case.thermal.row.round() as usize).max(1),
            studs: (case.thermal.studs.round() as usize).max(1),
            room: case.room.temperature,
            most: WARMEST * metal.melting_point - case.room.temperature,
            made: Vec::new(),
        }
    }

    /// Temperature where the next weld goes, at `t` \[s\] \[K\].
    pub fn next(&mut self, t: f64) -> f64 {
        if self.made.len() >= self.studs {
            self.made.clear();
        }
        let here = self.place(self.made.len());
        let rise = self.made.iter().enumerate().map(|(n, (at, heat))| {
            let there = self.place(n);
            let r = (here[0] - there[0]).hypot(here[1] - there[1]);
            self.plate.rise(*heat, r, t - at)
        });
        let rise: f64 = rise.sum();
        self.room + rise.min(self.most).max(0.0)
    }

    /// A weld was made there, with this heat into stud and sheet \[J\].
    pub fn weld(&mut self, t: f64, heat: f64) {
        self.made.push((t, heat));
    }

    /// Place of a stud \[m\]: row by row, each from the same side.
    fn place(&self, n: usize) -> [f64; 2] {
        [(n % self.row) as f64, (n / self.row) as f64].map(|x| x * self.pitch)
    }
}
