//! The plots, looked at by a program: what the eye would see wrong, told by numbers.

mod drawing;
mod labels;
#[cfg(feature = "png")]
mod painted;
#[cfg(feature = "png")]
mod picture;
mod scales;
mod shapes;
mod words;

use arcplunge_core::case::{Case, read};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Trace, trace};

/// One of each kind of shot, by its name and overrides.
pub(super) const KINDS: [(&str, &[&str]); 17] = [
    ("demonstration", &[]),
    ("tool terminal loose", &["joints.tool=loose"]),
    ("bolted", &["stud.short_resistance=1 mohm"]),
    (
        "bolted, long tail",
        &[
            "stud.short_resistance=1 uohm",
            "lead.length=30 m",
            "lead.turns=20",
            "lead.section=120 mm2",
        ],
    ),
    ("arc out", &["tool.spring_force=50 N"]),
    ("long lead", &["lead.length=12 m"]),
    ("M6", &["stud.size=M6", "bank.voltage=135 V"]),
    (
        "gap method, aluminium",
        &[
            "tool.method=gap",
            "tool.lift=1 mm",
            "stud.size=M4",
            "stud.metal=aluminium Mg alloy",
            "sheet.metal=aluminium Mg alloy",
        ],
    ),
    ("gap method, steel", &["tool.method=gap"]),
    ("stub", &["bank.voltage=30 V"]),
    (
        "no ignition",
        &[
            "bank.voltage=40 V",
            "lead.length=30 m",
            "tool.spring_force=150 N",
        ],
    ),
    (
        "diode-heavy",
        &[
            "lead.length=20 m",
            "lead.section=120 mm2",
            "lead.turns=4",
            "bank.esr=0.5 mohm",
        ],
    ),
    ("never conducted", &["bank.voltage=1 V"]),
    (
        "never touched",
        &[
            "tool.method=gap",
            "tool.attitude=up",
            "tool.spring_force=4 N",
        ],
    ),
    (
        "current without end",
        &["bank.capacitance=1 F", "bank.voltage=200 V"],
    ),
    (
        "small bank",
        &["bank.capacitance=1 mF", "bank.voltage=60 V"],
    ),
    (
        "two metals",
        &[
            "sheet.metal=brass 63/37",
            "stud.metal=stainless 18/8",
            "sheet.thickness=3 mm",
        ],
    ),
];

/// A case and its curves.
pub(super) fn fired(sets: &[&str]) -> (Case, Trace) {
    let sets: Vec<String> = sets.iter().map(|s| s.to_string()).collect();
    let case = match read::demonstration(&sets) {
        Ok(resolved) => resolved.case,
        Err(diagnosis) => panic!("{}", diagnosis.render(false)),
    };
    let mut work = Workspace::default();
    let trace = trace(&Rig::new(&case), &Settings::default(), 5e-6, &mut work);
    (case, trace.expect("a checked case is integrated"))
}
