//! The trace of an oscilloscope beside the computed one: the current in stretches, and the arc by its voltage.
//!
//! A trace has thousands of rows, and what sets it apart from the model is not their noise but how one weld differs from
//! the next. So the rows become a mean over each of a few stretches from the rise on, whose errors go together in part.

use crate::case::Case;
use crate::study::fit::curve::{Curve, rig};
use crate::study::fit::integral::Integral;
use crate::study::fit::trace::{Trace, rise};

/// Stretches from the rise of the current to its last quarter.
pub const STRETCHES: usize = 8;

/// Correlation of the errors of two stretches: a joint that is a little worse lowers all of the current. Our own estimate.
const TOGETHER: f64 = 0.5;

/// Rows of a computed current over the measured one, and least time between them \[s\]: a trace read in a wrong unit may
/// be as short as it likes.
const ROWS: f64 = 300.0;
const FINEST: f64 = 2e-6;

/// Charges apart from which on a unit is wrong.
const FAR: f64 = 20.0;

/// Share of the rows of a stretch that must be there for its mean to count.
const THERE: f64 = 0.7;

/// Least voltage of an arc \[V\]: above the melting voltage of any contact, below cathode and anode drop.
const ARC: f64 = 8.0;

/// Shares of an arc's usual voltage above which it has been lit, as a pip about to burst has some two thirds of it, and
/// below which it is out.
const LIT: f64 = 0.8;
const OUT: f64 = 0.5;

/// Share of an arc's time at either end that its voltage is not taken from.
const ENDS: f64 = 0.2;

/// What an oscilloscope showed of a weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// From the rise of the current to its last quarter \[s\].
    pub width: f64,
    /// Mean current of each stretch of that \[A\]; `None` where rows are missing.
    pub current: [Option<f64>; STRETCHES],
    /// Deviation of such a mean by the noise of the rows \[A\].
    pub noise: f64,
    /// Largest current \[A\].
    pub peak: f64,
    /// The arc, where the voltage at the weld was measured and shows one.
    pub arc: Option<Arc>,
}

/// An arc as its voltage shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// From ignition to touchdown or its end \[s\].
    pub time: f64,
    /// Mean voltage over its middle \[V\].
    pub voltage: f64,
}

impl Course {
    /// Of a trace that was read.
    pub fn of(trace: &Trace) -> Course {
        let time: Vec<f64> = trace.time.iter().map(|t| t - trace.rise).collect();
        let means = means(&Integral::of(time.clone(), &trace.current), trace.width);
        let stretch = trace.width / STRETCHES as f64;
        let current = std::array::from_fn(|k| {
            let before = |k: usize| time.partition_point(|t| *t < k as f64 * stretch);
            let rows = before(k + 1) - before(k);
            (rows as f64 * trace.spacing >= THERE * stretch).then_some(means[k])
        });
        let rows = (stretch / trace.spacing).max(1.0);
        let noise = trace.quiet.map_or(0.0, |quiet| {
            quiet.noise.max(trace.row_quantum()) * (quiet.memory / rows).sqrt()
        });
        let voltage = trace.voltage.as_ref();
        Course {
            width: trace.width,
            current,
            noise,
            peak: trace.peak,
            arc: voltage.and_then(|volts| arc(&time, &volts.values, trace.width)),
        }
    }

    /// Itself, if it can be the discharge of this case in the same units.
    ///
    /// # Errors
    /// In words, if it shows no current or its charge is more than 20 times off.
    pub fn fits(self, case: &Case) -> Result<Course, String> {
        let whole: f64 = self.current.iter().flatten().sum();
        let there = self.current.iter().flatten().count();
        if there == 0 || whole <= 5.0 * self.noise * (there as f64).sqrt() {
            return Err("the trace shows no current".into());
        }
        let measured = whole / there as f64 * self.width;
        let computed = Computed::of(case, every(self.width));
        let expected = computed.map_or(0.0, |computed| computed.charge.whole());
        let off = measured / expected;
        if (1.0 / FAR..=FAR).contains(&off) {
            return Ok(self);
        }
        Err(format!(
            "the trace has a charge of {measured:.3e} C, the computed current one of {expected:.3e} C; check the units"
        ))
    }

    /// Logarithm of the probability of its current where `computed` is expected, with errors of this share of the peak:
    /// normal, and correlated by the same amount between any two stretches.
    pub fn current_log(&self, computed: &Computed, share: f64) -> f64 {
        let (mut sum, mut squares) = (0.0, 0.0);
        let expected = means(&computed.charge, self.width);
        for (measured, expected) in self.current.iter().zip(expected) {
            let Some(measured) = measured else { continue };
            let off = measured - expected;
            sum += off;
            squares += off * off;
        }
        self.off_log(sum, squares, share)
    }

    /// The same where exactly what was measured is expected: the most it can be.
    pub fn most(&self, share: f64) -> f64 {
        self.off_log(0.0, 0.0, share)
    }

    /// The same for the sum \[A\] and the squares \[A²\] of what its stretches are off.
    fn off_log(&self, sum: f64, squares: f64, share: f64) -> f64 {
        let spread = share * self.peak;
        let alone = (1.0 - TOGETHER) * spread * spread + self.noise * self.noise;
        let common = TOGETHER * spread * spread;
        let count = self.current.iter().flatten().count() as f64;
        // Inverse and determinant of alone·1 + common·J (J. Sherman and W. J. Morrison, 1950).
        let whole = alone + count * common;
        let distance = (squares - common / whole * sum * sum) / alone;
        // In shares of the peak, so that the figure has no unit.
        let volume = (count - 1.0) * alone.ln() + whole.ln() - 2.0 * count * self.peak.ln();
        -0.5 * (distance + volume + count * std::f64::consts::TAU.ln())
    }
}

/// What the model says of such a trace.
#[derive(Debug, Clone, PartialEq)]
pub struct Computed {
    /// Charge over the time from the rise on \[C\].
    charge: Integral,
    /// The arc.
    pub arc: Option<Arc>,
}

impl Computed {
    /// Of a case, as its probe reads it, a row each `every` \[s\]; `None` where it drives no current.
    pub fn of(case: &Case, every: f64) -> Option<Computed> {
        let curve = Curve::of(rig(case), every)?;
        let times = curve.times();
        let current = curve.current(&case.probe, times);
        let voltage = curve.voltage(&case.probe, times, every);
        if times.len() < 2 {
            return None;
        }
        let (rise, _, width) = rise(times, &current);
        let time: Vec<f64> = times.iter().map(|t| t - rise).collect();
        Some(Computed {
            arc: arc(&time, &voltage, width),
            charge: Integral::of(time, &current),
        })
    }
}

/// Time between computed rows \[s\] that suits a trace of this width.
pub fn every(width: f64) -> f64 {
    FINEST.max(width / ROWS)
}

/// Mean of each stretch, from the integral over the time from the rise on.
fn means(integral: &Integral, width: f64) -> [f64; STRETCHES] {
    let stretch = width / STRETCHES as f64;
    let mut rows = [0; 2];
    std::array::from_fn(|k| {
        let (from, to) = (k as f64 * stretch, (k + 1) as f64 * stretch);
        integral.over(from, to, &mut rows) / (to - from)
    })
}

/// The arc in a voltage, looked for up to twice the `width` of the current after its rise.
fn arc(time: &[f64], volts: &[f64], width: f64) -> Option<Arc> {
    let first = time.partition_point(|t| *t < 0.0);
    let last = time.partition_point(|t| *t <= 2.0 * width);
    let (time, volts) = (time.get(first..last)?, volts.get(first..last)?);
    let high = volts.iter().copied().filter(|v| *v > ARC);
    let mut high: Vec<f64> = high.collect();
    high.sort_by(f64::total_cmp);
    let usual = high.get(high.len() / 2)?;
    let (lit, out) = (LIT * usual, OUT * usual);
    let a = volts.iter().position(|v| *v > lit)?;
    let b = volts.iter().rposition(|v| *v > out)?;
    let crossing = |k: usize, level: f64| {
        let (u, v) = (volts[k], volts[k + 1]);
        time[k] + (level - u) / (v - u) * (time[k + 1] - time[k])
    };
    let from = a.checked_sub(1).map_or(time[a], |k| crossing(k, lit));
    let to = match b + 1 < time.len() {
        true => crossing(b, out),
        false => time[b],
    };
    let within = |t: f64| (t - from) / (to - from);
    let middle = time.iter().zip(volts);
    let middle = middle.filter(|(t, _)| (ENDS..=1.0 - ENDS).contains(&within(**t)));
    let (sum, rows) = middle.fold((0.0, 0.0), |(sum, n), (_, v)| (sum + v, n + 1.0));
    (rows > 0.0).then(|| Arc {
        time: to - from,
        voltage: sum / rows,
    })
}
