//! Values that are valid and yet far from what is usual, as by a slip in the unit.

use std::fmt;

use super::keys::{Address, Kind, Number, Place, find};
use super::model::Case;
use super::quantity::Dimension;

/// A value so many times the usual one, or as small a part of it, is doubted.
const FAR: f64 = 100.0;

/// With the unit that was meant, it is near the usual one by this factor.
const NEAR: f64 = 8.0;

/// Powers of ten between units that are taken for one another: mF for uF, mm for m.
const SLIPS: [i32; 4] = [3, -3, 6, -6];

/// A value far from what is usual.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Full name of the key.
    pub path: String,
    /// Its value with the customary unit.
    pub value: String,
    /// The value of the demonstration case.
    pub usual: String,
    /// The same digits in the unit that was probably meant.
    pub meant: String,
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(
            f,
            "`{}` is {}, far from the usual {}; did you mean `{}`?",
            self.path, self.value, self.usual, self.meant
        )
    }
}

/// The doubt about a value \[SI\], if there is one.
pub(super) fn doubt(address: &Address, value: f64) -> Option<Doubt> {
    let (number, usual) = expected(address)?;
    let times = value / usual;
    if times <= 0.0 || (1.0 / FAR..=FAR).contains(&times) {
        return None;
    }
    Some(Doubt {
        path: address.to_string(),
        value: number.text(value),
        usual: number.text(usual),
        meant: meant(number, value, usual)?,
    })
}

/// What was probably meant by a value far from the usual one: the same digits in another unit.
fn meant(number: &Number, value: f64, usual: f64) -> Option<String> {
    let other = SLIPS.map(|power| value * 10f64.powi(power));
    let near = |v: &f64| (1.0 / NEAR..=NEAR).contains(&(v / usual));
    other.into_iter().find(near).map(|v| number.short(v, 6))
}

/// What was probably meant by a value out of bounds.
pub(super) fn meant_at(path: &str, value: f64) -> Option<String> {
    let address = find(path).ok()?;
    let (number, usual) = expected(&address)?;
    meant(number, value, usual)
}

/// Quantities of the rig with a usual value above zero. Of joints and friction anything may be meant, and of a place
/// as well.
fn expected(address: &Address) -> Option<(&Number, f64)> {
    let key = match address {
        Address::Case(key) | Address::Earth(key, _) => key,
        Address::Metal(..) => return None,
    };
    let Kind::Number(number, Place::Case(..) | Place::Earth(..)) = &key.kind else {
        return None;
    };
    let judged = ["bank", "lead", "earth", "tool", "stud", "sheet"].contains(&key.section());
    let other = [Dimension::Number, Dimension::Temperature, Dimension::Angle];
    if !judged || other.contains(&number.dimension) || key.path.contains(".at.") {
        return None;
    }
    let first = match address {
        Address::Earth(key, _) => Address::Earth(key, 0),
        other => other.clone(),
    };
    let value = first.number(&Case::default())?;
    (value > 0.0).then_some((number, value))
}

#[cfg(test)]
mod tests {
    use crate::case::read::demonstration;

    fn said(set: &str) -> Vec<String> {
        let resolved = demonstration(&[set.to_string()]).unwrap();
        resolved.doubts.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_slip_in_the_unit_is_doubted() {
        assert_eq!(
            said("bank.capacitance=72uF"),
            ["`bank.capacitance` is 0.072 mF, far from the usual 72 mF; did you mean `72 mF`?"]
        );
        // What is out of bounds is an error, with the same hint.
        let error = demonstration(&["lead.length=5mm".to_string()]).unwrap_err();
        assert!(error.to_string().contains("did you mean `5 m`?"), "{error}");
    }

    #[test]
    fn what_may_well_be_is_not() {
        for set in [
            "bank.capacitance=9mF",
            "bank.voltage=1V",
            "lead.length=40m",
            "tool.lift=3mm",
            "earth.0.at.x=-2m",
            "joints.chuck=30mohm",
            "tool.friction=0N",
        ] {
            assert_eq!(said(set), [""; 0], "{set}");
        }
    }
}
