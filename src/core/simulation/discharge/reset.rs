//! What each event changes.

use super::Runner;
use super::note::arc_knot;
use crate::simulation::contacts::Contacts;
use crate::simulation::discharge_record::End;
use crate::simulation::events::{EventName, Phase};
use crate::simulation::integrator::OdeSystem;
use crate::simulation::moment::{Integrals, Moment};
use crate::simulation::phase::{EventFunction, I, Loop, Path, PipHeat, Spot, U, U_UNIT, W, X};
use crate::simulation::rig::MAX_EARTHS;
use crate::simulation::units::{METRE, MILLISECOND, OHM, SECOND};

/// Current at which a diode that blocks is told \[A\]: with less, the discharge is over anyway.
const LEAST_TOLD: f64 = 1.0;

/// Rate of a current that is none at its summit, but for rounding \[kA/ms\].
const SUMMIT: f64 = 1e-9;

/// Share of the travel to touchdown that is rounding.
const SAME_TRAVEL: f64 = 1e-6;

impl<const N: usize, const D: usize> Runner<'_, '_, N, D> {
    /// A known time was reached: the record's end, touchdown, or the stud's rest.
    pub(super) fn known_time(&mut self) -> bool {
        if self.now.t >= self.rig.end_time * SECOND {
            self.out.how = End::StillFlowing;
            self.sample_now();
            return true;
        }
        let touch = self.rig.stud.touch_travel() * METRE;
        if touch - self.now.y[X] > SAME_TRAVEL * touch.abs() {
            self.field.mode.moving = false;
            self.now.y[W] = 0.0;
            return false;
        }
        self.now.y[X] = touch;
        self.out.touchdown = Some(self.moment());
        self.tell(EventName::Touchdown);
        self.sample_now();
        self.close();
        self.sample_now();
        false
    }

    /// Adds an event that comes now.
    fn tell(&mut self, name: EventName) {
        self.out.event(name, self.now.t * MILLISECOND);
    }

    /// The weld is shorted from here on.
    fn close(&mut self) {
        self.field.mode.path = Path::Short(self.rig.forge_resistance * OHM);
        self.field.mode.moving = false;
        self.enter(Phase::Forge);
    }

    pub(super) fn stub(&mut self) {
        let m = self.moment();
        self.out.stub = Some(m.t);
        self.out.stub_action = Some(m.sums.action);
        self.tell(EventName::Stub);
        self.sample_now();
        self.now.y[W] = 0.0;
        self.close();
        self.sample_now();
    }

    /// Changes the mode at an event; true if the discharge is over.
    pub(super) fn reset(&mut self, event: EventFunction) -> bool {
        let mode = &mut self.field.mode;
        match event {
            EventFunction::Turn => {
                mode.rising = !mode.rising;
                mode.turned = self.now.t;
                self.set_summits();
            }
            EventFunction::Solidus => mode.heat = PipHeat::Melting,
            EventFunction::Liquidus => mode.heat = PipHeat::Liquid,
            EventFunction::FullSpot => self.field.fill_spot(),
            EventFunction::PartSpot => self.field.narrow_spot(&self.now.y),
            EventFunction::SpotMelts => mode.spot = Spot::Molten,
            EventFunction::SpotSets => self.field.set_spot(&self.now.y),
            EventFunction::Hold => {
                self.now.y[W] = 0.0;
                self.field.hold();
            }
            EventFunction::Release => {
                mode.moving = true;
                if self.yielded() {
                    self.sample_pair();
                }
            }
            EventFunction::DiodeConducts => self.switch_diode(true),
            EventFunction::DiodeBlocks => self.switch_diode(false),
            EventFunction::Reaches(lane) => self.change_joints(|all, now| all.reach(lane, now)),
            EventFunction::Sets(lane) => self.change_joints(|all, now| all.set(lane, now)),
            EventFunction::BranchStop(k) => return self.stop_branch(k),
            EventFunction::BranchStart(k) => {
                let mut conducting = self.field.about_to_conduct(&self.now);
                conducting[k] = true;
                self.now.y[I + k] = 0.0;
                self.start_branches(conducting);
            }
            EventFunction::Stub => self.stub(),
            EventFunction::Burst => self.strike(),
            EventFunction::CurrentEnd => {
                self.end_current();
                return true;
            }
        }
        false
    }

    /// The free-wheel diode begins or ceases to conduct.
    fn switch_diode(&mut self, conducts: bool) {
        let now = self.moment();
        self.count_supply(&now);
        self.now.y[U] = now.bank / U_UNIT;
        self.field.mode.diode = conducts;
        self.field.mode.switched = self.now.t;
        if conducts {
            self.out.diode_conducts.get_or_insert(now);
            self.tell(EventName::DiodeConducts);
        } else if now.current >= LEAST_TOLD {
            self.tell(EventName::DiodeBlocks);
        } else {
            return;
        }
        self.sample_pair();
    }

    /// Sets what is molten in lanes whose currents turn with the whole, that they need no event of their own at once.
    fn set_summits(&mut self) {
        for lane in std::iter::once(None).chain((0..N).map(Some)) {
            let grows = |field: &Loop<N, D>| {
                let sets = EventFunction::Sets(lane);
                field.event_function(sets, self.now.t, &self.now.y, &self.now.dy) > SUMMIT
            };
            if self.field.lane(lane).molten && !grows(&self.field) {
                self.change_joints(|all, now| all.set(lane, now));
            }
        }
    }

    /// A joint conducts otherwise from here on.
    fn change_joints(&mut self, change: impl FnOnce(&mut Contacts, &Moment)) {
        let now = self.moment();
        self.sample_now();
        change(&mut self.contacts, &now);
        self.field.arrange(&self.contacts);
        self.sample_now();
    }

    /// An earth branch no longer conducts; true if none does.
    fn stop_branch(&mut self, k: usize) -> bool {
        let mut conducting = self.field.mode.conducting;
        conducting[k] = false;
        self.now.y[I + k] = 0.0;
        if !conducting[..N].contains(&true) {
            self.end_current();
            return true;
        }
        self.field.conduct(self.rig, conducting);
        false
    }

    /// Lets earth branches conduct, those that begin to in the direction of the bank's voltage.
    fn start_branches(&mut self, conducting: [bool; MAX_EARTHS]) {
        let now = self.moment();
        let before = self.field.mode.conducting;
        for (k, (on, was)) in conducting.into_iter().zip(before).take(N).enumerate() {
            if on && !was {
                self.contacts.start(k, &now);
            }
        }
        self.field.arrange(&self.contacts);
        self.field.conduct(self.rig, conducting);
    }

    /// The pip bursts, and the arc burns.
    fn strike(&mut self) {
        let m = self.moment();
        self.out.ignition = Some(m);
        self.tell(EventName::Ignition);
        self.sample_now();
        self.now.y[Loop::<N, D>::AUX] = 0.0;
        let struck = Integrals { aux: 0.0, ..m.sums };
        self.struck = Some(struck);
        self.field.mode.path = Path::Arc;
        self.field.mode.moving = true;
        self.enter(Phase::Arc);
        self.refresh();
        let knot = arc_knot(self.rig, &self.field, self.now.t, &self.now.y, &struck);
        self.out.arc.push(knot);
        self.sample_now();
    }

    fn end_current(&mut self) {
        if self.field.mode.path == Path::Arc {
            self.out.arc_out = Some(self.moment());
            self.tell(EventName::ArcOut);
        }
        self.tell(EventName::CurrentEnd);
        self.sample_now();
        self.enter(Phase::Rest);
    }
}
