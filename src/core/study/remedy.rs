//! What would make a weld sound, one thing changed at a time: nearby settings are fired.

use rayon::prelude::*;

use super::dial::range::limit_of_bank;
use super::outcome::Outcome;
use super::runs::runs;
use crate::case::Case;
use crate::case::catalogue;
use crate::case::keys::{Address, find};
use crate::case::model::Method;
use crate::case::quantity::to_digits;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::shot::Shot;
use crate::simulation::verdict::{Cause, Verdict};

/// Ratio between two values of a key that are tried, and how many to either side: up to 1.8 times.
const RATIO: f64 = 1.025;
const EACH_WAY: i32 = 24;

/// Lengths of the leads that are tried, over the present ones.
const SHORTER: f64 = 0.5;

/// A key turned by itself; values \[SI\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tried {
    /// Full name of the key.
    pub key: &'static str,
    /// Its value in the case.
    pub now: f64,
    /// Lowest and highest value that was fired.
    pub range: (f64, f64),
    /// Lowest and highest of the nearest stretch of sound values, if there is one.
    pub sound: Option<(f64, f64)>,
}

/// What helps a weld that is not sound.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Remedies {
    /// Keys that were turned.
    pub tried: Vec<Tried>,
    /// All leads half as long make it sound.
    pub shorter_leads: bool,
    /// All joints tight make it sound.
    pub tight_joints: bool,
}

/// Fires a weld's neighbours where it is not sound and settings can help; else nothing.
pub fn remedies(case: &Case, shot: &Shot) -> Remedies {
    let hopeless = matches!(
        shot.cause,
        Cause::DischargeTest | Cause::RecordEnded | Cause::NeverConducted
    );
    if hopeless || shot.verdict == Some(Verdict::Sound) {
        return Remedies::default();
    }
    let mut out = Remedies::default();
    let lift = (case.tool.method == Method::Gap).then_some("tool.lift");
    for key in ["bank.voltage", "tool.spring_force"]
        .into_iter()
        .chain(lift)
    {
        let Some((address, now)) = number(case, key) else {
            continue;
        };
        let (values, sound) = nearby(case, &address, now);
        out.tried.push(Tried {
            key,
            now,
            range: (values[0], values[values.len() - 1]),
            sound: nearest(&values, &sound, EACH_WAY as usize),
        });
    }
    let mut tight = case.clone();
    let joints = &mut tight.joints;
    let of_earths = tight
        .earths
        .iter_mut()
        .flat_map(|e| [&mut e.terminal, &mut e.clamp]);
    for joint in [&mut joints.bank, &mut joints.tool, &mut joints.chuck]
        .into_iter()
        .chain(of_earths)
    {
        *joint = catalogue::joint("tight");
    }
    out.tight_joints = is_sound(&tight, &[], &mut Workspace::default());
    let mut shorter = case.clone();
    shorter.lead.length *= SHORTER;
    for earth in &mut shorter.earths {
        earth.length *= SHORTER;
    }
    out.shorter_leads = is_sound(&shorter, &[], &mut Workspace::default());
    out
}

fn number(case: &Case, key: &str) -> Option<(Address, f64)> {
    let address = find(key).ok()?;
    let now = address.number_there(case).ok()?;
    Some((address, now))
}

/// Values round the present one, rising, no higher than the bank may be charged, and which of them are sound.
fn nearby(case: &Case, address: &Address, now: f64) -> (Vec<f64>, Vec<bool>) {
    let limit = limit_of_bank(case, &address.to_string()).unwrap_or(f64::INFINITY);
    let values: Vec<f64> = (-EACH_WAY..=EACH_WAY)
        // As it is told: what is recommended is what was fired.
        .map(|k| to_digits(now * RATIO.powi(k), 3))
        .filter(|value| *value <= limit)
        .collect();
    let sound = values
        .par_iter()
        .map_init(Workspace::default, |work, &value| {
            is_sound(case, &[(address, value)], work)
        })
        .collect();
    (values, sound)
}

fn is_sound(case: &Case, changes: &[(&Address, f64)], work: &mut Workspace) -> bool {
    let settings = Settings::frozen();
    let outcome = Outcome::of(case, changes.iter().copied(), &settings, work);
    outcome.verdict() == Some(Verdict::Sound)
}

/// Ends of the run of sound values nearest to place `now`.
fn nearest(values: &[f64], sound: &[bool], now: usize) -> Option<(f64, f64)> {
    let away =
        |&(first, last): &(usize, usize)| first.saturating_sub(now).max(now.saturating_sub(last));
    let (first, last) = runs(values.len(), |k| sound[k])
        .into_iter()
        .min_by_key(away)?;
    Some((values[first], values[last]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::fire::fire;
    use crate::simulation::rig::Rig;

    fn shot(case: &Case) -> Shot {
        fire(
            &Rig::new(case),
            &Settings::default(),
            &mut Workspace::default(),
        )
        .unwrap()
    }

    #[test]
    fn practice_a_cold_weld_gets_sound_by_more_voltage() {
        let mut case = Case::default();
        case.bank.voltage = 95.0;
        let before = shot(&case);
        assert_eq!(before.verdict, Some(Verdict::Cold));
        let found = remedies(&case, &before).tried;
        let voltage = found.iter().find(|s| s.key == "bank.voltage").unwrap();
        let (low, high) = voltage.sound.unwrap();
        assert!(low > 95.0, "{voltage:?}");
        // What it says holds when fired, and does not two steps below.
        for (volts, sound) in [(low, true), (high, true), (low / RATIO.powi(2), false)] {
            case.bank.voltage = volts;
            assert_eq!(
                shot(&case).verdict == Some(Verdict::Sound),
                sound,
                "{volts} V"
            );
        }
    }

    #[test]
    fn practice_half_the_leads_mend_a_weld_at_their_end() {
        let mut case = Case::default();
        case.lead.length = 15.0;
        let before = shot(&case);
        assert_eq!(before.verdict, Some(Verdict::Cold));
        assert!(remedies(&case, &before).shorter_leads);
    }

    #[test]
    fn practice_tight_joints_mend_a_weld_through_loose_ones() {
        let mut case = Case::default();
        case.joints.tool = catalogue::joint("loose");
        case.joints.bank = catalogue::joint("loose");
        let before = shot(&case);
        assert_eq!(before.verdict, Some(Verdict::Cold));
        assert!(remedies(&case, &before).tight_joints);
    }

    #[test]
    fn no_more_is_tried_than_the_bank_may_have() {
        let mut case = Case::default();
        case.bank.voltage = 95.0;
        case.bank.voltage_max = Some(98.0);
        let tried = remedies(&case, &shot(&case)).tried;
        let voltage = tried.iter().find(|t| t.key == "bank.voltage").unwrap();
        assert!(
            voltage.range.1 <= 98.0 && voltage.range.1 > 95.0,
            "{voltage:?}"
        );
        assert_eq!(voltage.sound, None);
    }

    #[test]
    fn practice_a_sound_weld_needs_nothing() {
        let case = Case::default();
        assert_eq!(remedies(&case, &shot(&case)), Remedies::default());
    }

    #[test]
    fn closed_form_the_nearest_run_of_sound_values() {
        let values = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
        let run = |s: [u8; 7]| nearest(&values, &s.map(|s| s == 1), 3);
        assert_eq!(run([0; 7]), None);
        assert_eq!(run([1, 1, 0, 0, 0, 0, 0]), Some((1.0, 2.0)));
        assert_eq!(run([1, 0, 0, 0, 0, 1, 1]), Some((6.0, 7.0)));
        assert_eq!(run([1, 1, 1, 1, 1, 0, 1]), Some((1.0, 5.0)));
    }
}
