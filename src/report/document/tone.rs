//! How words are meant, and where they are shown.

/// How words are meant: a colour on a terminal, a class on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tone {
    /// As the rest.
    #[default]
    Plain,
    /// Set off, neither right nor wrong.
    Strong,
    /// As it should be.
    Good,
    /// Too cold.
    Cold,
    /// Not as it should be.
    Wrong,
    /// To be watched.
    Amber,
}

/// Where a block is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Medium {
    /// On a terminal.
    Text,
    /// On a terminal, unless all is asked for.
    Brief,
    /// On a terminal where all is asked for.
    Full,
    /// In a report.
    Paper,
}
