//! What a dial was asked, and what came of it.

use arcplunge_core::study::dial::{Advice, Nowhere, Pair, Reached};

/// What was asked, and what came of it.
pub enum Found {
    /// The key's window, and what to set the key to.
    Window(Advice),
    /// Two keys: the pair in the middle.
    Pair(Pair),
    /// No setting in the range is sound, and why.
    Nowhere(Nowhere),
    /// A figure by name, its goal, and whether it is reached.
    Figure(&'static str, f64, Reached),
}

impl Found {
    /// Whether the goal can be had.
    pub fn is_there(&self) -> bool {
        match self {
            Found::Window(_) | Found::Pair(..) => true,
            Found::Nowhere(_) => false,
            Found::Figure(_, _, reached) => matches!(reached, Reached::At(_)),
        }
    }
}
