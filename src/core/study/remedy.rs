//! What would make a weld sound, one thing changed at a time: nearby settings are fired.

use std::ops::RangeInclusive;

use serde::Serialize;

use super::allowance::Allowance;
use super::band::cases;
use super::dial::halve;
use super::dial::range::{REACH, around, rig_limits};
use super::outcome::changed;
use super::runs::runs;
use crate::case::Case;
use crate::case::catalogue;
use crate::case::keys::{Address, find};
use crate::case::model::Method;
use crate::case::quantity::to_digits;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::joints::{JointHeat, Spot, joints};
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::verdict::{Cause, Verdict};

/// Ratio between two values of a key that are tried, and how many to either side at first: up to 1.8 times. The others
/// of the range that a dial searches follow where none of these is sound, or one is at their end.
const RATIO: f64 = 1.025;
const EACH_WAY: i32 = 24;

/// Halvings that find an end of a sound stretch between two of them to a fifth of a thousandth.
const HALVINGS: usize = 7;

/// Lengths of the leads that are tried, over the present ones.
const SHORTER: f64 = 0.5;

/// Share of the band's sound shots below which a setting is no remedy.
const HARDLY: f64 = 0.1;

/// A key turned by itself; values \[SI\].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tried {
    /// Full name of the key.
    pub key: &'static str,
    /// Its value in the case.
    pub now: f64,
    /// Lowest and highest value that was fired.
    pub range: (f64, f64),
    /// Lowest and highest of the nearest stretch of sound values, if there is one.
    pub sound: Option<(f64, f64)>,
    /// Whether values beyond its low and its high end were not tried, though the rig can be set to them.
    pub open: [bool; 2],
    /// What the spread of the model's own constants leaves of that stretch; `None` without one.
    pub middle: Option<Middle>,
}

/// The middle of a stretch of sound values, fired over the band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Middle {
    /// The value \[SI\].
    pub value: f64,
    /// Shots of its band that are sound.
    pub sound: usize,
    /// Shots of its band.
    pub shots: usize,
}

impl Middle {
    /// Whether the weld is sound there by luck rather than by the setting.
    pub fn is_hardly_sound(&self) -> bool {
        (self.sound as f64) < HARDLY * self.shots as f64
    }
}

impl Tried {
    /// A key of which no other value could be tried.
    fn nothing(key: &'static str, now: f64) -> Tried {
        Tried {
            key,
            now,
            range: (now, now),
            sound: None,
            open: [false; 2],
            middle: None,
        }
    }
}

/// What helps a weld that is not sound.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Remedies {
    /// Keys that were turned; none where it is a burning joint that must be mended.
    pub tried: Vec<Tried>,
    /// All leads half as long make it sound.
    pub shorter_leads: bool,
    /// All joints tight make it sound.
    pub tight_joints: bool,
    /// Not every key was turned, as shots of this case take long.
    pub laborious: bool,
}

/// Fires a weld's neighbours where it is not sound and settings can help, as far as the allowance bears; else nothing.
pub fn remedies(case: &Case, shot: &Shot, allowance: &mut Allowance) -> Remedies {
    let hopeless = matches!(
        shot.cause,
        Cause::DischargeTest | Cause::RecordEnded | Cause::NeverConducted
    );
    if hopeless || shot.verdict == Some(Verdict::Sound) {
        return Remedies::default();
    }
    let mut search = Search { case, allowance };
    let mut out = Remedies {
        // The cheapest first: what helps most often takes one shot each.
        tight_joints: search.is_sound(&tight(case)).unwrap_or(false),
        shorter_leads: search.is_sound(&shorter(case)).unwrap_or(false),
        ..Remedies::default()
    };
    // A setting that makes up for a burning joint is wrong as soon as the joint is tight.
    let burns = |joint: &JointHeat| joint.spot >= Spot::Melts;
    if out.tight_joints && joints(&Rig::new(case), shot).iter().any(burns) {
        return out;
    }
    let lift = (case.tool.method == Method::Gap).then_some("tool.lift");
    for key in ["bank.voltage", "tool.spring_force"]
        .into_iter()
        .chain(lift)
    {
        let Some((address, now)) = number(case, key) else {
            continue;
        };
        match search.turn(key, &address, now) {
            Some(tried) => out.tried.push(tried),
            None => out.laborious = true,
        }
    }
    out
}

/// The case with every joint tight.
fn tight(case: &Case) -> Case {
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
    tight
}

/// The case with all leads shorter.
fn shorter(case: &Case) -> Case {
    let mut shorter = case.clone();
    shorter.lead.length *= SHORTER;
    for earth in &mut shorter.earths {
        earth.length *= SHORTER;
    }
    shorter
}

fn number(case: &Case, key: &str) -> Option<(Address, f64)> {
    let address = find(key).ok()?;
    let now = address.number_there(case).ok()?;
    Some((address, now))
}

/// Whether a case is sound, and the work of its shot; one that breaks a rule is not.
fn fired(case: Result<Case, String>, work: &mut Workspace) -> (bool, u64) {
    let shot = case
        .ok()
        .and_then(|case| fire(&Rig::new(&case), &Settings::frozen(), work).ok());
    shot.map_or((false, 0), |shot| {
        (shot.verdict == Some(Verdict::Sound), shot.effort.work())
    })
}

/// A search that ends, `None`, where its allowance is spent.
struct Search<'a, 'b> {
    case: &'a Case,
    allowance: &'a mut Allowance<'b>,
}

impl Search<'_, '_> {
    fn is_sound(&mut self, case: &Case) -> Option<bool> {
        self.allowance
            .one(|| fired(changed(case, []), &mut Workspace::default()))
    }

    /// Turns one key to either side, as far as need be within the range that a dial searches.
    fn turn(&mut self, key: &'static str, address: &Address, now: f64) -> Option<Tried> {
        let Some(range) = address
            .about()
            .and_then(|number| around(self.case, address, number, REACH))
        else {
            return Some(Tried::nothing(key, now));
        };
        let steps = range.map(|end| (end / now).ln() / RATIO.ln());
        let (lowest, highest) = (steps[0].floor() as i32, steps[1].ceil() as i32);
        let (mut values, mut sound) = self.nearby(address, -EACH_WAY..=EACH_WAY, now, range)?;
        let none = !sound.contains(&true);
        let mut more = |steps, end: Option<&bool>| match none || end == Some(&true) {
            true => self.nearby(address, steps, now, range),
            false => Some(Default::default()),
        };
        let below = more(lowest..=-EACH_WAY - 1, sound.first())?;
        let above = more(EACH_WAY + 1..=highest, sound.last())?;
        values = [below.0, values, above.0].concat();
        sound = [below.1, sound, above.1].concat();
        let own = values.partition_point(|value| *value < now);
        let (Some(first), Some(last)) = (values.first(), values.last()) else {
            return Some(Tried::nothing(key, now));
        };
        let found = nearest(values.len(), &sound, own);
        let mut end =
            |inside: usize, outside: Option<usize>| match outside.and_then(|k| values.get(k)) {
                Some(outside) => self.end(address, values[inside], *outside),
                None => Some(values[inside]),
            };
        let ends = match found {
            Some((a, b)) => Some((end(a, a.checked_sub(1))?, end(b, Some(b + 1))?)),
            None => None,
        };
        let middle = match ends {
            Some(ends) => Some(self.middle(address, ends)?),
            None => None,
        };
        let limits = rig_limits(self.case, &address.to_string());
        let untried = |end: usize, limit: Option<f64>| limit != values.get(end).copied();
        let top = values.len() - 1;
        Some(Tried {
            key,
            now,
            range: (*first, *last),
            sound: ends,
            open: [
                found.is_some_and(|(a, _)| a == 0) && untried(0, limits[0]),
                found.is_some_and(|(_, b)| b == top) && untried(top, limits[1]),
            ],
            middle,
        })
    }

    /// The band of the case in the middle of a sound stretch.
    fn middle(&mut self, address: &Address, (low, high): (f64, f64)) -> Option<Middle> {
        let value = to_digits(0.5 * (low + high), 3);
        let case = changed(self.case, [(address, value)]).ok()?;
        let shoot = |work: &mut Workspace, case: Case| fired(Ok(case), work);
        let sound = self.allowance.each(cases(&case), shoot);
        (!self.allowance.is_spent()).then(|| Middle {
            value,
            sound: sound.iter().filter(|sound| **sound).count(),
            shots: sound.len(),
        })
    }

    /// Values some steps from the present one within a range, rising, and which of them are sound.
    fn nearby(
        &mut self,
        address: &Address,
        steps: RangeInclusive<i32>,
        now: f64,
        [least, most]: [f64; 2],
    ) -> Option<(Vec<f64>, Vec<bool>)> {
        // As it is told: what is recommended is what was fired.
        let value = |k: i32| to_digits(now * RATIO.powi(k), 3);
        let (from, to) = (value(*steps.start()), value(*steps.end() + 1));
        let mut values: Vec<f64> = steps.map(value).collect();
        // An end of the range among them is tried as well.
        let ends = [least, most].into_iter();
        values.extend(ends.filter(|end| (from..to).contains(end)));
        values.retain(|value| (least..=most).contains(value));
        values.sort_by(f64::total_cmp);
        values.dedup();
        let case = self.case;
        let sound = self.allowance.each(&values, |work, &value| {
            fired(changed(case, [(address, value)]), work)
        });
        (sound.len() == values.len()).then_some((values, sound))
    }

    /// The end of a sound stretch between a value inside and one outside, to three digits on the inner side.
    fn end(&mut self, address: &Address, inside: f64, outside: f64) -> Option<f64> {
        let mut work = Workspace::default();
        let case = self.case;
        let mut sound = |value: f64| {
            let shot = || fired(changed(case, [(address, value)]), &mut work);
            self.allowance.one(shot).unwrap_or(false)
        };
        let exact = halve(inside, outside, HALVINGS, &mut sound);
        let digit = 10f64
            .powf(exact.abs().log10().floor() - 2.0)
            .copysign(inside - exact);
        let rounded = to_digits(exact, 3);
        let between = |value: &f64| (value - inside) * (value - outside) <= 0.0;
        let mut tries = [rounded, to_digits(rounded + digit, 3)].into_iter();
        let end = tries.find(|value| between(value) && sound(*value));
        (!self.allowance.is_spent()).then_some(end.unwrap_or(inside))
    }
}

/// First and last place of the run of sound values nearest to place `now`.
fn nearest(count: usize, sound: &[bool], now: usize) -> Option<(usize, usize)> {
    let away =
        |&(first, last): &(usize, usize)| first.saturating_sub(now).max(now.saturating_sub(last));
    runs(count, |k| sound[k]).into_iter().min_by_key(away)
}

#[cfg(test)]
mod tests;
