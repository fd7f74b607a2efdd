//! What can end a leg of a discharge, and a list of it.

use super::integrator::MAX_EVENT_FUNCTIONS;

/// What can end a leg of the integration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventFunction {
    /// The current falls to nothing.
    CurrentEnd,
    /// The voltage of the bank's terminals falls to where the free-wheel diode conducts.
    DiodeConducts,
    /// The diode's share of the current falls to nothing.
    DiodeBlocks,
    /// The current stops rising, or rises again.
    Turn,
    /// The pip bursts.
    Burst,
    /// The flange touches, or the pip is pressed as wide, before it bursts.
    Stub,
    /// The held stud is released.
    Release,
    /// The moving stud is held.
    Hold,
    /// The pip begins to melt.
    Solidus,
    /// The pip is molten.
    Liquidus,
    /// The contact spot has grown to the pip's full section.
    FullSpot,
    /// The crushed pip has outgrown its contact spot again.
    PartSpot,
    /// The contact spot reaches its melting voltage, and widens from here on.
    SpotMelts,
    /// The widened contact spot is below its melting voltage again.
    SpotSets,
    /// The whole current, or that of an earth lead, reaches what one of its joints bears: it melts or parts.
    Reaches(Option<usize>),
    /// The current of a molten joint no longer grows.
    Sets(Option<usize>),
    /// An arcing earth branch stops conducting.
    BranchStop(usize),
    /// An arcing earth branch starts conducting.
    BranchStart(usize),
}

/// An event function list without allocation.
#[derive(Debug, Clone, Copy)]
pub struct Guards {
    list: [EventFunction; MAX_EVENT_FUNCTIONS],
    len: usize,
}

impl Guards {
    /// An empty list.
    pub(super) fn new() -> Self {
        Guards {
            list: [EventFunction::CurrentEnd; MAX_EVENT_FUNCTIONS],
            len: 0,
        }
    }

    /// Adds an event function.
    pub(super) fn push(&mut self, event_function: EventFunction) {
        self.list[self.len] = event_function;
        self.len += 1;
    }

    /// The event functions in the list.
    pub fn as_slice(&self) -> &[EventFunction] {
        &self.list[..self.len]
    }
}
