//! The events of a weld cycle and the phases they separate.

use serde::Serialize;

/// A phase of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventName {
    Trigger,
    /// Gap method: the pip meets the sheet.
    PipTouch,
    /// Contact method: the stud starts to move.
    PipYield,
    /// The pip bursts and the arc strikes.
    Ignition,
    /// The diode takes over from the empty bank.
    BankEmpty,
    /// The flange meets the sheet and shorts the arc.
    Touchdown,
    /// The current is gone before the stud is down.
    ArcOut,
    /// The pip is fully crushed before it bursts: no arc.
    Stub,
    CurrentEnd,
    /// The last melt of the joint freezes.
    Frozen,
}

impl EventName {
    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            EventName::Trigger => "trigger",
            EventName::PipTouch => "pip-touch",
            EventName::PipYield => "pip-yield",
            EventName::Ignition => "ignition",
            EventName::BankEmpty => "bank-empty",
            EventName::Touchdown => "touchdown",
            EventName::ArcOut => "arc-out",
            EventName::Stub => "stub",
            EventName::CurrentEnd => "current-end",
            EventName::Frozen => "frozen",
        }
    }
}

/// An event and when it came.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Event {
    pub name: EventName,
    /// Time from the trigger [s].
    pub time_s: f64,
}
