//! Default range of a search.

use crate::case::Case;
use crate::case::keys::{Address, Number, mark_of};
use crate::study::range::Vary;

/// Sets of this kind end near this charging voltage \[V\]. Common practice, no source.
pub const USUAL_MOST: f64 = 200.0;

/// Searched is from the present value over this.
const DOWN: f64 = 4.0;

const VOLTAGE: &str = "bank.voltage";

/// From a quarter of the present value to `up` times it, within the key's bounds; a charging voltage to
/// the highest the bank may have. `None` where the present value is not above zero.
pub fn around(base: &Case, address: &Address, number: &Number, up: f64) -> Option<[f64; 2]> {
    let now = address.number(base).filter(|now| *now > 0.0)?;
    let range = &number.range;
    let least = if range.with_least {
        range.least
    } else {
        range.least + 1e-6 * now
    };
    let most = if range.with_most {
        range.most
    } else {
        range.most * (1.0 - 1e-9)
    };
    let (from, to) = ((now / DOWN).max(least), (now * up).min(most));
    let to = if address.to_string() == VOLTAGE {
        highest_voltage(base, to)
    } else {
        to
    };
    Some([from, to])
}

/// The highest voltage to search \[V\]: that of the bank where the case has it, or else `most` as far as it is usual.
pub fn highest_voltage(base: &Case, most: f64) -> f64 {
    match base.bank.voltage_max {
        Some(highest) => highest,
        None if base.bank.voltage > USUAL_MOST => most,
        None => most.min(USUAL_MOST),
    }
}

/// The highest voltage of the bank as a value of the key `path` (in volts or marks), if it is that key's limit.
pub fn limit_of_bank(base: &Case, path: &str) -> Option<f64> {
    let highest = base.bank.voltage_max?;
    if path == VOLTAGE {
        return Some(highest);
    }
    let (key, place) = mark_of(path)?;
    let is_it = key.path == path && place.number == VOLTAGE;
    let scale = place.scale(base).filter(|_| is_it)?;
    // Below the whole scale no mark may be set.
    let below = highest < scale.values()[0];
    below
        .then_some(f64::NEG_INFINITY)
        .or_else(|| scale.mark(highest))
}

/// Whether a range goes beyond what the bank may be charged to.
pub fn over_limit(base: &Case, vary: &Vary) -> bool {
    let limit = limit_of_bank(base, &vary.address.to_string());
    limit.is_some_and(|limit| vary.from.max(vary.to) > limit * (1.0 + 1e-12))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::keys::find;
    use crate::case::scale::Scale;

    fn searched(base: &Case, path: &str, up: f64) -> Option<[f64; 2]> {
        let address = find(path).unwrap();
        around(base, &address, address.about().unwrap(), up)
    }

    #[test]
    fn a_voltage_is_searched_to_what_the_bank_may_have() {
        let mut case = Case::default();
        assert_eq!(searched(&case, "bank.voltage", 4.0), Some([28.0, 200.0]));
        case.bank.voltage = 80.0;
        assert_eq!(searched(&case, "bank.voltage", 2.0), Some([20.0, 160.0]));
        // A bank that has more already is none of the usual ones.
        case.bank.voltage = 220.0;
        assert_eq!(searched(&case, "bank.voltage", 2.0), Some([55.0, 440.0]));
        case.bank.voltage_max = Some(240.0);
        assert_eq!(searched(&case, "bank.voltage", 2.0), Some([55.0, 240.0]));
        assert_eq!(
            searched(&case, "tool.spring_force", 2.0),
            Some([20.0, 160.0])
        );
        assert_eq!(searched(&case, "tool.tilt", 2.0), None);
    }

    #[test]
    fn a_mark_stands_for_its_voltage() {
        let mut case = Case::default();
        case.bank.scale = Scale::new(vec![[1.0, 60.0], [10.0, 150.0]]).ok();
        case.bank.voltage_max = Some(140.0);
        assert_eq!(limit_of_bank(&case, "bank.voltage_mark"), Some(9.0));
        assert_eq!(limit_of_bank(&case, "bank.voltage"), Some(140.0));
        assert_eq!(limit_of_bank(&case, "tool.spring_force"), None);
        let limit = |most: f64| {
            let mut case = case.clone();
            case.bank.voltage_max = Some(most);
            limit_of_bank(&case, "bank.voltage_mark")
        };
        assert_eq!(limit(50.0), Some(f64::NEG_INFINITY));
        assert_eq!(limit(200.0), None);
        let over = |text: &str| over_limit(&case, &Vary::read(&case, text, 2).unwrap());
        assert!(over("bank.voltage_mark=1..10") && !over("bank.voltage_mark=1..9"));
        assert!(over("bank.voltage=60..141V") && !over("bank.voltage=60..140V"));
    }
}
