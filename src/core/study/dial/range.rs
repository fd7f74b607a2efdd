//! What a rig can be set to, and the default range of a search.

use crate::case::Case;
use crate::case::keys::{Address, Number, mark_of};
use crate::study::range::Vary;

/// Sets of this kind end near this charging voltage \[V\]. Common practice, no source.
pub const USUAL_MOST: f64 = 200.0;

/// A key is usually searched to its present value times this.
pub const REACH: f64 = 4.0;

/// Searched is from the present value over this.
const DOWN: f64 = 4.0;

/// The key of the charging voltage.
pub const VOLTAGE: &str = "bank.voltage";
const SPRING: &str = "tool.spring_force";

/// From a quarter of the present value to `up` times it, within the key's bounds and what the rig can be set to.
/// `None` where the present value is not above zero, or nothing is left.
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
    let path = address.to_string();
    let [lowest, highest] = rig_limits(base, &path);
    let to = (now * up).min(most);
    let to = match highest {
        Some(highest) => highest,
        None if path == VOLTAGE && base.bank.voltage <= USUAL_MOST => to.min(USUAL_MOST),
        None => to,
    };
    let from = lowest.unwrap_or(now.min(to) / DOWN).max(least);
    (from < to).then_some([from, to])
}

/// The lowest and the highest value the rig can be set to of the key `path`, a quantity or its mark, where the case
/// says so: `bank.voltage_max`, `tool.spring_min` and `tool.spring_max`.
pub fn rig_limits(base: &Case, path: &str) -> [Option<f64>; 2] {
    let limits = |path: &str| match path {
        VOLTAGE => [None, base.bank.voltage_max],
        SPRING => [base.tool.spring_min, base.tool.spring_max],
        _ => [None; 2],
    };
    let Some((_, place)) = mark_of(path).filter(|(key, _)| key.path == path) else {
        return limits(path);
    };
    let Some(scale) = place.scale(base) else {
        return [None; 2];
    };
    // Of a scale that lies beyond a limit no mark may be set.
    let [first, last] = scale.values();
    let [lowest, highest] = limits(place.number);
    [
        lowest.and_then(|low| match low > last {
            true => Some(f64::INFINITY),
            false => scale.mark(low),
        }),
        highest.and_then(|high| match high < first {
            true => Some(f64::NEG_INFINITY),
            false => scale.mark(high),
        }),
    ]
}

/// What the rig cannot be set to of a range, in words; `None` of a range within its limits.
pub fn beyond_rig(base: &Case, vary: &Vary) -> Option<&'static str> {
    let path = vary.address.to_string();
    let [lowest, highest] = rig_limits(base, &path);
    let is_voltage = path.starts_with("bank.");
    if highest.is_some_and(|most| vary.from.max(vary.to) > most * (1.0 + 1e-12)) {
        return Some(match is_voltage {
            true => "exceeds `bank.voltage_max`, the highest voltage of the bank",
            false => "exceeds `tool.spring_max`, the strongest spring force of the tool",
        });
    }
    let below = lowest.is_some_and(|least| vary.from.min(vary.to) < least * (1.0 - 1e-12));
    below.then_some("goes below `tool.spring_min`, the weakest spring force of the tool")
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
    fn a_spring_is_searched_over_what_the_tool_can_be_set_to() {
        let mut case = Case::default();
        case.tool.spring_min = Some(40.0);
        let force = |case: &Case| searched(case, SPRING, 2.0);
        assert_eq!(force(&case), Some([40.0, 160.0]));
        case.tool.spring_max = Some(120.0);
        assert_eq!(force(&case), Some([40.0, 120.0]));
        // Also where the spring of the case is weaker than it can be set to.
        case.tool.spring_force = 15.0;
        assert_eq!(force(&case), Some([40.0, 120.0]));
        let said = |text: &str| beyond_rig(&case, &Vary::read(&case, text, 2).unwrap());
        assert!(
            said("tool.spring_force=40..121N")
                .unwrap()
                .contains("spring_max")
        );
        assert!(
            said("tool.spring_force=39..120N")
                .unwrap()
                .contains("spring_min")
        );
        assert_eq!(said("tool.spring_force=40..120N"), None);
        case.tool.scale = Scale::new(vec![[1.0, 30.0], [5.0, 110.0]]).ok();
        assert_eq!(rig_limits(&case, "tool.spring_mark"), [Some(1.5), None]);
    }

    #[test]
    fn a_mark_stands_for_its_voltage() {
        let mut case = Case::default();
        case.bank.scale = Scale::new(vec![[1.0, 60.0], [10.0, 150.0]]).ok();
        case.bank.voltage_max = Some(140.0);
        assert_eq!(rig_limits(&case, "bank.voltage_mark"), [None, Some(9.0)]);
        assert_eq!(rig_limits(&case, "bank.voltage"), [None, Some(140.0)]);
        assert_eq!(rig_limits(&case, "tool.spring_force"), [None; 2]);
        let limit = |most: f64| {
            let mut case = case.clone();
            case.bank.voltage_max = Some(most);
            rig_limits(&case, "bank.voltage_mark")[1]
        };
        assert_eq!(limit(50.0), Some(f64::NEG_INFINITY));
        assert_eq!(limit(200.0), None);
        let over = |text: &str| beyond_rig(&case, &Vary::read(&case, text, 2).unwrap()).is_some();
        assert!(over("bank.voltage_mark=1..10") && !over("bank.voltage_mark=1..9"));
        assert!(over("bank.voltage=60..141V") && !over("bank.voltage=60..140V"));
    }
}
