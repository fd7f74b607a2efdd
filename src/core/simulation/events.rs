//! The events of a weld cycle and the phases they separate.

use super::few::Few;
use crate::case::joint_id::{JointId, MAX_JOINTS};
use serde::{Deserialize, Serialize, Serializer};

/// A phase of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Phase {
    /// Gap method: the stud flies, no current yet.
    Approach,
    /// Current heats the pip like a fuse.
    Fuse,
    /// The arc burns over the whole flange.
    Arc,
    /// The faces have met; melt is squeezed out and freezes.
    Forge,
    /// No current; heat spreads.
    Rest,
    /// Discharge test through a bolted short.
    Short,
}

impl Phase {
    /// All, in order; a test through a bolted short has none of the others.
    pub const ALL: [Phase; 6] = [
        Phase::Approach,
        Phase::Fuse,
        Phase::Arc,
        Phase::Forge,
        Phase::Rest,
        Phase::Short,
    ];

    /// Name in files and on plots.
    pub fn name(self) -> &'static str {
        match self {
            Phase::Approach => "approach",
            Phase::Fuse => "fuse",
            Phase::Arc => "arc",
            Phase::Forge => "forge",
            Phase::Rest => "rest",
            Phase::Short => "short",
        }
    }
}

/// What can happen in a cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventName {
    /// The switch closes, or the stud is released.
    Trigger,
    /// Gap method: the pip meets the sheet.
    PipTouch,
    /// Contact method: the stud starts to move.
    PipYield,
    /// The pip bursts and the arc strikes.
    Ignition,
    /// The free-wheel diode begins to conduct, beside a bank that is all but empty.
    DiodeConducts,
    /// The diode ceases to conduct.
    DiodeBlocks,
    /// The flange meets the sheet and shorts the arc.
    Touchdown,
    /// The current ends before the stud is down.
    ArcOut,
    /// The pip is fully crushed before it bursts: no arc.
    Stub,
    /// The current ends.
    CurrentEnd,
    /// The last melt of the joint freezes.
    Frozen,
    /// A joint of the loop begins to melt.
    JointMelts,
    /// A joint of the loop sets, for the last time.
    JointSets,
    /// A joint of the loop parts, and arcs until the current ends.
    JointParts,
}

impl EventName {
    /// All.
    pub const ALL: [EventName; 14] = [
        EventName::Trigger,
        EventName::PipTouch,
        EventName::PipYield,
        EventName::Ignition,
        EventName::DiodeConducts,
        EventName::DiodeBlocks,
        EventName::Touchdown,
        EventName::ArcOut,
        EventName::Stub,
        EventName::CurrentEnd,
        EventName::Frozen,
        EventName::JointMelts,
        EventName::JointSets,
        EventName::JointParts,
    ];

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            EventName::Trigger => "trigger",
            EventName::PipTouch => "pip-touch",
            EventName::PipYield => "pip-yield",
            EventName::Ignition => "ignition",
            EventName::DiodeConducts => "diode-conducts",
            EventName::DiodeBlocks => "diode-blocks",
            EventName::Touchdown => "touchdown",
            EventName::ArcOut => "arc-out",
            EventName::Stub => "stub",
            EventName::CurrentEnd => "current-end",
            EventName::Frozen => "frozen",
            EventName::JointMelts => "joint-melts",
            EventName::JointSets => "joint-sets",
            EventName::JointParts => "joint-parts",
        }
    }
}

/// An event and when it came.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Event {
    /// What happened.
    pub name: EventName,
    /// Time from the trigger \[s\].
    pub time_s: f64,
    /// The joint of the loop that melts, sets or parts.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "as_key")]
    pub joint: Option<JointId>,
}

impl Event {
    /// An event of the weld or its supply.
    pub fn new(name: EventName, time_s: f64) -> Self {
        Event {
            name,
            time_s,
            joint: None,
        }
    }
}

fn as_key<S: Serializer>(joint: &Option<JointId>, serializer: S) -> Result<S::Ok, S::Error> {
    joint.map(JointId::key).serialize(serializer)
}

/// Events of a shot in order of time: each comes once, but for a diode that conducts again and those of the joints.
pub type Events = Few<Event, { EventName::ALL.len() + 2 + 3 * MAX_JOINTS }>;

/// Phases of a shot with their start \[s\]; each ends where the next begins.
pub type Phases = Few<(Phase, f64), { Phase::ALL.len() }>;

#[cfg(test)]
mod tests {
    use std::fmt::Debug;

    use serde::{Serialize, de::DeserializeOwned};

    use super::{EventName, Phase};
    use crate::simulation::verdict::{Cause, Verdict};

    /// Each name is that of the JSON, and `all` has every one of them, in order.
    fn same_names<T>(all: &[T], name: fn(T) -> &'static str)
    where
        T: Serialize + DeserializeOwned + Debug + Copy + PartialEq,
    {
        for one in all {
            let json = serde_json::to_string(one).unwrap();
            assert_eq!(json, format!("\"{}\"", name(*one)));
        }
        let told = serde_json::from_str::<T>("\"?\"").unwrap_err().to_string();
        let known: Vec<&str> = told.split('`').skip(3).step_by(2).collect();
        let names: Vec<&str> = all.iter().map(|one| name(*one)).collect();
        assert_eq!(known, names);
    }

    #[test]
    fn the_names_in_files_are_those_of_the_json() {
        same_names(&Phase::ALL, Phase::name);
        same_names(&EventName::ALL, EventName::name);
        same_names(&Verdict::ALL, Verdict::name);
        same_names(&Cause::ALL, Cause::name);
    }
}
