//! One shift from the first weld to the last: charge, fire, heat, cool, wear, in the order of time.

use super::charge::left_voltage;
use super::fired::{Element, Figure, Fired};
use super::parts::{Part, Parts};
use super::plan::Plan;
use super::sheet::WorkSheet;
use super::shots::Shots;
use super::state::{GUN, SHEET, State, VOLTAGE};
use super::weld::{Account, Weld};
use crate::case::Case;
use crate::case::joint_id::{JointId, PerJoint};
use crate::case::model::Limits;
use crate::physics::charging::Supply;
use crate::physics::junction::STAGES;
use crate::physics::lead;
use crate::physics::wear::{arcing, grip, looser, sliding, warmer};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::switch::Switch;

/// Share of the ready voltage that counts as it.
const READY: f64 = 1.0 - 1e-9;

/// A shift that was run.
#[derive(Debug, Clone)]
pub struct Run {
    /// Every weld in its order.
    pub welds: Vec<Weld>,
    /// State of the rig at each.
    pub states: Vec<State>,
    /// The parts as the shift ends.
    pub parts: Parts,
    /// Highest temperature of each part, right after a shot \[K\].
    pub highest: Vec<f64>,
    /// Highest temperature of the switch's junction \[K\].
    pub junction: f64,
    /// Where the energy from the mains went.
    pub account: Account,
}

/// What a run looks at besides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rules {
    /// Whether joints wear.
    pub wear: bool,
    /// Whether it ends at the first weld that is not sound or too hot a part.
    pub stop: bool,
}

/// Everything that changes from weld to weld.
struct Bench<'a> {
    case: &'a Case,
    supply: Supply,
    switch: Switch,
    parts: Parts,
    sheet: WorkSheet,
    junction: [f64; STAGES],
    /// Metal each joint has lost \[kg\].
    lost: PerJoint<f64>,
    account: Account,
}

/// Runs a shift.
///
/// # Errors
/// When an integration fails.
pub fn run(
    case: &Case,
    plan: &Plan,
    rules: Rules,
    shots: &mut Shots,
) -> Result<Run, IntegrationError> {
    let mut bench = Bench::new(case);
    let set = case.bank.voltage;
    let mut highest: Vec<f64> = Vec::new();
    let (mut welds, mut states) = (
        Vec::with_capacity(plan.welds),
        Vec::with_capacity(plan.welds),
    );
    let (mut t, mut left, mut hottest) = (0.0, 0.0, 0.0_f64);
    for number in 0..plan.welds {
        let (due, voltage) = if number == 0 {
            (0.0, set)
        } else {
            bench.charged(plan.due(t), t, left)
        };
        bench.pass(due - t);
        bench.charge(left, voltage);
        t = due;
        let state = bench.state(voltage, t);
        let (shot, fired) = shots.shot(&state)?;
        let junction = bench.junction_peak(&shot);
        hottest = hottest.max(junction);
        left = bench.after(t, &shot, rules.wear);
        let mut weld = bench.weld(t, &state, &shot, junction);
        weld.fired = fired;
        for (n, _) in bench.parts.all().iter().enumerate() {
            let now = bench.parts.temperature(n);
            match highest.get_mut(n) {
                Some(most) => *most = most.max(now),
                None => highest.push(now),
            }
        }
        let bad = !weld.is_sound() || weld.too_hot(&case.limits);
        welds.push(weld);
        states.push(state);
        if (rules.stop && bad) || shots.is_cancelled() {
            break;
        }
    }
    bench.account.left_in_bank = 0.5 * case.bank.capacitance * left * left;
    bench.account.held = bench.parts.held();
    bench.account.to_room = (0..bench.parts.all().len())
        .map(|n| bench.parts.account(n)[1])
        .sum();
    Ok(Run {
        welds,
        states,
        parts: bench.parts,
        highest,
        junction: hottest,
        account: bench.account,
    })
}

impl<'a> Bench<'a> {
    fn new(case: &'a Case) -> Self {
        Bench {
            case,
            supply: Supply {
                power: case.charger.power,
                current: case.charger.current,
            },
            switch: Switch::new(case),
            sheet: WorkSheet::new(case),
            junction: [0.0; STAGES],
            lost: PerJoint::default(),
            account: Account::default(),
            parts: Parts::new(case),
        }
    }

    /// When the next shot goes and at which voltage: `due` \[s\], or as soon as the set is ready; charging since `t`
    /// from `left` \[V\].
    fn charged(&self, due: f64, t: f64, left: f64) -> (f64, f64) {
        let (set, c) = (self.case.bank.voltage, self.case.bank.capacitance);
        let mut at = due;
        if self.case.charger.interlock {
            at = at.max(t + self.supply.time(c, left, self.case.charger.ready * set));
        }
        (at, self.supply.voltage(c, left, at - t, set))
    }

    /// Time without current.
    fn pass(&mut self, time: f64) {
        if time > 0.0 {
            self.parts.rest(time);
            self.junction = self.switch.foster.rest(self.junction, time);
        }
    }

    /// Takes what charging from `left` to `voltage` \[V\] needs out of the mains.
    fn charge(&mut self, left: f64, voltage: f64) {
        let into = 0.5 * self.case.bank.capacitance * (voltage * voltage - left * left);
        let drawn = into / self.case.charger.efficiency;
        self.account.mains += drawn;
        self.account.charger += drawn - into;
    }

    /// The rig as it is at `t` \[s\], charged to `voltage` \[V\].
    fn state(&mut self, voltage: f64, t: f64) -> State {
        let case = self.case;
        let mut state = State::fresh(self.sheet.next(t));
        let x = &mut state.0;
        x[VOLTAGE] = voltage / case.bank.voltage;
        let warm = |t: f64| lead::resistance(1.0, 1.0, t);
        let cold = warm(case.lead.temperature);
        x[GUN] = warm(self.parts.of(Part::GunCopper)) / cold;
        for k in 0..case.earths.len() {
            x[State::earth(k)] = warm(self.parts.of(Part::EarthCopper(k))) / cold;
        }
        for id in JointId::all(case.earths.len()) {
            let [resistance, force] = State::joint(id);
            let held = self.grip(id);
            let bulk = self.parts.of(Part::Joint(id));
            x[resistance] = warmer(bulk, case.room.temperature) * looser(held);
            x[force] = held;
        }
        state
    }

    fn grip(&self, id: JointId) -> f64 {
        grip(self.lost[id] / self.case.wear.allowance)
    }

    /// Highest temperature of the junction in a shot \[K\]; its rises are taken on.
    fn junction_peak(&mut self, shot: &Fired) -> f64 {
        let (current, energy) = (shot.figure(Figure::Peak), shot.joules(Element::Switch));
        self.junction = self.switch.after(self.junction, current, energy);
        self.parts.of(Part::Sink) + self.junction.iter().sum::<f64>()
    }

    /// What a shot at `t` \[s\] leaves behind; the voltage left in the bank \[V\].
    fn after(&mut self, t: f64, shot: &Fired, wear: bool) -> f64 {
        let left = shot.joules(Element::LeftInBank);
        let voltage = left_voltage(&self.case.bank, left);
        let lost = if voltage > 0.0 { 0.0 } else { left };
        self.parts.heat(shot, lost);
        let work: f64 = [
            Element::Sheet,
            Element::Pip,
            Element::ToStud,
            Element::ToSheet,
            Element::Forge,
            Element::Bolted,
        ]
        .map(|e| shot.joules(e))
        .iter()
        .sum();
        self.sheet.weld(t, work);
        self.account.work += work;
        self.account.light += shot.joules(Element::Away);
        if wear {
            self.wear(shot);
        }
        voltage
    }

    /// Metal that joints lose by a shot.
    fn wear(&mut self, shot: &Fired) {
        let w = &self.case.wear;
        for id in JointId::all(self.case.earths.len()) {
            let Some(contact) = id.of(self.case).map(|joint| joint.contact()) else {
                continue;
            };
            if !contact.force.is_finite() || contact.force <= 0.0 {
                continue;
            }
            if id == JointId::Chuck {
                let force = contact.force * self.grip(id);
                let gone = sliding(w.coefficient, force, w.stroke, w.hardness);
                self.lost[id] += gone;
            }
            if shot.has_parted(id) && contact.drop > 0.0 {
                let charge = shot.numbers[super::fired::of_joint(id)] / contact.drop;
                self.lost[id] += arcing(w.erosion, charge);
            }
        }
    }

    fn weld(&self, t: f64, state: &State, shot: &Fired, junction: f64) -> Weld {
        let limits: &Limits = &self.case.limits;
        let parts = &self.parts;
        let copper = |p: Part| matches!(p, Part::GunCopper | Part::EarthCopper(_));
        let jacket = |p: Part| matches!(p, Part::GunJacket | Part::EarthJacket(_));
        let joint = |p: Part| matches!(p, Part::Joint(_));
        Weld {
            time: t,
            voltage: state.0[VOLTAGE] * self.case.bank.voltage,
            is_ready: state.0[VOLTAGE] >= self.case.charger.ready * READY,
            conductor: parts.hottest(copper),
            jacket: parts.hottest(jacket),
            joint: parts.hottest(joint),
            core: parts.of(Part::Core),
            junction,
            sheet: state.0[SHEET],
            chuck: parts.of(Part::Joint(JointId::Chuck)),
            grip: self.grip(JointId::Chuck),
            touch: parts.hottest(|p| jacket(p) || joint(p)) > limits.touch,
            shot: *shot,
            fired: false,
        }
    }
}
