//! Events in words, the same on the terminal, the page and in pictures.

use arcplunge_core::simulation::events::{Event, EventName};
use arcplunge_core::simulation::shot::Shot;

use crate::format::{depth, engineering, significant};

/// What happens, in a word or two.
pub fn words(event: &Event) -> String {
    let joint = |does: &str| {
        event
            .joint
            .map_or_else(|| does.to_string(), |joint| format!("{joint} {does}"))
    };
    match event.name {
        EventName::Trigger => "trigger".into(),
        EventName::PipTouch => "pip touches".into(),
        EventName::PipYield => "pip yields".into(),
        EventName::Ignition => "ignition".into(),
        EventName::DiodeConducts => "diode conducts".into(),
        EventName::DiodeBlocks => "diode blocks".into(),
        EventName::Touchdown => "touchdown".into(),
        EventName::ArcOut => "arc out".into(),
        EventName::Stub => "stub".into(),
        EventName::CurrentEnd => "current ends".into(),
        EventName::Frozen => "frozen".into(),
        EventName::JointMelts => joint("melts"),
        EventName::JointSets => joint("sets"),
        EventName::JointParts => joint("parts"),
    }
}

/// What there is to say of it beside its name; may be nothing.
pub fn note(event: &Event, shot: &Shot) -> String {
    let f = &shot.figures;
    match event.name {
        EventName::PipTouch => "the current starts".into(),
        EventName::PipYield => "the spring begins to move the stud".into(),
        EventName::Ignition => f.gap_at_ignition_m.map_or_else(String::new, |gap| {
            format!("the pip bursts, gap {}", depth(gap))
        }),
        EventName::DiodeConducts => "the bank is all but empty".into(),
        EventName::DiodeBlocks => "the bank carries the current again".into(),
        EventName::Touchdown => match (f.touchdown_speed_m_per_s, f.touchdown_current_A) {
            (Some(speed), Some(current)) => format!(
                "{} m/s, {} still flowing",
                significant(speed, 3),
                engineering(current, "A")
            ),
            _ => String::new(),
        },
        EventName::ArcOut => "the current ends before the stud is down".into(),
        EventName::Stub => "the pip is crushed before it bursts".into(),
        EventName::JointParts => "it arcs until the current ends".into(),
        EventName::Trigger
        | EventName::CurrentEnd
        | EventName::Frozen
        | EventName::JointMelts
        | EventName::JointSets => String::new(),
    }
}
