//! Which event functions are watched in a mode.

use super::{EventFunction, Guards, Loop, Path, PipHeat, Spot};
use crate::simulation::integrator::{OdeSystem, Point};

impl<const N: usize, const D: usize> Loop<N, D> {
    /// What fell together with the event just handled, so that its function is below zero already.
    pub fn overdue(&self, now: &Point<D>) -> Option<EventFunction> {
        let watched = self.event_functions();
        watched.as_slice().iter().copied().find(|&event| {
            let counts = matches!(
                event,
                EventFunction::CurrentEnd
                    | EventFunction::DiodeConducts
                    | EventFunction::Burst
                    | EventFunction::Stub
                    | EventFunction::Hold
                    | EventFunction::Release
                    | EventFunction::Solidus
                    | EventFunction::Liquidus
                    | EventFunction::Reaches(_)
                    | EventFunction::Sets(_)
                    | EventFunction::BranchStop(_)
            );
            // The current starts from nothing too.
            let rises = event == EventFunction::CurrentEnd && Self::current(&now.dy) > 0.0;
            match event {
                EventFunction::BranchStart(k) => self.starts(k, now),
                _ => counts && !rises && self.event_function(event, now.t, &now.y, &now.dy) < 0.0,
            }
        })
    }

    /// What is watched in the present mode.
    pub fn event_functions(&self) -> Guards {
        let mut g = Guards::new();
        let m = &self.mode;
        g.push(EventFunction::CurrentEnd);
        g.push(EventFunction::Turn);
        if !m.diode {
            g.push(EventFunction::DiodeConducts);
        } else if self.esr > 0.0 {
            g.push(EventFunction::DiodeBlocks);
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
                Spot::Full | Spot::FullMolten => g.push(EventFunction::PartSpot),
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
        for lane in std::iter::once(None).chain((0..N).map(Some)) {
            if self.may_reach(lane) {
                g.push(EventFunction::Reaches(lane));
            }
            if self.lane(lane).molten {
                g.push(EventFunction::Sets(lane));
            }
        }
        for k in 0..N {
            if N > 1 && self.lanes[k].parted {
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
