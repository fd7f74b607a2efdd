//! Welds of this rig to look at: sound, cold, hot, one-sided, each the nearest to the card's setting.

use crate::case::Case;
use crate::case::quantity::to_digits;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::verdict::Verdict;
use crate::study::assessment::Assessment;
use crate::study::earths::{Blow, blow_of};

/// Steps of the voltage, as a share, and of the tilt \[°\].
const RATIO: f64 = 0.97;
const DEGREES: f64 = 0.5;

/// Steps at most: down to 0.4, up to 2.5 times the voltage; 10° out of square.
const VOLTAGES: i32 = 30;
const TILTS: i32 = 20;

/// A weld to look at.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// What it is.
    pub verdict: Verdict,
    /// The case that makes it.
    pub case: Case,
    /// Its shot, with the fill all round its rim.
    pub blow: Blow,
}

/// The weld itself, then cold, hot and one-sided ones; those that this rig does not make at `most` \[V\] or below are left
/// out.
pub(super) fn looks(weld: &Assessment, most: f64) -> Result<Vec<Look>, IntegrationError> {
    let base = &weld.case;
    let volts = |factor: f64| {
        let mut case = base.clone();
        case.bank.voltage = outwards(case.bank.voltage, factor);
        (case.bank.voltage <= most).then_some(case)
    };
    let lean = |degrees: f64| {
        let mut case = base.clone();
        case.tool.tilt += degrees.to_radians();
        super::checked(case)
    };
    let hot = |v| matches!(v, Verdict::Hot | Verdict::BurnThrough);
    let mut out = Vec::new();
    if weld.shot.verdict == Some(Verdict::Sound) {
        out.push(Look {
            verdict: Verdict::Sound,
            case: base.clone(),
            blow: weld.blow.clone(),
        });
    }
    let down = (0..=VOLTAGES).map_while(|n| volts(RATIO.powi(n)));
    out.extend(first(down, |v| v == Verdict::Cold)?);
    let up = (0..=VOLTAGES).map_while(|n| volts(RATIO.powi(-n)));
    out.extend(first(up, hot)?);
    let aside = (0..=TILTS).map_while(|n| lean(DEGREES * f64::from(n)));
    out.extend(first(aside, |v| v == Verdict::OneSided)?);
    Ok(out)
}

/// A voltage times a factor, to three digits and away from it: what is told is fired, and is not told as inside a window
/// that it is outside of.
fn outwards(voltage: f64, factor: f64) -> f64 {
    let value = voltage * factor;
    let digit = 10f64.powf(value.log10().floor() - 2.0);
    let steps = match factor {
        f if f < 1.0 => (value / digit).floor(),
        f if f > 1.0 => (value / digit).ceil(),
        _ => return voltage,
    };
    to_digits(steps * digit, 3)
}

/// The first of these cases whose weld has a verdict that is wanted.
fn first(
    cases: impl Iterator<Item = Case>,
    wanted: impl Fn(Verdict) -> bool,
) -> Result<Option<Look>, IntegrationError> {
    let (settings, mut work) = (Settings::default(), Workspace::default());
    for case in cases {
        let rig = Rig::new(&case);
        let shot: Shot = fire(&rig, &settings, &mut work)?;
        if let Some(verdict) = shot.verdict.filter(|v| wanted(*v)) {
            let blow = blow_of(&case, &rig, shot, &settings, &mut work)?;
            return Ok(Some(Look {
                verdict,
                case,
                blow,
            }));
        }
    }
    Ok(None)
}
