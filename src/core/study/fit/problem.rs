//! What is fitted to what: a case with its free keys and what is known of the others, beside one trace or several.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use thiserror::Error;

use super::digitizer::widened;
use super::free::{Free, ZERO};
use super::known::Known;
use super::scope_error::FEWEST;
use super::trace::{Quiet, Trace};
use crate::case::Case;
use crate::case::keys::Address;
use crate::case::tolerance::Tolerances;
use crate::simulation::discharge::{Discharge, discharge};
use crate::simulation::integrator::{IntegrationError, Tolerance};
use crate::simulation::rig::Rig;
use crate::study::outcome::changed;

/// Rows over the computed current, the time between them \[s\], and most of them.
const ROWS: f64 = 4000.0;
const EVERY: (f64, f64) = (0.2e-6, 2e-6);
const MOST_ROWS: f64 = 100_000.0;

/// Spans of a record over the computed current's length, and ratio of the peaks, beyond which a unit is wrong.
const SPANS: (f64, f64) = (0.1, 300.0);
const PEAKS: f64 = 20.0;

/// Time before and after the rise that is fitted, over the length of the current.
const BEYOND: f64 = 3.0;

/// Largest negative over largest positive current from which on a trace is upside down.
const NEGATIVE: f64 = 2.0;

/// Offset that may be left in the trace, over its largest current.
const OFFSET: f64 = 0.2;

/// Noise that stands for none where the quiet rows are all equal, over the largest current.
const NOISELESS: f64 = 1e-3;

/// Least noise of a row, over the largest value: no probe is better. The computed current's own error is a hundredth of it.
const FLOOR: f64 = 1e-5;

/// What is fitted to what.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Keys that are turned.
    pub free: Vec<Free>,
    /// What is measured, one discharge or several.
    pub records: Vec<Record>,
    /// Whether the trigger's place in a trace is sought as well; else it is at 0.
    pub shift: bool,
    /// Keys that are held as well as they are known; none where all others are exact.
    pub known: Vec<Known>,
    /// Time from the trigger to the current in the case as it stands \[s\].
    pub(super) lag: f64,
    /// Time between the rows of the computed current \[s\].
    pub(super) every: f64,
    /// Ends the search once it is true.
    pub(super) stop: Option<Arc<AtomicBool>>,
}

/// A measured discharge beside its case.
#[derive(Debug, Clone)]
pub struct Record {
    /// The case as it stands, before any key is turned.
    pub case: Case,
    /// Measured current, cut to the stretch that is fitted.
    pub trace: Trace,
    /// Peaks of the whole record and of the current computed at the start \[A\].
    pub peaks: [f64; 2],
    /// Whether a slope of the baseline is sought: where rows without current lie before the rise and after the end.
    pub drift: bool,
    /// What holds the trigger where the rise was cut out of the trace.
    pub(super) tie: Option<Tie>,
    /// Largest offsets that may be left in the trace \[A, V\].
    pub(super) offset: f64,
    pub(super) volts: f64,
    /// Reading without a current and its deviation, where the case says how well it is known \[A\].
    pub(super) zero: Option<(f64, f64)>,
    /// What a row weighs by, current and voltage: the noise of as many independent ones \[A, V\].
    pub(super) noise: [f64; 2],
    /// Factor to the noise of each row of the current.
    pub(super) widened: Vec<f64>,
}

/// The rise of the whole record as a measurement of the trigger: one more residual.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tie {
    /// Standard deviation of the rise \[s\].
    pub blur: f64,
}

/// Time between computed rows for a current of this length \[s\]. The record has no say in it: its rows may
/// go on long after the current, or be too few to show its course.
pub(super) fn step(length: f64) -> f64 {
    (length / ROWS)
        .clamp(EVERY.0, EVERY.1)
        .max(length / MOST_ROWS)
}

/// Why nothing was fitted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FitError {
    /// The discharge at the start could not be integrated.
    #[error("{0}")]
    March(#[from] IntegrationError),
    /// The starting values are not a valid case; which rule they break, in words.
    #[error("the starting values are not a valid case: {0}")]
    NoCase(String),
    /// The case drives no current.
    #[error("the case drives no current to compare with the trace")]
    NoCurrent,
    /// Nothing stands out of the noise before the rise; the largest value \[A\].
    #[error("the trace shows no current: its largest value is {0:.3} A")]
    FlatTrace(f64),
    /// The current runs the other way round; its least value \[A\].
    #[error("the trace is negative, down to {0:.0} A")]
    Negative(f64),
    /// The record is below 0.1 or above 300 times as long as the computed current: a unit is wrong.
    #[error("the trace spans {trace:.2e} s, the computed current {current:.2e} s")]
    Span {
        /// Span of the record \[s\].
        trace: f64,
        /// Length of the computed current \[s\].
        current: f64,
    },
    /// The peaks are more than 20 times apart, or more than 3 times from wherever the free keys start: a unit is wrong.
    #[error("the trace has a peak of {trace:.3e} A, the computed current one of {current:.3e} A")]
    Scale {
        /// Largest current of the record \[A\].
        trace: f64,
        /// Largest current computed at the start \[A\].
        current: f64,
    },
    /// No more rows than values are sought.
    #[error("{rows} rows cannot determine {keys} values")]
    TooFewRows {
        /// Rows of the stretch that is fitted.
        rows: usize,
        /// Free keys, offset and slope of the baseline, and the trigger where it is sought.
        keys: usize,
    },
    /// One of several traces is wrong: its number, from 0, and why.
    #[error("trace {}: {why}", .trace + 1)]
    Of {
        /// Number of the trace, counted from 0.
        trace: usize,
        /// What is wrong with it.
        why: Box<FitError>,
    },
    /// The search ended outside the valid cases; in words.
    #[error("the search did not converge: {0}")]
    Unsettled(String),
    /// The search was ended before it was done.
    #[error("the fit was stopped")]
    Stopped,
}

impl FitError {
    /// The error of a trace by its number; the first is the only one, or told by its own.
    pub(super) fn of(self, trace: usize) -> FitError {
        let why = Box::new(self);
        match trace {
            0 => *why,
            _ => FitError::Of { trace, why },
        }
    }
}

impl Setup {
    /// Sets a case beside a trace; all keys but the free ones are exact.
    ///
    /// # Errors
    /// When the starting values are not a valid case, the case drives no current, the trace shows none, or the two are too far from each other to be the
    /// same current in the same units.
    pub fn new(case: Case, free: Vec<Free>, trace: Trace, shift: bool) -> Result<Setup, FitError> {
        Setup::of(case, free, vec![trace], shift)
    }

    /// The same for several traces of one rig.
    ///
    /// # Errors
    /// As [`Setup::new`], of the first trace that is wrong.
    pub fn of(
        case: Case,
        free: Vec<Free>,
        traces: Vec<Trace>,
        shift: bool,
    ) -> Result<Setup, FitError> {
        let mut found = Discharge::default();
        let started = changed(&case, free.iter().map(|f| (&f.address, f.start)));
        let started = started.map_err(FitError::NoCase)?;
        discharge(&Rig::new(&started), Tolerance::default(), &mut found, None)?;
        let (peak, length) = (found.peak.0, found.end.t);
        if peak <= 0.0 || length <= 0.0 {
            return Err(FitError::NoCurrent);
        }
        let lag = found.pip_touch.unwrap_or(0.0);
        let records = traces.into_iter().enumerate().map(|(r, trace)| {
            let record = Record::beside(&case, trace, (peak, length), shift && lag == 0.0);
            record.map_err(|e| e.of(r))
        });
        let setup = Setup {
            records: records.collect::<Result<_, _>>()?,
            free,
            shift,
            known: Vec::new(),
            lag,
            every: step(length),
            stop: None,
        };
        for (r, record) in setup.records.iter().enumerate() {
            let rows = record.trace.time.len();
            let names = setup.names();
            let of = |record: &Option<usize>| record.is_none_or(|own| own == r);
            let keys = names.iter().filter(|(_, record)| of(record)).count();
            if rows <= keys {
                return Err(FitError::TooFewRows { rows, keys }.of(r));
            }
        }
        setup.within_reach()?;
        Ok(setup)
    }

    /// Holds every other key as well as it is known, instead of taking it for exact.
    #[must_use]
    pub fn knowing(mut self, tolerances: &Tolerances) -> Setup {
        let case = &self.records[0].case;
        let free: Vec<&Address> = self.free.iter().map(|f| &f.address).collect();
        let mut known = Known::all(tolerances, case, &free, self.records.len());
        // The offset is sought anyway; a delay cannot be told from the trigger that is.
        let name = |known: &Known| known.address.to_string();
        let zero = known.iter().find(|k| name(k) == ZERO);
        let zero = zero.map(|k| (k.mean, k.deviation));
        for record in &mut self.records {
            record.zero = zero;
        }
        let shift = self.shift;
        known.retain(|k| name(k) != ZERO && !(shift && name(k) == "probe.delay"));
        self.known = known;
        self
    }

    /// Lets [`fit`](super::fit) end with [`FitError::Stopped`] at the next discharge once `stop` is true.
    #[must_use]
    pub fn until(mut self, stop: Arc<AtomicBool>) -> Setup {
        self.stop = Some(stop);
        self
    }

    /// Whether the search is to end.
    pub(super) fn stopped(&self) -> bool {
        let stop = self.stop.as_ref();
        stop.is_some_and(|stop| stop.load(Ordering::Relaxed))
    }

    /// The case of the first trace, before any key is turned.
    pub fn case(&self) -> &Case {
        &self.records[0].case
    }
}

impl Record {
    /// The noise that a row counts with at least: the error of a digitizer's steps, or the best that a probe does \[A, V\].
    pub(super) fn least(&self) -> [f64; 2] {
        let trace = &self.trace;
        let volts = trace.voltage.as_ref().map_or(0.0, |v| v.quantum);
        let steps = [trace.quantum, volts].map(|quantum| trace.of_quantum(quantum));
        let floor = self.floor();
        [0, 1].map(|s| steps[s].max(floor[s]))
    }

    /// The noise that the best probe has \[A, V\].
    pub(super) fn floor(&self) -> [f64; 2] {
        [self.peaks[0], self.volts / OFFSET].map(|most| FLOOR * most)
    }

    /// A trace beside a case whose current has this peak \[A\] and length \[s\].
    fn beside(
        case: &Case,
        mut trace: Trace,
        (peak, length): (f64, f64),
        tied: bool,
    ) -> Result<Record, FitError> {
        let extreme = |better: fn(f64, f64) -> f64| trace.current.iter().copied().fold(0.0, better);
        let (largest, least) = (extreme(f64::max), extreme(f64::min));
        let floor = 5.0 * trace.quiet.map_or(0.0, |q| q.noise);
        if -least > floor && -least > NEGATIVE * largest {
            return Err(FitError::Negative(least));
        }
        if largest <= floor || largest <= 0.0 {
            return Err(FitError::FlatTrace(largest));
        }
        if !(SPANS.0 * length..=SPANS.1 * length).contains(&trace.span) {
            return Err(FitError::Span {
                trace: trace.span,
                current: length,
            });
        }
        if !(1.0 / PEAKS..=PEAKS).contains(&(trace.peak / peak)) {
            return Err(FitError::Scale {
                trace: trace.peak,
                current: peak,
            });
        }
        // Rows with neither current in them would only thin out what is left of it.
        let (rise, reach) = (trace.rise, BEYOND * trace.width.max(length));
        let all = trace.time.len();
        trace.retain(|_, t| (t - rise).abs() <= reach);
        trace.beyond = all - trace.time.len();
        let size = |values: &[f64]| values.iter().map(|v| v.abs()).fold(0.0, f64::max);
        let most = size(&trace.current);
        let most_volts = trace.voltage.as_ref().map_or(0.0, |v| size(&v.values));
        // Where the current waits for the pip, its rise says little of the trigger.
        let cut = tied && trace.quiet.is_some() && trace.time.first().is_some_and(|t| *t > rise);
        let tie = cut.then_some(Tie { blur: trace.blur });
        let beside =
            |keep: &dyn Fn(f64) -> bool| trace.time.iter().filter(|t| keep(**t)).count() >= FEWEST;
        let drift = trace.quiet.is_some()
            && beside(&|t| t < rise)
            && trace.tail.is_some_and(|tail| beside(&|t| t >= tail.from));
        let noise = |quiet: Option<Quiet>, least: f64, peak: f64| {
            let of_rows = quiet.map_or(0.0, |q| q.noise.max(least) * q.memory.sqrt());
            of_rows.max(NOISELESS * peak)
        };
        let volts = trace.voltage.as_ref();
        let of_current = noise(trace.quiet, trace.row_quantum(), trace.peak);
        Ok(Record {
            case: case.clone(),
            peaks: [trace.peak, peak],
            drift,
            tie,
            offset: OFFSET * most,
            volts: OFFSET * most_volts,
            zero: None,
            noise: [
                of_current,
                volts.map_or(1.0, |v| {
                    noise(v.quiet, trace.of_quantum(v.quantum), most_volts)
                }),
            ],
            widened: widened(&trace, of_current),
            trace,
        })
    }
}
