//! Where a value stands, and whose it is.

use super::draft::Home;
use crate::case::diagnose::Spot;
use crate::case::keys::{self, Address, Key, Number};

/// Where a value of several parts stands, and whose it is.
pub(super) struct Site<'a> {
    pub key: &'static Key,
    pub address: &'a Address,
    pub spot: Spot,
    pub home: Home,
}

impl Site<'_> {
    /// The part of this name: its address and what it takes.
    pub fn part(&self, name: &str) -> Option<(Address, &'static Number)> {
        let key = keys::by_name(self.key.section(), &format!("{}.{name}", self.key.name()))?;
        let address = match self.address {
            Address::Earth(_, number) => Address::Earth(key, *number),
            _ => Address::Case(key),
        };
        Some((address, key.number()?))
    }
}
