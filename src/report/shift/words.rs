//! What the outputs of a shift have in common: times, paces, parts, limits and reasons in words.

use crate::format::{engineering, percent, significant, trimmed};
use crate::scatter::counted;
use arcplunge_core::case::model::Limits;
use arcplunge_core::physics::charging::{SAFE_TIME, SAFE_VOLTAGE};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::charge::Charge;
use arcplunge_core::study::shift::fastest::{Bound, Fastest, MOST_PACE};
use arcplunge_core::study::shift::parts::Part;
use arcplunge_core::study::shift::reason::Reason;
use arcplunge_core::study::shift::spread::Station;
use arcplunge_core::study::shift::weld::{Limit, Weld};

/// A time: "1.94 s", "3 min 20 s", "2 h 47 min".
pub fn duration(t: f64) -> String {
    if t < 60.0 {
        return engineering(t, "s");
    }
    let (unit, part, names) = if t < 3600.0 {
        (60.0, 1.0, ["min", "s"])
    } else {
        (3600.0, 60.0, ["h", "min"])
    };
    let all = (t / part).round() * part;
    let whole = (all / unit).floor();
    let rest = ((all - whole * unit) / part).round();
    if rest > 0.0 {
        format!("{whole} {} {rest} {}", names[0], names[1])
    } else {
        format!("{whole} {}", names[0])
    }
}

/// A pace: "12 welds a minute".
pub fn pace(per_second: f64) -> String {
    let per_minute = 60.0 * per_second;
    if per_minute < 1.0 {
        format!("{} welds an hour", trimmed(60.0 * per_minute))
    } else {
        format!("{} welds a minute", trimmed(per_minute))
    }
}

/// How long a bank at this voltage \[V\] stays dangerous once it is switched off.
pub fn bleed(charge: &Charge, volts: f64) -> String {
    if volts <= SAFE_VOLTAGE {
        return format!(
            "The bank stays below {} V; measure all the same.",
            SAFE_VOLTAGE
        );
    }
    let word = if charge.bleed > SAFE_TIME {
        ", longer than IEC 60204-1 allows"
    } else {
        ""
    };
    format!(
        "Switched off, the bank takes {} through its bleeder to fall below {} V{word}; a broken bleeder takes hours. \
         Measure before you touch.",
        duration(charge.bleed),
        SAFE_VOLTAGE
    )
}

/// A number of welds to two digits.
pub fn rounded(n: f64) -> String {
    if n < 1.0 {
        return "0".into();
    }
    let unit = 10f64.powf(n.log10().floor() - 1.0).max(1.0);
    counted(((n / unit).round() * unit) as u64)
}

/// "2 000 welds at 12 welds a minute, 2 h 47 min with 1 break".
pub fn how(shift: &Shift) -> String {
    let plan = &shift.plan;
    let time = shift.run.welds.last().map_or(0.0, |weld| weld.time);
    let breaks = match plan.breaks_until(time).count() {
        0 => String::new(),
        1 => ", 1 break".into(),
        n => format!(", {n} breaks"),
    };
    format!(
        "{} welds, {}, {}{breaks}",
        counted(plan.welds as u64),
        pace(plan.pace),
        duration(time)
    )
}

/// Name of a part.
pub fn part(part: Part) -> String {
    match part {
        Part::Core => "bank, windings".into(),
        Part::Can => "bank, cans".into(),
        Part::Sink => "switch, heat sink".into(),
        Part::GunCopper => "gun lead, copper".into(),
        Part::GunJacket => "gun lead, jacket".into(),
        Part::EarthCopper(k) => format!("earth {k} lead, copper"),
        Part::EarthJacket(k) => format!("earth {k} lead, jacket"),
        Part::Joint(id) => id.to_string(),
    }
}

/// Limits of a part \[K\]: what it must not exceed, and whether it is only the hand's.
pub fn limit_of(part: Part, limits: &Limits) -> Option<(f64, bool)> {
    match part {
        Part::Core => Some((limits.core, false)),
        Part::Can | Part::Sink => None,
        Part::GunCopper | Part::EarthCopper(_) => Some((limits.conductor, false)),
        Part::GunJacket | Part::EarthJacket(_) => Some((limits.touch, true)),
        Part::Joint(_) => Some((limits.touch.min(limits.joint), limits.touch < limits.joint)),
    }
}

/// What limits the pace, as the end of a sentence.
pub fn bound(bound: Bound) -> String {
    match bound {
        Bound::Charger => {
            "the charger limits it: the trigger is locked until the set is ready".into()
        }
        Bound::Part(limit) => format!("beyond it {} gets too hot", limit_name(limit)),
        Bound::Weld(reason) => format!("beyond it welds are not sound: {}", reason_of(reason)),
        Bound::Nothing => format!("no limit up to {}", pace(MOST_PACE)),
    }
}

/// The fastest sound pace of so many welds and what limits it, or that there is none.
pub fn fastest(fastest: &Fastest, welds: usize) -> String {
    let welds = counted(welds as u64);
    let name = format!("Fastest pace at which the nominal weld stays sound over {welds} welds:");
    match (fastest.pace, fastest.even_at) {
        (Some(fast), _) => format!("{name} {}; {}.", pace(fast), bound(fastest.bound)),
        (None, Some((slow, n))) if n > 0 => {
            let weld = format!("weld {}", counted(n as u64 + 1));
            let stop = match fastest.bound {
                Bound::Weld(reason) => format!("{weld} is not sound: {}", reason_of(reason)),
                Bound::Part(limit) => format!("{} gets too hot by {weld}", limit_name(limit)),
                other => bound(other),
            };
            format!("{name} none. Even at {} {stop}.", pace(slow))
        }
        (None, _) => match fastest.bound {
            Bound::Part(limit) => format!(
                "{name} none. The first weld makes {} too hot.",
                limit_name(limit)
            ),
            _ => format!("{name} none. The first weld is not sound."),
        },
    }
}

/// What a limit is of.
pub fn limit_name(limit: Limit) -> &'static str {
    match limit {
        Limit::Conductor => "the copper of a lead",
        Limit::Joint => "a terminal, a clamp or the chuck",
        Limit::Core => "the winding of the bank",
        Limit::Junction => "the junction of the switch",
    }
}

/// A reason as a part of a sentence.
pub fn reason_of(reason: Reason) -> String {
    match reason {
        Reason::Itself => "the first weld is not either".into(),
        Reason::Voltage => "the bank has not reached its voltage".into(),
        Reason::Leads => "the leads are warm and resist more".into(),
        Reason::Joint(id) => format!("{id}: worn or warm"),
        Reason::Sheet => "the sheet is warm from the welds before".into(),
        Reason::Together => "voltage, leads and joints together".into(),
    }
}

/// Word of a shift whose welds are sound while a part of the rig is hotter than its limit.
pub const TOO_HOT: &str = "sound, too hot";

/// Word of a shift whose own welds are sound, but not all of those with studs and rig scattered.
pub const NOT_ALWAYS: &str = "not always sound";

/// Word of a shift whose welds are sound, but not as the model's own constants may be.
pub const BORDERLINE: &str = "sound, borderline";

/// The band of the first weld; none where it was not fired.
pub fn band_of_first(shift: &Shift) -> Option<&Station> {
    shift.band.first().filter(|station| station.weld == 0)
}

/// The word that judges a shift's own welds, and the sentence beside it.
pub fn headline(shift: &Shift) -> (&'static str, String) {
    let all = counted(shift.run.welds.len() as u64);
    let first = &shift.run.welds[0];
    if first.verdict().is_none() {
        return (
            "discharge test",
            format!("{all} discharges through a bolted short."),
        );
    }
    let Some((n, reason)) = shift.first_bad else {
        return all_sound(shift, &all);
    };
    let bad = &shift.run.welds[n];
    let verdict = bad.verdict().map_or("", Verdict::name);
    let sentence = if n == 0 {
        format!("The first weld is {verdict}: {}", cause(bad))
    } else {
        format!(
            "Sound up to weld {}; weld {} of {all}, after {}, is {verdict} ({}): {}.",
            counted(n as u64),
            counted(n as u64 + 1),
            duration(bad.time),
            cause(bad),
            reason_of(reason)
        )
    };
    (if n == 0 { verdict } else { "not all sound" }, sentence)
}

/// The same of a shift whose own welds are all sound.
fn all_sound(shift: &Shift, all: &str) -> (&'static str, String) {
    let welds = &shift.run.welds;
    let [from, to] = [welds.first(), welds.last()].map(|w| w.map_or("–".into(), fill));
    let hot = welds.iter().any(|w| w.too_hot(&shift.case.limits));
    let borderline = band_of_first(shift).is_some_and(|s| s.is_borderline(Verdict::Sound));
    match scattered(shift) {
        Some(bad) if bad.count > 0 => (
            if hot { TOO_HOT } else { NOT_ALWAYS },
            format!(
                "Without scatter all {all} welds are sound (fill {from} to {to}); with the scatter of studs and rig {} are not \
                 ({} to {}).",
                percent(bad.share),
                percent(bad.low),
                percent(bad.high)
            ),
        ),
        _ => (
            match hot {
                true => TOO_HOT,
                false if borderline => BORDERLINE,
                false => "sound",
            },
            format!("All {all} welds are sound; fill {from} to {to}."),
        ),
    }
}

/// Share of the scattered welds that are not sound; `None` without any.
fn scattered(shift: &Shift) -> Option<Share> {
    let verdicts = shift.samples.iter().filter_map(|s| s.verdict);
    let bad = verdicts.clone().filter(|v| *v != Verdict::Sound).count();
    Share::of(bad as u64, verdicts.count() as u64)
}

/// What decided a weld, in two words: "arc out".
pub fn cause(weld: &Weld) -> String {
    weld.cause().name().replace('-', " ")
}

/// Fill of a weld.
pub fn fill(weld: &Weld) -> String {
    weld.fill().map_or("–".into(), |f| significant(f, 3))
}
