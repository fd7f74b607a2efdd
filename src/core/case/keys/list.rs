//! The list itself: every key, the sections they stand in, and how one is found by name.

use super::key::Key;
use super::metal::{METAL_KEYS, MetalKey};
use super::{probe, rig, shop, work};

/// Sections of a case file in their order, each with what it is about.
pub const SECTIONS: [(&str, &str); 17] = [
    (
        "bank",
        "the capacitor bank with its switch and free-wheel diode",
    ),
    ("lead", "the lead to the tool"),
    (
        "earth",
        "the earth leads, one to four, each from the bank to a clamp on the sheet",
    ),
    ("joints", "the joints in series with the stud"),
    ("tool", "the tool"),
    ("stud", "the stud and its ignition tip, the pip"),
    ("sheet", "the parent sheet"),
    ("arc", "the arc"),
    (
        "model",
        "constants of the model that are neither rig nor material",
    ),
    ("charger", "the charger of the bank, for `arcplunge shift`"),
    ("room", "the workshop, for `arcplunge shift`"),
    (
        "thermal",
        "how the parts of the rig take up heat and lose it, for `arcplunge shift`",
    ),
    ("wear", "how the rig wears and ages, for `arcplunge shift`"),
    (
        "limits",
        "temperatures the rig must not exceed, for `arcplunge shift`",
    ),
    (
        PROBE,
        "what measured a trace, for `arcplunge fit`; no weld depends on it",
    ),
    (
        "metal",
        "a custom metal, or changed figures of one of the catalogue",
    ),
    (
        TOLERANCE,
        "scatter of values from shot to shot, for `arcplunge scatter` and `sensitivity`, and how well they are known, for `fit`",
    ),
];

/// Section holding a table per metal.
pub const METAL: &str = "metal";
/// Section of the spreads.
pub const TOLERANCE: &str = "tolerance";
/// Section of how well figures are known.
pub const UNCERTAINTY: &str = "uncertainty";
/// Section of what measured a trace.
pub const PROBE: &str = "probe";
/// Section that is a list.
pub const EARTH: &str = "earth";
/// Most earth leads a case may have.
pub const MOST_EARTHS: usize = 4;

/// Every key outside the metals, in the order of the file.
pub fn all() -> impl Iterator<Item = &'static Key> {
    let weld = rig::KEYS.iter().chain(work::KEYS);
    weld.chain(shop::KEYS).chain(probe::KEYS)
}

/// The key of this full name, with `N` for the number of an earth lead.
pub fn by_path(path: &str) -> Option<&'static Key> {
    all().find(|key| key.path == path)
}

/// Section, old and new name of keys that were called otherwise; the old ones are read for one release more.
const RENAMED: [(&str, &str, &str); 3] = [
    ("lead", "run", "straight_length"),
    (EARTH, "bend", "azimuth"),
    ("stud", "bolted", "short_resistance"),
];

/// Older keys that go on as views, and what they are called now in a file that knows no polarity.
const OLDER: [(&str, &str, &str); 2] = [
    ("arc", "to_stud", "to_cathode"),
    ("arc", "to_sheet", "to_anode"),
];

/// The name that a key of this old name has now.
pub fn newer(section: &str, name: &str) -> Option<&'static str> {
    let mut known = RENAMED.iter().chain(&OLDER);
    let found = known.find(|(home, old, _)| (*home, *old) == (section, name));
    found.map(|(_, _, new)| *new)
}

/// The name of a key that is given by its old one.
pub fn renamed(section: &str, name: &str) -> Option<&'static str> {
    let mut known = RENAMED.iter();
    let found = known.find(|(home, old, _)| (*home, *old) == (section, name));
    found.map(|(_, _, new)| *new)
}

/// The key of this name in a section, or of this old name.
pub fn by_name(section: &str, name: &str) -> Option<&'static Key> {
    let name = renamed(section, name).unwrap_or(name);
    all().find(|key| key.section() == section && key.name() == name)
}

/// The figure of a metal of this name.
pub fn by_metal_name(name: &str) -> Option<&'static MetalKey> {
    METAL_KEYS.iter().find(|key| key.name == name)
}
