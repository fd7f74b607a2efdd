//! The catalogue's stud sizes.

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::simulation::rig::Rig;

const ISO_13918: Source = Source {
    text: "ISO 13918, pitch-tip studs PT",
    evidence: Evidence::Memory,
};

/// Size, flange \[mm\] and volume of the pip \[mm³\].
const SIZES: [(&str, f64, f64); 5] = [
    ("M3", 4.5, 0.15551),
    ("M4", 5.5, 0.18251),
    ("M5", 6.5, 0.35343),
    ("M6", 7.5, 0.35343),
    ("M8", 9.0, 0.37552),
];

pub(super) fn checks() -> Vec<Check> {
    let mut out = Vec::new();
    for (size, flange, volume) in SIZES {
        let Some(stud) = catalogue::find_stud(size) else {
            continue;
        };
        let mut case = Case::default();
        case.stud.flange = stud.flange;
        case.stud.pip_diameter = stud.pip_diameter;
        case.stud.pip_length = stud.pip_length;
        let rig = Rig::new(&case).stud;
        out.push(Check::new(
            format!("stud.{size}.flange"),
            format!("{size} flange"),
            ISO_13918,
            "mm",
            flange,
            2e3 * rig.flange_radius,
            Allowed::Absolute(0.2),
        ));
        out.push(Check::new(
            format!("stud.{size}.pip"),
            format!("{size} volume of the pip"),
            ISO_13918,
            "mm3",
            volume,
            rig.pip.volume * 1e9,
            Allowed::Relative(1e-3),
        ));
    }
    out
}
