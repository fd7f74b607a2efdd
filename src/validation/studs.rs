//! The catalogue's stud sizes, their threads and what these hold.

use std::f64::consts::PI;

use super::bench::or_none;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::{Case, catalogue, keys};
use arcplunge_core::simulation::holds::Holds;
use arcplunge_core::simulation::rig::Rig;

const ISO_13918: Source = Source {
    text: "ISO 13918, pitch-tip studs PT",
    evidence: Evidence::Memory,
};

const LOAD: Source = Source {
    text: "ISO 898-1, class 4.8: least tensile load, as reproduced",
    evidence: Evidence::Published,
};
const STAINLESS: Source = Source {
    text: "ISO 3506-1, A2-50: 500 MPa; ISO 898-1's area to digits",
    evidence: Evidence::Published,
};
const AREA: Source = Source {
    text: "ISO 898-1: pi/4 (d - 0.9382 P)2, coarse pitch of ISO 261",
    evidence: Evidence::ClosedForm,
};

/// Size, nominal diameter and coarse pitch \[mm\], and least tensile load of class 4.8 \[N\].
const THREADS: [(&str, f64, f64, f64); 5] = [
    ("M3", 3.0, 0.5, 2110.0),
    ("M4", 4.0, 0.7, 3690.0),
    ("M5", 5.0, 0.8, 5960.0),
    ("M6", 6.0, 1.0, 8440.0),
    ("M8", 8.0, 1.25, 15400.0),
];

/// The thread's stress area, and what a pull at the stud finds.
fn threads() -> Vec<Check> {
    let mut out = vec![Check::new(
        "stud.M5.holds.stainless",
        "M5 of 18/8 holds",
        STAINLESS,
        "N",
        7091.0,
        holds("M5", "stainless 18/8"),
        Allowed::Relative(3e-3),
    )];
    for (size, diameter, pitch, load) in THREADS {
        out.push(Check::new(
            format!("stud.{size}.area"),
            format!("{size} stress area"),
            AREA,
            "mm2",
            0.25 * PI * (diameter - 0.9382 * pitch).powi(2),
            catalogue::stud(size).stress_area * 1e6,
            Allowed::Relative(3e-3),
        ));
        out.push(Check::new(
            format!("stud.{size}.holds"),
            format!("{size} of mild steel holds"),
            LOAD,
            "N",
            load,
            holds(size, "mild steel"),
            Allowed::Relative(3e-3),
        ));
    }
    out
}

/// Load at which a stud of this size and metal breaks \[N\].
fn holds(size: &str, metal: &str) -> f64 {
    let mut case = Case::default();
    let set = [("stud.size", size), ("stud.metal", metal)];
    if set
        .iter()
        .any(|(key, value)| keys::set_text(&mut case, key, value).is_err())
    {
        return f64::NAN;
    }
    or_none(Holds::new(&Rig::new(&case), Some(1.0), None).stud_N)
}

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
    out.extend(threads());
    out
}
