//! Events in words, the same on the terminal, the page and in pictures.

use serde::Serialize;

use arcplunge_core::simulation::events::{Event, EventName};
use arcplunge_core::simulation::shot::Shot;

use crate::format::{depth, engineering, listed, significant};

/// Events closer than this are at one time \[s\].
const AT_ONCE: f64 = 1e-9;

/// What happens at one time: an event, or the same one of several joints.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Moment {
    /// Name in files.
    pub name: &'static str,
    /// What happens, in a word or two.
    pub words: String,
    /// What there is to say of it beside its name; may be nothing.
    pub note: String,
    /// Time from the trigger \[s\].
    pub time_s: f64,
}

/// The events of a shot in order of time, those of joints that do the same at once as one.
pub fn moments(shot: &Shot) -> Vec<Moment> {
    let alike = |a: &Event, b: &Event| {
        a.joint.is_some() && a.name == b.name && b.time_s - a.time_s < AT_ONCE
    };
    let moment = |events: &[Event]| match events {
        [] => None,
        [e] => Some(Moment {
            name: e.name.name(),
            words: words(e),
            note: note(e, shot),
            time_s: e.time_s,
        }),
        [e, ..] => Some(Moment {
            name: e.name.name(),
            words: together(events),
            note: note(e, shot).replace("it arcs", "they arc"),
            time_s: e.time_s,
        }),
    };
    shot.events.chunk_by(alike).filter_map(moment).collect()
}

/// "bank terminal, earth 0 clamp and earth 1 clamp part".
fn together(events: &[Event]) -> String {
    let does = match events[0].name {
        EventName::JointMelts => "melt",
        EventName::JointSets => "set",
        _ => "part",
    };
    let joints = events.iter().filter_map(|e| e.joint);
    let joints: Vec<String> = joints.map(|joint| joint.to_string()).collect();
    format!("{} {does}", listed(&joints))
}

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

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::joint_id::JointId;
    use arcplunge_core::case::read::demonstration;
    use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
    use arcplunge_core::simulation::rig::Rig;

    #[test]
    fn joints_that_do_the_same_at_once_are_told_together_and_no_event_is_lost() {
        let sets = [
            "earth.0.clamp=loose",
            "earth.1.clamp=loose",
            "joints.tool=loose",
        ];
        let case = demonstration(&sets.map(String::from)).unwrap().case;
        let shot = fire(
            &Rig::new(&case),
            &Settings::default(),
            &mut Workspace::default(),
        )
        .unwrap();
        let moments = moments(&shot);
        let named = |words: &str| moments.iter().filter(|m| m.words == words).count();
        assert_eq!(named("earth 0 clamp and earth 1 clamp melt"), 1);
        assert_eq!(named("tool terminal parts"), 1);
        let joint = |e: &&Event| e.joint.is_some();
        for event in shot.events.iter().filter(joint) {
            let told = |m: &&Moment| (m.time_s - event.time_s).abs() <= AT_ONCE;
            let id: Option<JointId> = event.joint;
            let name = id.unwrap().to_string();
            assert!(
                moments.iter().filter(told).any(|m| m.words.contains(&name)),
                "{name}"
            );
        }
    }
}
