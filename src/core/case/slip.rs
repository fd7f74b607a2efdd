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

/// What is valid and may not be meant.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Doubt {
    /// A value far from what is usual.
    Far(Far),
    /// An override of a part of an earth lead makes one that the case did not have.
    NewEarth {
        /// Its number, which is how many there were.
        number: usize,
        /// Where its clamp stands, as a case file writes it.
        at: [String; 2],
    },
    /// An override of a key that the method does not use.
    Idle {
        /// Full name of the key.
        path: &'static str,
    },
}

/// A value far from what is usual.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Far {
    /// Full name of the key.
    pub path: String,
    /// Its value with the customary unit.
    pub value: String,
    /// The value of the demonstration case.
    pub usual: String,
    /// The same digits in the unit that was probably meant.
    pub meant: String,
}

impl Doubt {
    /// Whether it holds of a shot alone: a study may take the case by the other method.
    pub fn is_idle(&self) -> bool {
        matches!(self, Doubt::Idle { .. })
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Doubt::Far(far) => write!(
                f,
                "`{}` is {}, far from the usual {}; did you mean `{}`?",
                far.path, far.value, far.usual, far.meant
            ),
            Doubt::NewEarth { number, at: [x, y] } => {
                let before = match number {
                    1 => "earth 0 alone".to_string(),
                    2 => "earths 0 and 1".to_string(),
                    n => format!("earths 0 to {}", n - 1),
                };
                write!(
                    f,
                    "earth {number} is new, its clamp at {x}, {y} from the stud; the case had {before}"
                )
            }
            Doubt::Idle { path } => write!(
                f,
                "`{path}` plays no part with the contact method, which is this case's"
            ),
        }
    }
}

/// The doubt about a value \[SI\], if there is one.
pub(super) fn doubt(address: &Address, value: f64) -> Option<Doubt> {
    let (number, usual) = expected(address)?;
    let times = value / usual;
    if times <= 0.0 || (1.0 / FAR..=FAR).contains(&times) {
        return None;
    }
    Some(Doubt::Far(Far {
        path: address.to_string(),
        value: number.text(value),
        usual: number.text(usual),
        meant: meant(number, value, usual)?,
    }))
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
    fn an_override_that_adds_a_lead_or_does_nothing_is_told() {
        assert_eq!(
            said("earth.2.clamp=loose"),
            [
                "earth 2 is new, its clamp at 0 mm, -200 mm from the stud; the case had earths 0 and 1"
            ]
        );
        for meant in ["earth.2.at=0 mm, 100 mm", "earth.2.length=5m"] {
            assert_eq!(said(meant), [""; 0]);
        }
        assert_eq!(said("earth.1.clamp=loose"), [""; 0]);
        let idle = ["`tool.lift` plays no part with the contact method, which is this case's"];
        assert_eq!(said("tool.lift=0.5mm"), idle);
        let gap = ["tool.lift=0.5mm", "tool.method=gap"].map(String::from);
        assert_eq!(demonstration(&gap).unwrap().doubts, []);
    }

    #[test]
    fn what_may_well_be_is_not() {
        for set in [
            "bank.capacitance=9mF",
            "bank.voltage=1V",
            "lead.length=40m",
            "tool.spring_rate=3N/mm",
            "earth.0.at.x=-2m",
            "joints.chuck=30mohm",
            "tool.friction=0N",
        ] {
            assert_eq!(said(set), [""; 0], "{set}");
        }
    }
}
