//! The joints of a loop by name, from the case file to the ledger.

use std::fmt;
use std::ops::{Index, IndexMut};

use serde::{Serialize, Serializer};

pub use super::keys::MOST_EARTHS as MAX_EARTHS;
use super::model::{Case, Joint};

/// Joints in series with the stud.
const SERIES: usize = 3;

/// Most joints a loop can have: those in series, and two of each earth lead.
pub const MAX_JOINTS: usize = SERIES + 2 * MAX_EARTHS;

/// A joint of the loop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JointId {
    /// Gun lead at the bank.
    Bank,
    /// Gun lead at the tool.
    Tool,
    /// Stud in the chuck.
    Chuck,
    /// An earth lead at the bank.
    Terminal(usize),
    /// An earth lead on the sheet.
    Clamp(usize),
}

impl JointId {
    /// The joints in series with the stud, which carry the whole current.
    pub const SERIES: [JointId; SERIES] = [JointId::Bank, JointId::Tool, JointId::Chuck];

    /// All joints of a loop with this number of earth leads, in the order of the loop.
    pub fn all(earths: usize) -> impl Iterator<Item = JointId> {
        let branches = (0..earths.min(MAX_EARTHS)).flat_map(JointId::of_earth);
        JointId::SERIES.into_iter().chain(branches)
    }

    /// Both joints of an earth lead.
    pub fn of_earth(earth: usize) -> [JointId; 2] {
        [JointId::Terminal(earth), JointId::Clamp(earth)]
    }

    /// Number of the earth lead whose current it carries; `None` is the whole current.
    pub fn earth(self) -> Option<usize> {
        match self {
            JointId::Bank | JointId::Tool | JointId::Chuck => None,
            JointId::Terminal(k) | JointId::Clamp(k) => Some(k),
        }
    }

    /// Key of the case file that sets it.
    pub fn key(self) -> String {
        match self {
            JointId::Bank => "joints.bank".into(),
            JointId::Tool => "joints.tool".into(),
            JointId::Chuck => "joints.chuck".into(),
            JointId::Terminal(k) => format!("earth.{k}.terminal"),
            JointId::Clamp(k) => format!("earth.{k}.clamp"),
        }
    }

    /// The joint of a case; `None` if the case has no such earth lead.
    pub fn of(self, case: &Case) -> Option<&Joint> {
        match self {
            JointId::Bank => Some(&case.joints.bank),
            JointId::Tool => Some(&case.joints.tool),
            JointId::Chuck => Some(&case.joints.chuck),
            JointId::Terminal(k) => case.earths.get(k).map(|e| &e.terminal),
            JointId::Clamp(k) => case.earths.get(k).map(|e| &e.clamp),
        }
    }

    fn place(self) -> usize {
        match self {
            JointId::Bank => 0,
            JointId::Tool => 1,
            JointId::Chuck => 2,
            JointId::Terminal(k) => SERIES + 2 * k,
            JointId::Clamp(k) => SERIES + 2 * k + 1,
        }
    }
}

impl fmt::Display for JointId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            JointId::Bank => f.write_str("bank terminal"),
            JointId::Tool => f.write_str("tool terminal"),
            JointId::Chuck => f.write_str("chuck"),
            JointId::Terminal(k) => write!(f, "earth {k} terminal"),
            JointId::Clamp(k) => write!(f, "earth {k} clamp"),
        }
    }
}

impl Serialize for JointId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// One value a joint.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct PerJoint<T>([T; MAX_JOINTS]);

impl<T: Copy> PerJoint<T> {
    /// The same for all.
    pub fn all(value: T) -> Self {
        PerJoint([value; MAX_JOINTS])
    }

    /// Something of each.
    pub fn map<U>(self, of: impl FnMut(T) -> U) -> PerJoint<U> {
        PerJoint(self.0.map(of))
    }
}

impl<T> Index<JointId> for PerJoint<T> {
    type Output = T;

    fn index(&self, id: JointId) -> &T {
        &self.0[id.place()]
    }
}

impl<T> IndexMut<JointId> for PerJoint<T> {
    fn index_mut(&mut self, id: JointId) -> &mut T {
        &mut self.0[id.place()]
    }
}

#[cfg(test)]
mod tests {
    use super::{JointId, MAX_EARTHS, PerJoint};
    use crate::case::keys::{self, Kind};
    use crate::case::model::Case;

    #[test]
    fn each_joint_has_a_place_of_its_own() {
        let mut seen = PerJoint::all(0);
        let all: Vec<JointId> = JointId::all(MAX_EARTHS).collect();
        for &id in &all {
            seen[id] += 1;
        }
        assert_eq!(all.len(), 11);
        assert!(all.iter().all(|&id| seen[id] == 1));
    }

    #[test]
    fn the_joints_are_those_of_the_keys() {
        let case = Case::default();
        let keys: Vec<String> = JointId::all(1).map(JointId::key).collect();
        let mut written: Vec<String> = keys::all()
            .filter(|key| matches!(key.kind, Kind::Joint(_)))
            .map(|key| key.path.replace('N', "0"))
            .collect();
        written.sort();
        let mut sorted = keys.clone();
        sorted.sort();
        assert_eq!(sorted, written);
        assert!(JointId::all(2).all(|id| id.of(&case).is_some()));
        assert_eq!(JointId::Clamp(2).of(&case), None);
    }
}
