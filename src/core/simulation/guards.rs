//! What can end a leg of a discharge, and a list of it.

use super::march::MOST_GUARDS;

/// What can end a leg of the march.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Guard {
    /// The current falls to nothing.
    CurrentEnd,
    /// The bank's voltage falls to nothing.
    BankEmpty,
    /// The current stops rising, or rises again.
    Turn,
    /// The pip bursts.
    Burst,
    /// The gap closes before the pip bursts.
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
    /// An arcing earth branch stops conducting.
    BranchStop(usize),
    /// An arcing earth branch starts conducting.
    BranchStart(usize),
}

/// A guard list without allocation.
#[derive(Debug, Clone, Copy)]
pub struct Guards {
    list: [Guard; MOST_GUARDS],
    len: usize,
}

impl Guards {
    /// An empty list.
    pub(super) fn new() -> Self {
        Guards {
            list: [Guard::CurrentEnd; MOST_GUARDS],
            len: 0,
        }
    }

    /// Adds a guard.
    pub(super) fn push(&mut self, guard: Guard) {
        self.list[self.len] = guard;
        self.len += 1;
    }

    /// The guards in the list.
    pub fn as_slice(&self) -> &[Guard] {
        &self.list[..self.len]
    }
}
