//! What went wrong, in words.

use super::outcome::Trouble;

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
