//! Rows of the trace: the discharge sampled at even times and on both sides of each event.

use nalgebra::SVector;

use super::contacts::Contacts;
use super::events::Phase;
use super::integrator::{OdeSystem, Stretch};
use super::phase::{H, I, Loop, W};
use super::rig::MAX_EARTHS;
use super::units::{KILOAMPERE, MEGAJOULE_PER_KILOGRAM, MILLIMETRE, MILLISECOND, SECOND};
use crate::case::joint_id::{JointId, PerJoint};

/// The discharge at a moment, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Time from the trigger \[s\].
    pub t: f64,
    /// Phase.
    pub phase: Phase,
    /// Total current \[A\].
    pub current: f64,
    /// Bank voltage \[V\].
    pub bank: f64,
    /// Voltage across the weld \[V\].
    pub weld: f64,
    /// Gap between flange and sheet \[m\].
    pub gap: f64,
    /// Speed of the stud \[m/s\].
    pub speed: f64,
    /// Enthalpy of the pip above room \[J/kg\].
    pub pip_enthalpy: f64,
    /// Current of each earth \[A\].
    pub earths: [f64; MAX_EARTHS],
    /// Voltage across each joint \[V\].
    pub joints: PerJoint<f64>,
}

impl Sample {
    pub(super) fn of<const N: usize, const D: usize>(
        phase: Phase,
        field: &Loop<N, D>,
        contacts: &Contacts,
        t: f64,
        y: &SVector<f64, D>,
    ) -> Self {
        let mut earths = [0.0; MAX_EARTHS];
        for (k, earth) in earths.iter_mut().enumerate().take(N) {
            *earth = y[I + k] * KILOAMPERE;
        }
        let current = Loop::<N, D>::current(y) * KILOAMPERE;
        let mut joints = PerJoint::default();
        for id in JointId::all(N) {
            joints[id] = contacts.voltage(id, id.earth().map_or(current, |k| earths[k]));
        }
        Sample {
            t: t * MILLISECOND,
            phase,
            current,
            bank: field.bank_voltage(t, y),
            weld: field.weld_voltage(y),
            gap: field.gap(y).max(0.0) * MILLIMETRE,
            speed: y[W].max(0.0),
            pip_enthalpy: y[H] * MEGAJOULE_PER_KILOGRAM,
            earths,
            joints,
        }
    }
}

/// Takes samples at even times, at one further known time (twice), and wherever it is told to; passes each on at once.
pub struct Sampler<'a> {
    /// Time between rows \[s\].
    every: f64,
    next: u64,
    /// A time known beforehand that needs a row on each side \[s\].
    double: Option<f64>,
    /// Time of the last one \[s\].
    last: Option<f64>,
    each: &'a mut dyn FnMut(Sample),
}

impl<'a> Sampler<'a> {
    /// Samples each `every` \[s\], and two at the time `double`; `each` gets them in order of time.
    pub fn new(every: f64, double: Option<f64>, each: &'a mut dyn FnMut(Sample)) -> Self {
        Sampler {
            every,
            next: 1,
            double,
            last: None,
            each,
        }
    }

    pub(super) fn push(&mut self, sample: Sample) {
        self.last = Some(sample.t);
        (self.each)(sample);
    }

    /// Times that are due before `end` \[s\]. One that falls on it waits: an event there brings rows of its own, and
    /// after a plain step the next one begins with it.
    fn due(&mut self, end: f64) -> Option<f64> {
        let mut even = self.next as f64 * self.every;
        if self.last == Some(even) {
            self.next += 1;
            even = self.next as f64 * self.every;
        }
        if let Some(double) = self.double
            && double <= even
            && double < end
        {
            self.double = None;
            return Some(double);
        }
        if even < end {
            self.next += 1;
            Some(even)
        } else {
            None
        }
    }

    /// Whether a time is the one that needs two rows.
    fn doubles(&self, before: Option<f64>) -> bool {
        before.is_some() && self.double.is_none()
    }

    /// Samples a step of the integrator.
    pub(super) fn between<const N: usize, const D: usize>(
        &mut self,
        phase: Phase,
        field: &Loop<N, D>,
        contacts: &Contacts,
        stretch: &Stretch<'_, D>,
    ) {
        let mut states = None;
        loop {
            let double = self.double;
            let Some(t) = self.due(stretch.to.t * MILLISECOND) else {
                break;
            };
            // No sample looks at sums.
            let y = states
                .get_or_insert_with(|| stretch.states())
                .first(Loop::<N, D>::CORE, t * SECOND);
            let sample = Sample {
                t,
                ..Sample::of(phase, field, contacts, t * SECOND, &y)
            };
            self.push(sample);
            if self.doubles(double) {
                self.push(sample);
            }
        }
    }

    /// Samples a stretch without current; `motion` gives gap \[m\] and speed \[m/s\].
    pub(super) fn free_flight(
        &mut self,
        phase: Phase,
        start: f64,
        end: f64,
        bank: f64,
        motion: impl Fn(f64) -> (f64, f64),
    ) {
        let at = |t: f64| {
            let (gap, speed) = motion(t);
            Sample {
                t,
                phase,
                current: 0.0,
                bank,
                weld: 0.0,
                gap: gap.max(0.0),
                speed,
                pip_enthalpy: 0.0,
                earths: [0.0; MAX_EARTHS],
                joints: PerJoint::default(),
            }
        };
        self.push(at(start));
        if start == 0.0 {
            self.push(at(start));
        }
        loop {
            let double = self.double;
            let Some(t) = self.due(end) else { break };
            self.push(at(t));
            if self.doubles(double) {
                self.push(at(t));
            }
        }
        self.push(at(end));
    }
}
