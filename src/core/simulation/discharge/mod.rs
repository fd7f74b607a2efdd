//! From the trigger to the end of the current: phases, events and integrals, in order.

mod note;
mod reset;

use nalgebra::SVector;

use super::contacts::Contacts;
pub use super::discharge_record::{Discharge, End};
use super::events::{EventName, Phase};
use super::integrator::{
    IntegrationError, OdeSystem, Own, Point, Solver, Stop, Tolerance, integrate,
};
pub use super::moment::{Integrals, Moment};
use super::peak::largest;
use super::phase::{EventFunction, I, Loop, Path, U, U_UNIT, W, X};
use super::rig::Rig;
use super::sample::Sampler;
use super::units::{METRE, MILLIMETRE, MILLISECOND, SECOND};
use crate::case::model::Method;
use note::arc_knot;

/// Most mode changes of one discharge; a real one has about ten, a pip that sticks and slips some
/// hundreds.
const MOST_CHANGES: usize = 10_000;

/// Stored energy for which the states are of order 1 \[J\].
const USUAL_ENERGY: f64 = 400.0;

/// Runs the discharge of a rig into `out`; with a sampler, rows of the trace as well.
///
/// # Errors
/// When the solver fails.
pub fn discharge(
    rig: &Rig,
    tolerance: Tolerance,
    out: &mut Discharge,
    sampler: Option<&mut Sampler<'_>>,
) -> Result<(), IntegrationError> {
    discharge_by(&Own, rig, tolerance, out, sampler)
}

/// The same, integrated by another solver.
///
/// # Errors
/// When the solver fails.
pub fn discharge_by(
    solver: &impl Solver,
    rig: &Rig,
    tolerance: Tolerance,
    out: &mut Discharge,
    sampler: Option<&mut Sampler<'_>>,
) -> Result<(), IntegrationError> {
    out.clear();
    match rig.circuit.earths {
        1 => Runner::<1, 8>::new(rig, tolerance, out, sampler).run(solver),
        2 => Runner::<2, 12>::new(rig, tolerance, out, sampler).run(solver),
        3 => Runner::<3, 17>::new(rig, tolerance, out, sampler).run(solver),
        _ => Runner::<4, 23>::new(rig, tolerance, out, sampler).run(solver),
    }
}

struct Runner<'a, 's, const N: usize, const D: usize> {
    rig: &'a Rig,
    tolerance: Tolerance,
    out: &'a mut Discharge,
    sampler: Option<&'a mut Sampler<'s>>,
    field: Loop<N, D>,
    contacts: Contacts,
    now: Point<D>,
    phase: Phase,
    /// Sums at ignition: the arc's energy counts from there.
    struck: Option<Integrals>,
    /// When the diode last began or ceased to conduct.
    switched: Moment,
}

impl<'a, 's, const N: usize, const D: usize> Runner<'a, 's, N, D> {
    fn new(
        rig: &'a Rig,
        tolerance: Tolerance,
        out: &'a mut Discharge,
        sampler: Option<&'a mut Sampler<'s>>,
    ) -> Self {
        let contacts = Contacts::new(&rig.circuit);
        let field = Loop::new(rig, &contacts);
        let mut y = SVector::zeros();
        y[U] = rig.circuit.voltage / U_UNIT;
        let now = Point {
            t: 0.0,
            y,
            dy: SVector::zeros(),
        };
        Runner {
            rig,
            // The balance is compared with the stored energy.
            tolerance: tolerance.for_share(
                0.5 * rig.circuit.capacitance * rig.circuit.voltage.powi(2) / USUAL_ENERGY,
            ),
            out,
            sampler,
            field,
            contacts,
            now,
            phase: Phase::Fuse,
            struck: None,
            switched: Moment {
                bank: rig.circuit.voltage,
                ..Moment::default()
            },
        }
    }

    fn run(mut self, solver: &impl Solver) -> Result<(), IntegrationError> {
        self.out.event(EventName::Trigger, 0.0);
        if self.rig.circuit.bolted.is_some() {
            self.phase = Phase::Short;
        } else if self.rig.stud.method == Method::Gap {
            self.enter(Phase::Approach);
            let Some(touch) = self
                .rig
                .stud
                .flight
                .time_to(0.0, 0.0, self.rig.stud.approach)
            else {
                self.out.how = End::NeverTouched;
                self.finish();
                return Ok(());
            };
            let end = self.rig.end_time;
            if touch >= end {
                self.fly_to(end);
                self.out.how = End::StillFlowing;
                self.finish();
                return Ok(());
            }
            let touch = self.fly_to(touch);
            self.out.pip_touch = Some(touch);
            self.out.event(EventName::PipTouch, touch);
            self.phase = Phase::Fuse;
        }
        self.enter(self.phase);
        let Some(conducting) = self.field.starting_branches(self.rig, &self.now.y) else {
            self.out.how = End::NeverConducted;
            self.finish();
            self.sample_pair();
            return Ok(());
        };
        self.field.conduct(self.rig, conducting);
        self.load_pip();
        self.run_modes(solver)
    }

    /// Approach without current, in closed form; returns the time as the integrator will know it.
    fn fly_to(&mut self, touch: f64) -> f64 {
        self.now.t = touch * SECOND;
        let touch = self.now.t * MILLISECOND;
        let (x, w) = self.rig.stud.flight.at(0.0, 0.0, touch);
        let (voltage, gap_end) = (self.rig.circuit.voltage, self.rig.stud.open_travel());
        if let Some(sampler) = self.sampler.as_deref_mut() {
            sampler.free_flight(Phase::Approach, 0.0, touch, voltage, |t| {
                let (x, w) = self.rig.stud.flight.at(0.0, 0.0, t);
                (gap_end - x, w)
            });
        }
        self.now.y[X] = x * METRE;
        self.now.y[W] = w;
        touch
    }

    /// Decides whether the pip holds the stud when it takes the load.
    fn load_pip(&mut self) {
        if self.field.mode.path != Path::Pip {
            return;
        }
        let moving = self.now.y[W] > 0.0;
        let released = self.field.released(&self.now.y);
        self.field.mode.moving = moving || released;
        if released && !moving {
            self.yielded();
        }
    }

    /// Notes the first release of a stud that was pressed on; true if this is it.
    fn yielded(&mut self) -> bool {
        let first = self.rig.stud.method == Method::Contact && self.out.pip_yield.is_none();
        if first {
            let t = self.now.t * MILLISECOND;
            self.out.pip_yield = Some(t);
            self.out.event(EventName::PipYield, t);
        }
        first
    }

    fn enter(&mut self, phase: Phase) {
        self.phase = phase;
        self.out.phases.push((phase, self.now.t * MILLISECOND));
    }

    fn refresh(&mut self) {
        self.now = Point::of(&self.field, self.now.t, self.now.y);
    }

    /// Integrates from mode to mode until the current ends.
    fn run_modes(&mut self, solver: &impl Solver) -> Result<(), IntegrationError> {
        self.refresh();
        let mut step = 0.02;
        if self.field.mode.path == Path::Pip
            && self
                .field
                .event_function(EventFunction::Stub, self.now.t, &self.now.y, &self.now.dy)
                <= 0.0
        {
            self.stub();
        }
        self.sample_pair();
        for _ in 0..MOST_CHANGES {
            let stop = self.leg(solver, &mut step)?;
            self.note_peak();
            let turned = stop == Stop::EventFunction(EventFunction::Turn);
            let mut done = match stop {
                Stop::Time => self.known_time(),
                Stop::EventFunction(event) => self.reset(event),
            };
            self.refresh();
            while !done && let Some(event) = self.field.overdue(&self.now) {
                done = self.reset(event);
                self.refresh();
            }
            if done {
                self.finish();
                return Ok(());
            }
            if !turned {
                self.field.mode.rising = Loop::<N, D>::current(&self.now.dy) > 0.0;
            }
        }
        Err(IntegrationError::at(
            self.now.t,
            format!("more than {MOST_CHANGES} changes of mode"),
        ))
    }

    /// Known times of the arc \[ms\]: touchdown, or the stud's rest before it.
    fn flight_times(&self) -> (f64, f64) {
        let s = &self.rig.stud;
        let (x, w) = (self.now.y[X] * MILLIMETRE, self.now.y[W]);
        let land = s.flight.time_to(x, w, s.touch_travel());
        let rest = s.flight.time_to_rest(x, w);
        let after = |dt: f64| self.now.t + dt * SECOND;
        (land.map_or(f64::INFINITY, after), after(rest))
    }

    /// One leg of the integration in the present mode.
    fn leg(
        &mut self,
        solver: &impl Solver,
        step: &mut f64,
    ) -> Result<Stop<EventFunction>, IntegrationError> {
        let mut end = self.rig.end_time * SECOND;
        if self.field.mode.path == Path::Arc && self.field.mode.moving {
            let (land, rest) = self.flight_times();
            end = end.min(land).min(rest);
        }
        let watched = self.field.event_functions();
        let (field, struck, phase) = (&self.field, self.struck, self.phase);
        let (arc, peaks) = (&mut self.out.arc, &mut self.out.peak_earths);
        let (rig, contacts) = (self.rig, &self.contacts);
        let moments = &mut self.out.moments;
        let mut sampler = self.sampler.as_deref_mut();
        let (point, stop) = integrate(
            solver,
            field,
            &self.now,
            end,
            watched.as_slice(),
            self.tolerance,
            step,
            &mut self.out.work,
            |stretch| {
                for (k, peak) in peaks.iter_mut().enumerate().take(N) {
                    *peak = peak.max(largest(stretch, |y| y[I + k]));
                }
                if let Some(struck) = struck
                    && field.mode.path == Path::Arc
                {
                    moments.add::<N, D>(stretch);
                    let (from, to) = (stretch.from, stretch.to);
                    let t = 0.5 * (from.t + to.t);
                    let y = stretch.states().at(t);
                    arc.push(arc_knot(rig, field, t, &y, &struck));
                    arc.push(arc_knot(rig, field, to.t, &to.y, &struck));
                }
                if let Some(sampler) = sampler.as_deref_mut() {
                    sampler.between(phase, field, contacts, stretch);
                }
            },
        )?;
        self.now = point;
        Ok(stop)
    }
}
