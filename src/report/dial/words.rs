//! Words for the ends of a window, and for why there is none.

use std::cmp::Ordering;

use super::value::{ends, text};
use crate::asides::sound_but;
use arcplunge_core::case::keys::{self, Key};
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::dial::range::{VOLTAGE, rig_limits};
use arcplunge_core::study::dial::{Dial, Limit, Mend, Nowhere, Voltages, Why};
use arcplunge_core::study::outcome::changed;
use arcplunge_core::study::range::Vary;

/// Where the window ends at `bank.voltage_max`, at `tool.spring_min` and at `tool.spring_max`.
pub const NO_HIGHER: &str = "the bank cannot be charged higher (bank.voltage_max)";
const NO_WEAKER: &str = "the spring cannot be set weaker (tool.spring_min)";
const NO_STRONGER: &str = "the spring cannot be set stronger (tool.spring_max)";

/// What lies beyond an end of the window of key `k`, at `value` \[SI\].
pub(super) fn limit(dial: &Dial, k: usize, limit: Limit, value: f64) -> String {
    match limit {
        Limit::Range => "end of the range searched".into(),
        Limit::NoCase => {
            let Vary {
                address, number, ..
            } = &dial.turned()[k];
            let path = address.to_string();
            let [lowest, highest] = rig_limits(dial.base(), &path);
            match value {
                _ if lowest == Some(value) => NO_WEAKER.into(),
                _ if highest == Some(value) && path.starts_with("tool.") => NO_STRONGER.into(),
                _ if highest == Some(value) => NO_HIGHER.into(),
                _ if number.range.least == value => "lower bound of the key".into(),
                _ if number.range.most == value => "upper bound of the key".into(),
                _ => "invalid beyond this value".into(),
            }
        }
        Limit::Verdict(verdict, cause) => {
            let why = because(cause);
            format!("{}: {why}", verdict.map_or("none", Verdict::name))
        }
    }
}

/// What happens beyond the end of a window; `None` at an end of the range searched.
pub fn beyond(limit: Limit) -> Option<&'static str> {
    match limit {
        Limit::Range => None,
        Limit::NoCase => Some("the case is invalid"),
        Limit::Verdict(_, cause) => Some(because(cause)),
    }
}

fn because(cause: Cause) -> &'static str {
    match cause {
        Cause::PartFilled => "melt does not reach the rim on one side",
        Cause::Overfilled => "far more melt than the wedge takes",
        Cause::Underfilled => "melt does not reach the rim all round",
        Cause::BoiledOff => "too much of the arc's energy boils metal off",
        Cause::MeltedThrough => "the sheet melts too deep",
        Cause::ArcOut => "the arc goes out before the stud is down",
        Cause::Stub => "the pip is crushed before it bursts",
        Cause::NoIgnition => "the pip does not burst",
        Cause::NeverTouched => "the stud does not come down",
        Cause::ArcEndless | Cause::RecordEnded => "the record ends before the weld is done",
        Cause::NeverConducted => "the bank drives no current",
        Cause::DischargeTest | Cause::Filled => "no weld to judge",
    }
}

/// What ends a window, as files name it: the cause beyond, `range` or `no-case`.
pub fn limit_name(limit: Limit) -> &'static str {
    match limit {
        Limit::Range => "range",
        Limit::NoCase => "no-case",
        Limit::Verdict(_, cause) => cause.name(),
    }
}

/// What is wrong with the sheet, or with the switch, where the weld is sound at these values.
pub(super) fn sheet(dial: &Dial, values: &[f64]) -> Option<String> {
    let keys = dial.turned().iter().map(|vary| &vary.address);
    let case = changed(dial.base(), keys.zip(values.iter().copied()));
    sound_but(&case.ok()?)
}

/// Why no value of these keys is sound, and what would help.
pub fn nowhere(found: &Nowhere, turned: &[Vary]) -> (&'static str, String) {
    let (reason, help) = reason(found);
    let help = match (&found.voltages, found.why) {
        (None, _) => help.into(),
        // An uneven rim is mended where it is uneven; more melt is second best.
        (Some(other), Why::Uneven(_)) => format!("{help} {}", voltages(other, turned)),
        (Some(other), _) => voltages(other, turned),
    };
    (reason, help)
}

/// "Use more voltage: sound from 100.4 V to 136.4 V with tool.spring_force = 80 N."
fn voltages(found: &Voltages, turned: &[Vary]) -> String {
    let turn = match found.side {
        Ordering::Greater => "Use more voltage: sound",
        Ordering::Less => "Use less voltage: sound",
        Ordering::Equal => "Another voltage does it: sound",
    };
    let number = keys::by_path(VOLTAGE).and_then(Key::number);
    let ends = number.map_or(String::new(), |number| {
        let [low, high] = ends(number, found.range);
        let more = if found.is_open { " or more" } else { "" };
        format!(" from {low} to {high}{more}")
    });
    let held = turned.iter().zip(found.held);
    let held: Vec<String> = held
        .filter_map(|(vary, value)| Some(format!("{} = {}", vary.address, text(vary, value?))))
        .collect();
    let with = match held.is_empty() {
        true => String::new(),
        false => format!(" with {}", held.join(" and ")),
    };
    format!("{turn}{ends}{with}.")
}

/// Why no value is sound, and what would help but another voltage.
fn reason(found: &Nowhere) -> (&'static str, &'static str) {
    match found.why {
        Why::NoArc => (
            "No arc strikes anywhere in the range.",
            "Repair or shorten the leads, use more voltage, or less spring force.",
        ),
        Why::ArcOut => (
            "The current ends before the stud is down.",
            "Use a stronger spring or less mass, or more capacitance.",
        ),
        Why::Boils if found.best.is_some_and(|(_, fill, _)| fill >= 1.0) => (
            "Where melt fills the wedge, too much of it boils off.",
            "Use a longer and milder arc: more capacitance at less voltage, or a weaker spring.",
        ),
        Why::Boils => (
            "Melt stops growing: the surface boils before the wedge is full.",
            "Use a longer and milder arc: a weaker spring, more capacitance at less voltage; or a \
             flatter cone.",
        ),
        Why::RangeEnds if found.is_last => (
            "Melt does not fill the wedge up to the end of the range, which cannot be extended.",
            "Shorten the leads, or use more capacitance.",
        ),
        Why::RangeEnds => (
            "Melt does not fill the wedge up to the end of the range.",
            "Search further, shorten the leads, or use more capacitance.",
        ),
        Why::MeltsThrough => (
            "The sheet melts too deep before the wedge is full.",
            "Use a thicker sheet, or a shorter arc (stronger spring, gap method).",
        ),
        Why::Uneven(mend) => (
            "Melt would fill the wedge, but one side of the rim lacks some.",
            match mend {
                Mend::Square => "Square the tool: with that alone the weld would be sound.",
                Mend::Clamps => {
                    "The arc is blown to one side: move the earth clamps (`arcplunge earths` tries places)."
                }
                Mend::Both => {
                    "Square the tool, and move the earth clamps, for the arc is blown to one side as well \
                     (`arcplunge earths` tries places)."
                }
            },
        ),
    }
}
