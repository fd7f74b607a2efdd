//! Resistance of copper leads against IEC 60228 and IEC 60028.

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::catalogue;
use arcplunge_core::physics::{ROOM, lead};

const IEC_60228: Source = Source {
    text: "IEC 60228:2004, class 5, plain copper",
    evidence: Evidence::Published,
};
const IEC_60028: Source = Source {
    text: "IEC 60028:1925, annealed copper",
    evidence: Evidence::Published,
};
const IEC_60228_WARM: Source = Source {
    text: "IEC 60228:2004, class 5, with IEC 60028's 0.00393/K",
    evidence: Evidence::ClosedForm,
};
const IEC_60228_ANNEX: Source = Source {
    text: "IEC 60228 annex A, (234.5 + t)/254.5",
    evidence: Evidence::Memory,
};

/// Largest resistance at 20 °C \[Ω/km\] by section \[mm²\].
const CLASS_5: [(f64, f64); 6] = [
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
];

pub(super) fn checks() -> Vec<Check> {
    let ohm_per_km =
        |section: f64, celsius: f64| lead::resistance(1e3, section * 1e-6, ROOM + celsius - 20.0);
    let mut out: Vec<Check> = CLASS_5
        .iter()
        .map(|&(section, published)| {
            Check::new(
                format!("lead.class5.{section}"),
                format!("lead of {section} mm2, 20 degC"),
                IEC_60228,
                "ohm/km",
                published,
                ohm_per_km(section, 20.0),
                Allowed::Relative(0.02),
            )
        })
        .collect();
    for (section, published) in [(35.0, 0.64109), (70.0, 0.31476)] {
        out.push(Check::new(
            format!("lead.warm.{section}"),
            format!("lead of {section} mm2, 60 degC"),
            IEC_60228_WARM,
            "ohm/km",
            published,
            ohm_per_km(section, 60.0),
            Allowed::Relative(0.02),
        ));
    }
    out.push(Check::new(
        "lead.warm.factor",
        "resistance at 60 degC over 20 degC",
        IEC_60228_ANNEX,
        "",
        294.5 / 254.5,
        ohm_per_km(35.0, 60.0) / ohm_per_km(35.0, 20.0),
        Allowed::Relative(5e-4),
    ));
    out.push(Check::new(
        "lead.coefficient",
        "copper, temperature coefficient",
        IEC_60028,
        "1/K",
        0.00393,
        ohm_per_km(35.0, 21.0) / ohm_per_km(35.0, 20.0) - 1.0,
        Allowed::Relative(1e-6),
    ));
    out.push(Check::new(
        "lead.copper",
        "catalogue's copper",
        IEC_60028,
        "uohm m",
        1.0 / 58.0,
        catalogue::metal("copper").resistivity_20 * 1e6,
        Allowed::Relative(5e-3),
    ));
    out
}
