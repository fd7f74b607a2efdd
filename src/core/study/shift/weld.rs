//! One weld of a shift, and the account of its energy.

use super::fired::{Element, Figure, Fired};
use crate::case::model::Limits;
use crate::simulation::verdict::{Cause, Verdict};

/// One weld. Temperatures are those right after its shot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weld {
    /// On the clock of the shift \[s\].
    pub time: f64,
    /// Voltage the bank had reached \[V\].
    pub voltage: f64,
    /// Whether that was enough to be ready.
    pub is_ready: bool,
    /// Hottest copper of a lead \[K\].
    pub conductor: f64,
    /// Hottest surface of a lead \[K\].
    pub jacket: f64,
    /// Hottest terminal, clamp or chuck \[K\].
    pub joint: f64,
    /// Windings of the capacitors \[K\].
    pub core: f64,
    /// Junction of the switch at its hottest \[K\].
    pub junction: f64,
    /// Sheet where the weld went, before it \[K\].
    pub sheet: f64,
    /// Chuck \[K\].
    pub chuck: f64,
    /// Share of the chuck's force that is left.
    pub grip: f64,
    /// Whether something that a hand touches is too hot for it.
    pub touch: bool,
    /// Its joules and figures.
    pub shot: Fired,
    /// Whether it was fired itself, or interpolated between shots that were.
    pub fired: bool,
}

/// A limit that a weld breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Copper of a lead.
    Conductor,
    /// A terminal, a clamp, the chuck.
    Joint,
    /// Windings of the capacitors.
    Core,
    /// Junction of the switch.
    Junction,
}

impl Weld {
    /// Its verdict; `None` for a discharge test.
    pub fn verdict(&self) -> Option<Verdict> {
        self.shot.verdict
    }

    /// Whether it is sound, or a discharge test, which is no weld.
    pub fn is_sound(&self) -> bool {
        matches!(self.shot.verdict, None | Some(Verdict::Sound))
    }

    /// What decided it.
    pub fn cause(&self) -> Cause {
        self.shot.cause
    }

    /// Filler over the space under the cone.
    pub fn fill(&self) -> Option<f64> {
        self.shot.known(Figure::Fill)
    }

    /// Energy of the charged bank \[J\].
    pub fn stored(&self) -> f64 {
        self.shot.numbers[..super::fired::ELEMENTS].iter().sum()
    }

    /// Joules of an element.
    pub fn joules(&self, element: Element) -> f64 {
        self.shot.joules(element)
    }

    /// The first limit of the rig that is exceeded.
    pub fn limit(&self, limits: &Limits) -> Option<Limit> {
        [
            (self.junction, limits.junction, Limit::Junction),
            (self.conductor, limits.conductor, Limit::Conductor),
            (self.joint, limits.joint, Limit::Joint),
            (self.core, limits.core, Limit::Core),
        ]
        .into_iter()
        .find(|(is, most, _)| is > most)
        .map(|(_, _, limit)| limit)
    }

    /// Whether a part is too hot.
    pub fn too_hot(&self, limits: &Limits) -> bool {
        self.limit(limits).is_some()
    }
}

/// Where the energy of a shift came from and went \[J\].
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Account {
    /// From the mains.
    pub mains: f64,
    /// Lost in the charger.
    pub charger: f64,
    /// Into the welds: stud, pip, sheet.
    pub work: f64,
    /// Light, gas and spatter.
    pub light: f64,
    /// Given to the room by the parts of the rig.
    pub to_room: f64,
    /// Held by them above the room when the shift ends.
    pub held: f64,
    /// Left in the bank.
    pub left_in_bank: f64,
}

impl Account {
    /// What is missing between the two sides, over what the mains gave.
    pub fn imbalance(&self) -> f64 {
        let out = self.charger + self.work + self.light + self.to_room + self.left_in_bank;
        (out + self.held - self.mains) / self.mains.max(f64::MIN_POSITIVE)
    }
}
