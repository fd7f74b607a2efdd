//! How a command ends.

/// How a command ended: its exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// 0: done.
    Done,
    /// 1: could not be done.
    Failed,
    /// 2: the input or the command line is wrong.
    Wrong,
    /// 130: stopped by Ctrl-C, as a shell tells it of a program that the signal ended.
    Stopped,
}

/// Why a command stopped; already in words for standard error.
#[derive(Debug)]
pub enum Trouble {
    /// The input or the command line is wrong (exit 2).
    Wrong(String),
    /// It could not be done (exit 1).
    Failed(String),
    /// Ctrl-C (exit 130).
    Stopped(String),
    /// The reader of standard output has gone; nothing to say.
    ClosedPipe,
}

impl Trouble {
    /// What it says, to be told within another message.
    pub fn words(self) -> String {
        match self {
            Trouble::Wrong(text) | Trouble::Failed(text) | Trouble::Stopped(text) => {
                text.trim_start_matches("error: ").to_string()
            }
            Trouble::ClosedPipe => String::new(),
        }
    }
}

/// Writes to standard error; if that is closed too, there is no one left to tell.
pub fn complain(text: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr(), "{}", text.trim_end());
}

/// The line that offers the name that was probably meant.
pub fn suggestion(name: Option<impl std::fmt::Display>) -> String {
    name.map_or(String::new(), |name| {
        format!("\nhelp: did you mean {name}?")
    })
}

/// It could not be done, in the words of what failed.
pub fn failed(e: impl std::fmt::Display) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}

pub fn wrong<T>(text: String) -> Result<T, Trouble> {
    Err(Trouble::Wrong(format!("error: {text}")))
}
