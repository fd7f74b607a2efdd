//! Which guards are watched in a mode.

use nalgebra::SVector;

use super::{Guard, Guards, Loop, Path, PipHeat};
use crate::simulation::march::Field;

impl<const N: usize, const D: usize> Loop<N, D> {
    /// A guard whose event fell together with the one just handled, so that it is below zero already.
    pub fn overdue(&self, t: f64, y: &SVector<f64, D>, dy: &SVector<f64, D>) -> Option<Guard> {
        let guards = self.guards();
        guards.as_slice().iter().copied().find(|g| {
            let counts = matches!(
                g,
                Guard::CurrentEnd
                    | Guard::BankEmpty
                    | Guard::Burst
                    | Guard::Stub
                    | Guard::Hold
                    | Guard::Release
                    | Guard::Solidus
                    | Guard::Liquidus
                    | Guard::BranchStop(_)
            );
            // The current starts from nothing too.
            let rises = *g == Guard::CurrentEnd && Self::current(dy) > 0.0;
            counts && !rises && self.guard(*g, t, y, dy) < 0.0
        })
    }

    /// Guards that make sense in the present mode.
    pub fn guards(&self) -> Guards {
        let mut g = Guards::new();
        let m = &self.mode;
        g.push(Guard::CurrentEnd);
        g.push(Guard::Turn);
        if !m.diode {
            g.push(Guard::BankEmpty);
        }
        if m.path == Path::Pip {
            g.push(Guard::Burst);
            g.push(Guard::Stub);
            g.push(if m.moving {
                Guard::Hold
            } else {
                Guard::Release
            });
            match m.heat {
                PipHeat::Solid => g.push(Guard::Solidus),
                PipHeat::Melting => g.push(Guard::Liquidus),
                PipHeat::Liquid => {}
            }
            g.push(if m.full_spot {
                Guard::PartSpot
            } else {
                Guard::FullSpot
            });
        }
        for k in 0..N {
            if N > 1 && self.earth_drop[k] > 0.0 {
                g.push(if m.conducting[k] {
                    Guard::BranchStop(k)
                } else {
                    Guard::BranchStart(k)
                });
            }
        }
        g
    }
}
