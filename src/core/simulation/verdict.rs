//! What the shot amounts to: a screen, never an acceptance.

use serde::{Deserialize, Serialize};

use super::discharge::{Discharge, End};
use super::figures::Figures;
use super::rig::Rig;
use crate::physics::rim::RimFill;

/// The verdicts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Too little melt, or no arc at all.
    Cold,
    /// Melt enough for the rim, but not all round it.
    OneSided,
    /// Melt reaches the rim all round and little of it boils.
    Sound,
    /// Too much of the arc's energy boils metal off.
    Hot,
    /// The sheet has melted too deep.
    BurnThrough,
}

impl Verdict {
    /// All, from too little heat to too much.
    pub const ALL: [Verdict; 5] = [
        Verdict::Cold,
        Verdict::OneSided,
        Verdict::Sound,
        Verdict::Hot,
        Verdict::BurnThrough,
    ];

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Cold => "cold",
            Verdict::OneSided => "one-sided",
            Verdict::Sound => "sound",
            Verdict::Hot => "hot",
            Verdict::BurnThrough => "burn-through",
        }
    }

    /// The verdict of this name.
    pub fn named(name: &str) -> Option<Verdict> {
        Verdict::ALL.into_iter().find(|v| v.name() == name)
    }
}

/// What decided the verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// Discharge test: no weld to judge.
    DischargeTest,
    /// The bank is below its own drops.
    NeverConducted,
    /// Gap method: the stud never reached the sheet.
    NeverTouched,
    /// The pip did not burst before the current ended.
    NoIgnition,
    /// The pip was crushed before it burst.
    Stub,
    /// The current was gone before the stud was down.
    ArcOut,
    /// The arc still burned at the record's end, and the stud stood still.
    ArcEndless,
    /// The record ended before the weld was decided.
    RecordEnded,
    /// The sheet melted past the limit.
    MeltedThrough,
    /// The vapour share is above the limit.
    BoiledOff,
    /// Far more melt than the wedge takes: most leaves as spatter.
    Overfilled,
    /// Melt does not fill the wedge.
    Underfilled,
    /// Melt fills the wedge, but not all round: tilt or arc blow.
    PartFilled,
    /// Melt fills the wedge to the rim.
    Filled,
}

impl Cause {
    /// All, in the order they are looked for.
    pub const ALL: [Cause; 14] = [
        Cause::DischargeTest,
        Cause::NeverConducted,
        Cause::NeverTouched,
        Cause::NoIgnition,
        Cause::Stub,
        Cause::ArcOut,
        Cause::ArcEndless,
        Cause::RecordEnded,
        Cause::MeltedThrough,
        Cause::BoiledOff,
        Cause::Overfilled,
        Cause::Underfilled,
        Cause::PartFilled,
        Cause::Filled,
    ];

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Cause::DischargeTest => "discharge-test",
            Cause::NeverConducted => "never-conducted",
            Cause::NeverTouched => "never-touched",
            Cause::NoIgnition => "no-ignition",
            Cause::Stub => "stub",
            Cause::ArcOut => "arc-out",
            Cause::ArcEndless => "arc-endless",
            Cause::RecordEnded => "record-ended",
            Cause::MeltedThrough => "melted-through",
            Cause::BoiledOff => "boiled-off",
            Cause::Overfilled => "overfilled",
            Cause::Underfilled => "underfilled",
            Cause::PartFilled => "part-filled",
            Cause::Filled => "filled",
        }
    }

    /// The cause of this name.
    pub fn named(name: &str) -> Option<Cause> {
        Cause::ALL.into_iter().find(|cause| cause.name() == name)
    }
}

/// Judges a shot; `None` for a discharge test.
pub fn judge(
    rig: &Rig,
    figures: &Figures,
    rim: Option<RimFill>,
    d: &Discharge,
) -> (Option<Verdict>, Cause) {
    let cold = Some(Verdict::Cold);
    if rig.circuit.bolted.is_some() {
        return (None, Cause::DischargeTest);
    }
    match d.how {
        End::NeverConducted => return (cold, Cause::NeverConducted),
        End::NeverTouched => return (cold, Cause::NeverTouched),
        End::Stopped | End::StillFlowing => {}
    }
    if d.undecided() {
        return (cold, Cause::RecordEnded);
    }
    if figures.ignition_s.is_none() {
        return (
            cold,
            if d.stub.is_some() {
                Cause::Stub
            } else {
                Cause::NoIgnition
            },
        );
    }
    let melted = figures.melt_sheet_max_m.unwrap_or(0.0);
    if melted > rig.burn_share * rig.faces[1].depth {
        return (Some(Verdict::BurnThrough), Cause::MeltedThrough);
    }
    if d.arc_out.is_some() {
        return (cold, Cause::ArcOut);
    }
    if figures.touchdown_s.is_none() {
        return (cold, Cause::ArcEndless);
    }
    if figures.vapour_share.unwrap_or(0.0) > rig.hot_share {
        return (Some(Verdict::Hot), Cause::BoiledOff);
    }
    if figures.fill_ratio.is_some_and(|fill| fill > rig.overfill) {
        return (Some(Verdict::Hot), Cause::Overfilled);
    }
    // No wedge at all (a flat face without a mark) needs no filling.
    match rim {
        Some(rim) if rim.even < 1.0 => (cold, Cause::Underfilled),
        Some(rim) if rim.least < 1.0 => (Some(Verdict::OneSided), Cause::PartFilled),
        _ => (Some(Verdict::Sound), Cause::Filled),
    }
}
