//! One list of every key of a case: its name, what it measures, what it may be, and where it lives.
//!
//! Reading a file, `--set`, `case show`, the template and the reference page all go by this list,
//! so a key added here is known everywhere.

mod access;
mod address;
mod error;
mod hint;
mod key;
mod list;
mod mark;
mod metal;
mod number;
mod place;
mod probe;
mod rig;
mod shop;
mod value;
mod work;

#[cfg(test)]
mod tests;

pub(in crate::case) use access::own_numbers;
pub use access::{get_number, numbers, set_number, set_text};
pub use address::{Address, find, numeric_part};
pub use error::KeyError;
pub use hint::{Hint, hint, nearest};
pub use key::{Choice, JointPlace, Key, Kind, MARK, MarkPlace, Place, ScalePlace};
pub use list::{
    EARTH, METAL, MOST_EARTHS, PROBE, SECTIONS, TOLERANCE, UNCERTAINTY, all, by_metal_name,
    by_name, by_path, newer, renamed,
};
pub use mark::{mark_of, scale_of};
pub use metal::{METAL_KEYS, MetalKey};
pub use number::{Number, Range};
pub use value::{LONGEST_TITLE, NONE, Value, ValueError, unknown, unknown_metal};
