//! Balances of energy, charge and heat over whole shots.

use super::bench::{or_none, run, shot};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::model::{CentreMark, Method};
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::ledger::Ledger;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::trace;

const ENERGY: Source = Source {
    text: "1/2 C V0^2 spent or left, stores taken from the states",
    evidence: Evidence::Conservation,
};
const CHARGE: Source = Source {
    text: "C (V0 - u), against the integral of the current",
    evidence: Evidence::Conservation,
};
const HEAT: Source = Source {
    text: "heat into the faces = enthalpy + vapour + across the joint",
    evidence: Evidence::Conservation,
};
const TRACE: Source = Source {
    text: "weld voltage times current over the trace's rows",
    evidence: Evidence::Conservation,
};
/// Cases that take every way through a shot, with their names.
pub fn cases() -> Vec<(&'static str, Case)> {
    let with = |change: fn(&mut Case)| {
        let mut case = Case::default();
        change(&mut case);
        case
    };
    vec![
        ("M5", Case::default()),
        (
            "loose tool terminal",
            with(|c| c.joints.tool = catalogue::joint("loose")),
        ),
        (
            "arcing chuck",
            with(|c| c.joints.chuck = catalogue::joint("arcing")),
        ),
        (
            "arcing clamp of two",
            with(|c| c.earths[1].clamp = catalogue::joint("arcing")),
        ),
        (
            "unequal earths",
            with(|c| {
                c.earths[0].length = 12.0;
                c.earths[1].section = 50e-6;
            }),
        ),
        ("gap", with(|c| c.tool.method = Method::Gap)),
        (
            "centre mark",
            with(|c| {
                c.sheet.centre_mark = Some(CentreMark::new(0.7e-3, std::f64::consts::FRAC_PI_2));
            }),
        ),
        ("arc out", with(|c| c.tool.spring_force = 50.0)),
        ("bolted", with(|c| c.stud.short_resistance = Some(1e-3))),
    ]
}

pub(super) fn checks() -> Vec<Check> {
    let mut out = Vec::new();
    for (name, case) in cases() {
        let rig = Rig::new(&case);
        let d = run(&rig);
        let stored = 0.5 * rig.circuit.capacitance * rig.circuit.voltage * rig.circuit.voltage;
        out.push(Check::new(
            format!("balance.energy.{}", name.replace(' ', "-")),
            format!("ledger, {name}"),
            ENERGY,
            "J",
            stored,
            Ledger::new(&rig, &d).total(),
            Allowed::Relative(1e-6),
        ));
    }
    for (name, case) in cases()
        .into_iter()
        .filter(|(name, _)| ["M5", "gap"].contains(name))
    {
        out.push(charge(name, &case));
        out.push(Check::new(
            format!("balance.heat.{name}"),
            format!("heat balance, {name}, residual share"),
            HEAT,
            "",
            0.0,
            or_none(shot(&case).map(|shot| shot.effort.heat_imbalance)),
            Allowed::Absolute(1e-9),
        ));
    }
    out.push(from_the_trace());
    out
}

/// Charge drawn up to the end, or to the moment the diode took over.
fn charge(name: &str, case: &Case) -> Check {
    let rig = Rig::new(case);
    let d = run(&rig);
    let last = d.diode_conducts.unwrap_or(d.end);
    Check::new(
        format!("balance.charge.{name}"),
        format!("charge drawn, {name}"),
        CHARGE,
        "C",
        rig.circuit.capacitance * (rig.circuit.voltage - last.bank),
        last.sums.charge,
        Allowed::Relative(1e-8),
    )
}

/// Joules of pip, arc and closed weld by the ledger, and as the trapezoids of the trace.
fn from_the_trace() -> Check {
    let rig = Rig::new(&Case::default());
    let traced = trace(&rig, &Settings::default(), 1e-6, &mut Workspace::default());
    let (ledger, rows) = traced.map_or((f64::NAN, f64::NAN), |traced| {
        let l = &traced.shot.ledger;
        let joules = traced
            .rows
            .windows(2)
            .map(|w| 0.5 * (w[0].weld_power() + w[1].weld_power()) * (w[1].time_s - w[0].time_s));
        (
            l.pip + l.arc_to_stud + l.arc_to_sheet + l.arc_away + l.forge,
            joules.sum(),
        )
    });
    Check::new(
        "balance.trace",
        "energy in the M5 weld",
        TRACE,
        "J",
        rows,
        ledger,
        Allowed::Relative(1e-4),
    )
}
