//! Which event functions are watched in a mode.

use nalgebra::SVector;

use super::{EventFunction, Guards, Loop, Path, PipHeat, Spot};
use crate::simulation::integrator::OdeSystem;

impl<const N: usize, const D: usize> Loop<N, D> {
    /// An event function whose event fell together with the one just handled, so that it is below zero already.
    pub fn overdue(
        &self,
        t: f64,
        y: &SVector<f64, D>,
        dy: &SVector<f64, D>,
    ) -> Option<EventFunction> {
        let event_functions = self.event_functions();
        event_functions.as_slice().iter().copied().find(|g| {
            let counts = matches!(
                g,
                EventFunction::CurrentEnd
                    | EventFunction::BankEmpty
                    | EventFunction::Burst
                    | EventFunction::Stub
                    | EventFunction::Hold
                    | EventFunction::Release
                    | EventFunction::Solidus
                    | EventFunction::Liquidus
                    | EventFunction::BranchStop(_)
            );
            // The current starts from nothing too.
            let rises = *g == EventFunction::CurrentEnd && Self::current(dy) > 0.0;
            counts && !rises && self.event_function(*g, t, y, dy) < 0.0
        })
    }

    /// Guards that make sense in the present mode.
    pub fn event_functions(&self) -> Guards {
        let mut g = Guards::new();
        let m = &self.mode;
        g.push(EventFunction::CurrentEnd);
        g.push(EventFunction::Turn);
        if !m.diode {
            g.push(EventFunction::BankEmpty);
        }
        if m.path == Path::Pip {
            g.push(EventFunction::Burst);
            g.push(EventFunction::Stub);
            g.push(if m.moving {
                EventFunction::Hold
            } else {
                EventFunction::Release
            });
            match m.heat {
                PipHeat::Solid => g.push(EventFunction::Solidus),
                PipHeat::Melting => g.push(EventFunction::Liquidus),
                PipHeat::Liquid => {}
            }
            match m.spot {
                Spot::Full => g.push(EventFunction::PartSpot),
                Spot::Plastic => {
                    g.push(EventFunction::FullSpot);
                    g.push(EventFunction::SpotMelts);
                }
                Spot::Molten => {
                    g.push(EventFunction::FullSpot);
                    g.push(EventFunction::SpotSets);
                }
            }
        }
        for k in 0..N {
            if N > 1 && self.earth_drop[k] > 0.0 {
                g.push(if m.conducting[k] {
                    EventFunction::BranchStop(k)
                } else {
                    EventFunction::BranchStart(k)
                });
            }
        }
        g
    }
}
