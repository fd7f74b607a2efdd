//! Shots of a rig that changes little from one to the next: fired where it matters, interpolated between.
//!
//! Around a fired shot the numbers are taken as linear in the state, the slopes from shots fired beside it as they are
//! needed. Where the state has left the region of trust, or a verdict or a joint is near its limit, the shot is fired
//! anew. Each time that happens the line is compared with the shot; the region shrinks and grows by what it missed.

use std::sync::atomic::{AtomicBool, Ordering};

use super::fired::{ELEMENTS, Figure, Fired, NUMBERS};
use super::state::{GUN, SHEET, SIZE, State, VOLTAGE};
use crate::case::joint_id::JointId;
use crate::physics::joint::parting_current;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::study::allowance::NEVER;

/// Relative error of fill, arc energy and action that interpolation may come to.
pub const TOLERANCE: f64 = 1e-3;

/// Share of the region of trust below which a coordinate counts as unmoved.
const STILL: f64 = 5e-3;

/// Shares of a limit within which a verdict, and a current, count as near it.
const NEAR: f64 = 5e-3;

/// Size of the region of trust: share of the loop's resistance, and of the voltage; of the sheet \[K\].
const REACH: f64 = 0.01;
const SHEET_REACH: f64 = 12.0;

/// Most shots kept; the oldest are forgotten.
const MOST_ANCHORS: usize = 256;

/// A fired shot, and the slopes about it.
#[derive(Debug, Clone)]
struct Anchor {
    at: State,
    shot: Fired,
    /// Slopes by coordinate, as far as they were needed.
    slopes: Vec<Option<Slope>>,
}

/// What a step of a region of trust does to the numbers; none where the course changes beside the shot.
type Slope = Option<[f64; NUMBERS]>;

/// Shots of one rig.
#[derive(Debug)]
pub struct Shots<'a> {
    rig: Rig,
    settings: Settings,
    work: Workspace,
    anchors: Vec<Anchor>,
    /// Anchor of the last shot.
    last: usize,
    /// Size of each coordinate's region.
    reach: [f64; SIZE],
    /// Factor on all of them.
    trust: f64,
    /// Whether every shot is fired.
    exact: bool,
    /// Nobody waits for them any more.
    cancelled: &'a AtomicBool,
    /// Shots fired.
    pub fired: usize,
    /// Largest error that interpolation has come to.
    pub worst: f64,
}

impl Shots<'static> {
    /// Shots of a rig as its case says; with `exact` each is fired.
    pub fn new(rig: Rig, exact: bool) -> Self {
        let circuit = &rig.circuit;
        let loop_resistance = circuit.loop_resistance();
        let share = |r: f64, most: f64| (REACH * loop_resistance / r.max(1e-12)).clamp(1e-3, most);
        let mut reach = [0.2; SIZE];
        reach[VOLTAGE] = REACH;
        reach[GUN] = share(circuit.gun_resistance, 0.3);
        reach[SHEET] = SHEET_REACH;
        for k in 0..circuit.earths {
            // An earth lead shares the current with the others.
            let r = circuit.lead_resistances[k] / circuit.earths as f64;
            reach[State::earth(k)] = share(r, 0.3);
        }
        for id in JointId::all(circuit.earths) {
            let [resistance, force] = State::joint(id);
            reach[resistance] = share(circuit.joints[id].resistance, 0.2);
            reach[force] = 0.02;
        }
        Shots {
            rig,
            settings: Settings::frozen(),
            work: Workspace::default(),
            anchors: Vec::new(),
            last: 0,
            reach,
            trust: 1.0,
            exact,
            cancelled: &NEVER,
            fired: 0,
            worst: 0.0,
        }
    }
}

impl<'a> Shots<'a> {
    /// Shots of the same rig for as long, without any that were fired.
    pub fn afresh(&self) -> Shots<'a> {
        Shots::new(self.rig.clone(), self.exact).until(self.cancelled)
    }
}

impl Shots<'_> {
    /// The same, of no more use as soon as `cancelled` is set.
    pub fn until(self, cancelled: &AtomicBool) -> Shots<'_> {
        Shots { cancelled, ..self }
    }

    /// Whether a run of them should end: nobody waits for it.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// The rig as its case says.
    pub fn rig(&self) -> &Rig {
        &self.rig
    }

    /// The rig in a state.
    pub fn rig_at(&self, state: &State) -> Rig {
        let mut rig = self.rig.clone();
        state.put_on(&mut rig);
        rig
    }

    /// The shot of a state, and whether it was fired for it.
    ///
    /// # Errors
    /// When an integration fails.
    pub fn shot(&mut self, state: &State) -> Result<(Fired, bool), IntegrationError> {
        if self.exact {
            return Ok((self.fire(state)?, true));
        }
        let nearest = self.nearest(state);
        if let Some((index, distance)) = nearest
            && distance <= self.trust
        {
            self.last = index;
            if let Some(mut shot) = self.line(index, state)?
                && self.far_from_limits(&shot, &self.anchors[index].shot, state)
            {
                let voltage = self.rig.circuit.voltage * state.0[VOLTAGE];
                shot.balance(0.5 * self.rig.circuit.capacitance * voltage * voltage);
                return Ok((shot, false));
            }
        }
        let shot = self.fire(state)?;
        if let Some((index, distance)) = nearest
            && distance < 1.5 * self.trust
        {
            self.learn(index, state, &shot)?;
        }
        if self.anchors.len() >= MOST_ANCHORS {
            self.anchors.remove(0);
        }
        self.anchors.push(Anchor {
            at: *state,
            shot,
            slopes: vec![None; SIZE],
        });
        self.last = self.anchors.len() - 1;
        Ok((shot, true))
    }

    /// Fires a shot.
    fn fire(&mut self, state: &State) -> Result<Fired, IntegrationError> {
        let rig = self.rig_at(state);
        let shot = fire(&rig, &self.settings, &mut self.work)?;
        self.fired += 1;
        Ok(Fired::of(&rig, &shot))
    }

    /// The anchor nearest to a state, and its distance in regions of trust; the last one if it will do.
    fn nearest(&self, state: &State) -> Option<(usize, f64)> {
        let distance = |anchor: &Anchor| {
            let each = (0..SIZE).map(|k| self.moved(anchor, state, k).abs());
            each.sum::<f64>()
        };
        let last = self.anchors.get(self.last).map(distance);
        if let Some(d) = last.filter(|d| *d <= self.trust) {
            return Some((self.last, d));
        }
        let all = self.anchors.iter().map(distance).enumerate();
        all.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// How far a coordinate has moved from an anchor, over its region.
    fn moved(&self, anchor: &Anchor, state: &State, k: usize) -> f64 {
        (state.0[k] - anchor.at.0[k]) / self.reach[k]
    }

    /// The shot of a state on the lines through an anchor; none where one of them is broken.
    fn line(&mut self, index: usize, state: &State) -> Result<Option<Fired>, IntegrationError> {
        let mut shot = self.anchors[index].shot;
        for k in 0..SIZE {
            let anchor = &self.anchors[index];
            let moved = self.moved(anchor, state, k);
            // Without parted joints their forces do nothing.
            let idle = State::is_force(k) && anchor.shot.parted == 0;
            if moved.abs() <= STILL || idle {
                continue;
            }
            let slope = match anchor.slopes[k] {
                Some(slope) => slope,
                None => self.slope(index, k)?,
            };
            let Some(slope) = slope else {
                return Ok(None);
            };
            for (number, slope) in shot.numbers.iter_mut().zip(slope) {
                *number += slope * moved;
            }
        }
        Ok(Some(shot))
    }

    /// Fires a shot beside an anchor for its slope along a coordinate, per region of trust.
    fn slope(&mut self, index: usize, k: usize) -> Result<Slope, IntegrationError> {
        let mut beside = self.anchors[index].at;
        // Leads warm up and the bank misses its voltage: towards where the state goes.
        let step = if k == VOLTAGE { -0.5 } else { 0.5 };
        beside.0[k] += step * self.reach[k];
        let there = self.fire(&beside)?;
        let anchor = &mut self.anchors[index];
        let here = &anchor.shot;
        let same = here.course == there.course;
        let slope =
            same.then(|| std::array::from_fn(|n| (there.numbers[n] - here.numbers[n]) / step));
        anchor.slopes[k] = Some(slope);
        Ok(slope)
    }

    /// Compares the line through an anchor with a shot fired anew, and adapts the region.
    fn learn(&mut self, index: usize, state: &State, shot: &Fired) -> Result<(), IntegrationError> {
        let Some(line) = self.line(index, state)? else {
            return Ok(());
        };
        if self.anchors[index].shot.course != shot.course {
            return Ok(());
        }
        let error = error(&line, shot);
        self.worst = self.worst.max(error);
        if error > 0.5 * TOLERANCE {
            self.trust = (0.6 * self.trust).max(0.02);
        } else if error < 0.2 * TOLERANCE {
            self.trust = (1.3 * self.trust).min(2.0);
        }
        Ok(())
    }

    /// Whether no verdict and no joint is near a limit, or beyond one that the line's anchor is not: a line has the
    /// anchor's verdict.
    fn far_from_limits(&self, shot: &Fired, anchor: &Fired, state: &State) -> bool {
        let rig = &self.rig;
        let near = |value: f64, limit: f64| (value - limit).abs() < NEAR * limit.abs().max(0.02);
        let depth = rig.burn_share * rig.faces[1].depth;
        let verdicts = [
            (Figure::Fill, 1.0),
            (Figure::Fill, rig.overfill),
            (Figure::RimFill, 1.0),
            (Figure::Vapour, rig.hot_share),
            (Figure::SheetMelt, depth),
        ];
        let ends = |f: Figure| [shot.figure(f), anchor.figure(f)];
        let decides = |(f, limit): &(Figure, f64)| {
            let [here, there] = ends(*f);
            near(here, *limit) || (here < *limit) != (there < *limit)
        };
        // Where metal begins to boil off the line has a kink.
        let [here, there] = ends(Figure::Vapour);
        if verdicts.iter().any(decides) || (here > 0.0) != (there > 0.0) {
            return false;
        }
        JointId::all(rig.circuit.earths).all(|id| {
            let force = rig.circuit.joints[id].force * state.0[State::joint(id)[1]];
            let parts = parting_current(force) < shot.peak_of(id) * (1.0 + NEAR);
            force <= 0.0 || parts == shot.has_parted(id)
        })
    }
}

/// Largest relative difference of what counts.
pub fn error(a: &Fired, b: &Fired) -> f64 {
    let relative = |a: f64, b: f64| {
        if a.is_finite() && b.is_finite() {
            (a - b).abs() / b.abs().max(0.05)
        } else {
            0.0
        }
    };
    let figures = [
        Figure::Fill,
        Figure::RimFill,
        Figure::ArcEnergy,
        Figure::Action,
        Figure::Peak,
    ];
    let figures = figures.map(|f| relative(a.figure(f), b.figure(f)));
    let stored: f64 = b.numbers[..ELEMENTS].iter().sum();
    let joules = (0..ELEMENTS).map(|k| (a.numbers[k] - b.numbers[k]).abs() / stored.max(1e-9));
    figures.into_iter().chain(joules).fold(0.0, f64::max)
}
