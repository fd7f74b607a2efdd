//! The computed current and voltage of a case, and what its probe makes of them.

use std::f64::consts::TAU;

use super::diode::{Beside, Freewheel, Growths};
use super::integral::{Integral, between};
use crate::case::Case;
use crate::case::check::check;
use crate::case::model::Probe;
use crate::simulation::discharge::{Discharge, discharge};
use crate::simulation::events::EventName;
use crate::simulation::integrator::Tolerance;
use crate::simulation::rig::Rig;
use crate::simulation::sample::{Sample, Sampler};

/// Time constants of a filter that its answer to the end of the current is followed for.
const FADED: f64 = 12.0;

/// Rows over a time constant of that answer.
const FINE: f64 = 20.0;

/// Current \[A\] and voltage across the weld \[V\] over the time from the trigger \[s\]; 0 before and after.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Curve {
    /// The case it belongs to, whatever measured it.
    rig: Case,
    time: Vec<f64>,
    current: Vec<f64>,
    voltage: Vec<f64>,
    /// The loop beside the diode, if that conducts.
    freewheel: Option<Freewheel>,
}

/// A case without what measured it.
pub(crate) fn rig(case: &Case) -> Case {
    Case {
        probe: Probe::default(),
        ..case.clone()
    }
}

impl Curve {
    /// The discharge of a rig, a row each `every` \[s\]; `None` where it is not a valid case.
    pub(crate) fn of(rig: Case, every: f64) -> Option<Curve> {
        if !check(&rig).is_empty() {
            return None;
        }
        let mut found = Discharge::default();
        let (mut time, mut current, mut voltage) = (Vec::new(), Vec::new(), Vec::new());
        let mut keep = |sample: Sample| {
            time.push(sample.t);
            current.push(sample.current);
            voltage.push(sample.weld);
        };
        let mut sampler = Sampler::new(every, None, &mut keep);
        let lumped = Rig::new(&rig);
        discharge(
            &lumped,
            Tolerance::default(),
            &mut found,
            Some(&mut sampler),
        )
        .ok()?;
        let circuit = &lumped.circuit;
        let beside = found.diode_conducts.map(|conducts| Beside {
            from: conducts.t,
            bank: circuit.esr * circuit.capacitance,
            ohms: circuit.loop_resistance() - circuit.esr,
            henries: circuit.loop_inductance(),
        });
        // A diode that blocks again has little to say of what is left.
        let blocks = found
            .events
            .iter()
            .any(|e| e.name == EventName::DiodeBlocks);
        let beside = beside.filter(|_| !blocks);
        Some(Curve {
            freewheel: beside.and_then(|b| Freewheel::of(&time, &current, b, every)),
            voltage,
            rig,
            time,
            current,
        })
    }

    /// The times of its rows \[s\].
    pub(crate) fn times(&self) -> &[f64] {
        &self.time
    }

    /// Whether it is the discharge of this rig.
    pub(super) fn is_of(&self, rig: &Case) -> bool {
        self.rig == *rig
    }

    /// Reading of the current at rising times after the trigger \[s\]: scaled, filtered and late. \[A\]
    pub(crate) fn current(&self, probe: &Probe, times: &[f64]) -> Vec<f64> {
        self.grown(probe, times, Growths::default())
    }

    /// The same where the drop of the diode grows with the current.
    pub(super) fn grown(&self, probe: &Probe, times: &[f64], growths: Growths) -> Vec<f64> {
        let (mut time, mut current) = (self.time.clone(), self.current.clone());
        if let Some(freewheel) = &self.freewheel
            && growths != Growths::default()
        {
            freewheel.grown(&mut time, &mut current, growths);
        }
        let to = times.last().map_or(0.0, |t| t - probe.delay);
        if let Some(filtered) = filtered(&time, &current, probe, to) {
            (time, current) = filtered;
        }
        let (time, current) = (&time, &current);
        let mut at = 0;
        let read = |t: &f64| probe.gain * between(time, current, t - probe.delay, &mut at);
        times.iter().map(read).collect()
    }

    /// Reading of the voltage at rising times after the trigger \[s\], each a mean over `width` \[s\], so that a jump
    /// moves through a row and not past it. \[V\]
    pub(crate) fn voltage(&self, probe: &Probe, times: &[f64], width: f64) -> Vec<f64> {
        let whole = Integral::of(self.time.clone(), &self.voltage);
        let mut rows = [0; 2];
        let read = |t: &f64| {
            let (from, to) = (t - 0.5 * width, t + 0.5 * width);
            probe.voltage_gain * whole.over(from, to, &mut rows) / width
        };
        times.iter().map(read).collect()
    }
}

/// The current behind the filters of a probe, to the time `to` \[s\]; `None` where it has none.
fn filtered(time: &[f64], current: &[f64], probe: &Probe, to: f64) -> Option<(Vec<f64>, Vec<f64>)> {
    let constant = |corner: f64| 1.0 / (TAU * corner);
    let (fast, slow) = (
        probe.bandwidth.map(constant),
        probe.low_cutoff.map(constant),
    );
    fast.or(slow)?;
    let (mut time, mut input) = (time.to_vec(), current.to_vec());
    // The answer to the end: each filter's in steps of its own.
    let mut t = *time.last()?;
    for constant in [fast, slow].into_iter().flatten() {
        let end = (t + FADED * constant).min(to + constant / FINE);
        while t < end {
            t += constant / FINE;
            time.push(t);
        }
    }
    input.resize(time.len(), 0.0);
    if let Some(constant) = fast {
        input = low_pass(&time, &input, constant);
    }
    if let Some(constant) = slow {
        let drooped = low_pass(&time, &input, constant);
        for (x, z) in input.iter_mut().zip(drooped) {
            *x -= z;
        }
    }
    Some((time, input))
}

/// Behind a low-pass filter of first order with this time constant \[s\]; exact for straight lines between the rows.
fn low_pass(time: &[f64], input: &[f64], constant: f64) -> Vec<f64> {
    let mut out = vec![0.0; input.len()];
    for k in 1..input.len() {
        let step = time[k] - time[k - 1];
        let (kept, gone) = ((-step / constant).exp(), -(-step / constant).exp_m1());
        let slope = if step > 0.0 {
            (input[k] - input[k - 1]) / step
        } else {
            0.0
        };
        out[k] = out[k - 1] * kept + input[k - 1] * gone + slope * (step - constant * gone);
    }
    out
}

/// The current \[A\] of a case, computed each `every` \[s\], at these times after the trigger \[s\]; `None` where
/// the case is none.
#[cfg(test)]
pub(super) fn current(case: &Case, times: &[f64], every: f64) -> Option<Vec<f64>> {
    Some(Curve::of(rig(case), every)?.current(&case.probe, times))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Own check: the answers of filters of first order to a ramp and to what follows it, worked out by hand.
    #[test]
    fn closed_form_filters_of_first_order() {
        let (slope, end) = (2e6, 2e-3);
        let mut time: Vec<f64> = (0..=2000).map(|k| f64::from(k) * 1e-6).collect();
        let mut current: Vec<f64> = time.iter().map(|t| slope * t).collect();
        // It ends at once.
        time.push(time[2000]);
        current.push(0.0);
        let curve = Curve {
            rig: Case::default(),
            current,
            voltage: vec![0.0; time.len()],
            freewheel: None,
            time,
        };
        let probe = |bandwidth, low_cutoff| Probe {
            bandwidth,
            low_cutoff,
            ..Probe::default()
        };
        let times: Vec<f64> = [0.1e-3, 1e-3, 1.9e-3, 2.02e-3, 2.1e-3, 4e-3, 40e-3].to_vec();
        let lag = 1.0 / (TAU * 5e3);
        let low = |t: f64, lag: f64| {
            let ramp = |t: f64| slope * (t - lag * (1.0 - (-t / lag).exp()));
            if t <= end {
                ramp(t)
            } else {
                ramp(end) * (-(t - end) / lag).exp()
            }
        };
        let peak = slope * end;
        for (found, t) in curve
            .current(&probe(Some(5e3), None), &times)
            .iter()
            .zip(&times)
        {
            // The way down from the end in steps of a twentieth of the lag.
            assert!((found - low(*t, lag)).abs() < 1e-3 * peak, "{t} {found}");
        }
        let lag = 1.0 / (TAU * 20.0);
        let seen = curve.current(&probe(None, Some(20.0)), &times);
        for (found, t) in seen.iter().zip(&times) {
            let input = if *t <= end { slope * t } else { 0.0 };
            assert!(
                (found - (input - low(*t, lag))).abs() < 1e-4 * peak,
                "{t} {found}"
            );
        }
        assert!(
            seen[5] < -0.05 * peak && seen[6] < 0.0,
            "it undershoots: {seen:?}"
        );
        let late = Probe {
            delay: 50e-6,
            gain: 1.1,
            ..Probe::default()
        };
        let late = curve.current(&late, &[0.04e-3, 1e-3]);
        assert_eq!(late[0], 0.0);
        assert!((late[1] - 1.1 * slope * 0.95e-3).abs() < 1e-6);
    }
}
