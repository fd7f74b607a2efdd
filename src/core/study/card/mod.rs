//! The set-up card of a rig: what to set, what a loose joint, a tilt or a punch mark costs here, what good and bad
//! welds look like, what the stud bears.

mod looks;
mod screw;

#[cfg(test)]
mod tests;

use std::f64::consts::FRAC_PI_2;

pub use looks::Look;
pub use screw::{Screw, Yield, yield_of};

use super::assessment::{Assessment, Depth, assess_shot};
use super::batch::fire_all;
use super::chance::{Chance, chance};
use super::chart::{self, Answer, KEYS};
use super::compare::ledger_moves;
use super::earths::{Trial, trials};
use super::shift::charge::{Charge, left_voltage};
use super::shift::life::{ChuckLife, chuck};
use crate::case::Case;
use crate::case::catalogue;
use crate::case::check::check;
use crate::case::faults::{Fault, apply, faults};
use crate::case::joint_id::JointId;
use crate::case::keys;
use crate::case::model::CentreMark;
use crate::case::tolerance::Tolerances;
use crate::physics::guide;
use crate::simulation::fire::Settings;
use crate::simulation::integrator::IntegrationError;
use crate::simulation::shot::Shot;

/// Angles out of square that the card tells of \[°\].
pub const TILTS: [f64; 3] = [1.0, 2.0, 4.0];

/// Tilt to which a template should hold the tool \[°\]: own choice, the first of [`TILTS`].
pub const HELD: f64 = TILTS[0];

/// What the card is asked for beside the case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The punch mark whose cost is wanted.
    pub mark: CentreMark,
    /// Coefficient of friction in thread and under the nut.
    pub friction: f64,
    /// Share of what yields or breaks that a test uses.
    pub share: f64,
    /// Diameter of what goes through the template's hole \[m\].
    pub guide: f64,
    /// Diameter of the hole over that \[m\].
    pub clearance: f64,
    /// Thickness of the template \[m\].
    pub template: f64,
    /// Keep the case's own voltage and spring force.
    pub as_set: bool,
}

impl Asked {
    /// What is usual: the case's own mark, or one of 0.3 mm and 90°; friction 0.14, 0.7 of the yield; a guide of 25 mm
    /// with 0.2 mm of clearance in a template of 10 mm; and a search for the setting.
    pub fn usual(case: &Case) -> Asked {
        let own = case.sheet.centre_mark;
        Asked {
            mark: own.unwrap_or(CentreMark::new(0.3e-3, FRAC_PI_2)),
            friction: 0.14,
            share: 0.7,
            guide: 25e-3,
            clearance: 0.2e-3,
            template: 10e-3,
            as_set: false,
        }
    }
}

/// One change of the rig, fired.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried<T> {
    /// What was changed.
    pub what: T,
    /// The shot; `None` where the case has that change already or cannot have it.
    pub shot: Option<Shot>,
}

/// A joint that comes loose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loose {
    /// The joint.
    pub joint: JointId,
    /// What becomes of it: a joint of the catalogue.
    pub state: &'static str,
}

impl Tried<Loose> {
    /// Forgets the shot of a joint that is held no better than the loose one and takes as much: it parts already.
    fn unless_bad_already(&mut self, base: &Case, now: &Shot) {
        let joint = self.what.joint;
        let held = joint.of(base).map(|j| j.contact().force);
        let loose = catalogue::find_joint(self.what.state).map(|j| j.contact().force);
        let gain = self.shot.as_ref().and_then(|shot| taken(joint, now, shot));
        if held <= loose && gain.is_some_and(|gain| gain <= 0.0) {
            self.shot = None;
        }
    }
}

/// Joules that go into a joint in another shot, beyond those that it takes now \[J\].
fn taken(joint: JointId, now: &Shot, other: &Shot) -> Option<f64> {
    let moves = ledger_moves(now, other);
    let name = joint.to_string();
    moves.iter().find(|m| m.name == name).map(|m| m.gain())
}

/// A punch mark under the pip.
#[derive(Debug, Clone)]
pub struct Marked {
    /// The mark.
    pub mark: CentreMark,
    /// The card's weld without a mark.
    pub without: Shot,
    /// The same on the mark; `None` where the case cannot have it.
    pub with: Option<Shot>,
    /// Where to set the rig if every place has such a mark; `None` where it was not searched.
    pub answer: Option<Answer>,
}

/// The template that guides the tool.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Diameter of its hole \[m\].
    pub hole: f64,
    /// Tilt it allows \[rad\].
    pub tilt: f64,
    /// The weld at that tilt; `None` where no tool stands so far out of square.
    pub shot: Option<Shot>,
    /// Thickness that would hold the tool to [`HELD`] \[m\].
    pub thickness: f64,
}

/// The card of a rig.
#[derive(Debug, Clone)]
pub struct Card {
    /// What was asked.
    pub asked: Asked,
    /// Where to set the rig; `None` where its own setting was to be kept.
    pub answer: Option<Answer>,
    /// The case at the card's setting, its weld, band and arc blow.
    pub weld: Assessment,
    /// What would lessen the drift, the best first.
    pub trials: Vec<Trial>,
    /// Each joint loose.
    pub joints: Vec<Tried<Loose>>,
    /// The tool out of square by [`TILTS`] more \[°\].
    pub tilts: Vec<Tried<f64>>,
    /// The punch mark.
    pub mark: Marked,
    /// The template.
    pub template: Template,
    /// Sound, cold, hot and one-sided welds of this rig, as far as it makes them.
    pub looks: Vec<Look>,
    /// Highest voltage at which they were looked for \[V\].
    pub highest: f64,
    /// Torque and force for the test; `None` for a stud or metal whose thread or yield is not known, or without a weld.
    pub screw: Option<Screw>,
    /// Every fault of the catalogue.
    pub faults: Vec<Tried<&'static Fault>>,
    /// Life of the chuck; `None` where it is held by no force that wears off.
    pub chuck: Option<ChuckLife>,
    /// What the charger can do.
    pub charge: Charge,
    /// How many welds are sound at the card's setting, model, rig and stud drawn at once; `None` where nothing scatters.
    pub chance: Option<Chance>,
}

impl Card {
    /// Joules that go into a joint when it comes loose, beyond those that it takes now \[J\].
    pub fn taken(&self, loose: &Tried<Loose>) -> Option<f64> {
        taken(loose.what.joint, &self.weld.shot, loose.shot.as_ref()?)
    }
}

/// Makes the card of a checked case that is no discharge test, whose rig and studs scatter as `tolerances` say.
///
/// # Errors
/// When an integration fails.
pub fn card(case: &Case, tolerances: &Tolerances, asked: &Asked) -> Result<Card, IntegrationError> {
    let answer = (!asked.as_set).then(|| search(case, tolerances)).flatten();
    let base = at(case, answer.as_ref());
    let list = Changes::of(&base, asked);
    let mut shots = fire_all(list.cases(&base), Settings::default());
    let mut next = || shots.next().expect("as many shots as cases");
    let shot = next()?;
    let mut joints = tried(list.joints, &mut next)?;
    joints
        .iter_mut()
        .for_each(|loose| loose.unless_bad_already(&base, &shot));
    let tilts = tried(list.tilts, &mut next)?;
    let template_shot = tried(vec![list.template], &mut next)?.remove(0).shot;
    let found = tried(list.faults, &mut next)?;
    let without = next()?;
    let with = tried(vec![((), list.marked.clone())], &mut next)?.remove(0);
    let own = base.sheet.centre_mark == Some(asked.mark);
    let marked = list.marked.filter(|_| !asked.as_set);
    let weld = assess_shot(base, Vec::new(), shot, Depth::FULL)?;
    let highest = highest(case).max(weld.case.bank.voltage);
    let left = left_voltage(&weld.case.bank, weld.shot.ledger.left_in_bank);
    Ok(Card {
        asked: *asked,
        trials: trials(&weld.case, &weld.blow)?,
        mark: Marked {
            mark: asked.mark,
            without,
            with: with.shot,
            answer: match own {
                true => answer.clone(),
                false => marked.and_then(|case| search(&case, tolerances)),
            },
        },
        template: Template {
            shot: template_shot,
            ..template(asked)
        },
        looks: looks::looks(&weld, highest)?,
        highest,
        screw: Screw::of(&weld, asked),
        chuck: chuck(&weld.case, weld.shot.figures.peak_current_A.unwrap_or(0.0)),
        charge: Charge::of(&weld.case, left),
        chance: match &answer {
            Some(Answer::Sound(setting)) => setting.chance,
            _ => chance(&weld.case, tolerances),
        },
        answer,
        weld,
        joints,
        tilts,
        faults: found,
    })
}

/// Where to set the rig of a case, over the usual ranges; `None` where they are not above zero.
fn search(case: &Case, tolerances: &Tolerances) -> Option<Answer> {
    let [voltages, forces] = KEYS.map(|key| chart::usual_range(case, key));
    let ranges = [voltages?, forces?];
    Some(chart::answer(case.clone(), &ranges, tolerances))
}

/// How high the bank may be charged for a weld to look at \[V\]: to its most, or where that is not known as far as settings
/// are searched.
fn highest(case: &Case) -> f64 {
    let searched = || chart::usual_range(case, KEYS[0]).map(|range| range.to);
    let most = case.bank.voltage_max.or_else(searched);
    most.unwrap_or(case.bank.voltage)
}

/// The case at the setting found, or as it is.
fn at(case: &Case, answer: Option<&Answer>) -> Case {
    let mut case = case.clone();
    if let Some(Answer::Sound(setting)) = answer {
        (case.bank.voltage, case.tool.spring_force) = (setting.voltage, setting.force);
    }
    case
}

fn template(asked: &Asked) -> Template {
    let hole = asked.guide + asked.clearance;
    Template {
        hole,
        tilt: guide::tilt(asked.guide, hole, asked.template),
        shot: None,
        thickness: guide::thickness(asked.guide, hole, HELD.to_radians()),
    }
}

/// What is changed, each with the case it gives.
type List<T> = Vec<(T, Option<Case>)>;

/// Every change of the rig that the card fires.
struct Changes {
    joints: List<Loose>,
    tilts: List<f64>,
    template: ((), Option<Case>),
    faults: List<&'static Fault>,
    unmarked: Case,
    marked: Option<Case>,
}

impl Changes {
    fn of(base: &Case, asked: &Asked) -> Changes {
        let joints = JointId::all(base.earths.len()).map(|joint| {
            // The chuck sits on a stud: it does not come loose as a lug does, it wears.
            let state = match joint {
                JointId::Chuck => "worn",
                _ => "loose",
            };
            (Loose { joint, state }, loosened(base, joint, state))
        });
        let lean = |degrees: f64| leaning(base, degrees.to_radians());
        let faults = faults().iter();
        let mut unmarked = base.clone();
        unmarked.sheet.centre_mark = None;
        let mut marked = base.clone();
        marked.sheet.centre_mark = Some(asked.mark);
        Changes {
            joints: joints.collect(),
            tilts: TILTS.map(|degrees| (degrees, lean(degrees))).to_vec(),
            template: ((), leaning(base, template(asked).tilt)),
            faults: faults.map(|f| (f, apply(base, &[f]).ok())).collect(),
            unmarked,
            marked: checked(marked),
        }
    }

    /// Base and all changes, in the order in which their shots are taken.
    fn cases(&self, base: &Case) -> Vec<Case> {
        let joints = self.joints.iter().map(|(_, case)| case);
        let tilts = self.tilts.iter().map(|(_, case)| case);
        let faults = self.faults.iter().map(|(_, case)| case);
        let changed = joints.chain(tilts).chain([&self.template.1]).chain(faults);
        let changed = changed.flatten().cloned();
        let mark = self.marked.iter().cloned();
        std::iter::once(base.clone())
            .chain(changed)
            .chain(std::iter::once(self.unmarked.clone()))
            .chain(mark)
            .collect()
    }
}

/// Takes the shots of a list, which come in its order.
fn tried<T>(
    list: List<T>,
    next: &mut impl FnMut() -> Result<Shot, IntegrationError>,
) -> Result<Vec<Tried<T>>, IntegrationError> {
    let take = |(what, case): (T, Option<Case>)| {
        let shot = case.map(|_| next()).transpose()?;
        Ok(Tried { what, shot })
    };
    list.into_iter().map(take).collect()
}

fn checked(case: Case) -> Option<Case> {
    check(&case).is_empty().then_some(case)
}

/// The case with a joint in this state; `None` where it is as bad already.
fn loosened(base: &Case, id: JointId, state: &str) -> Option<Case> {
    let (now, bad) = (id.of(base)?.contact(), catalogue::find_joint(state)?);
    if now.resistance >= bad.resistance || now.starts_parted() {
        return None;
    }
    let mut case = base.clone();
    keys::set_text(&mut case, &id.key(), state).ok()?;
    checked(case)
}

/// The case with the tool this much more out of square \[rad\]; `None` beyond what the key takes.
fn leaning(base: &Case, more: f64) -> Option<Case> {
    let mut case = base.clone();
    case.tool.tilt += more;
    checked(case)
}
