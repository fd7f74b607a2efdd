//! Keys of what measured a trace.

use super::key::{Key, Kind, Place};
use super::number::{Number, Range};
use super::rig::number;
use super::work::bare;
use crate::case::quantity::Dimension;

/// Bounds of a gain: a wrong sign or decimal point belongs to the scale.
const GAIN: Range = Range::from_to(0.1, 10.0);

/// Any current that a weld has.
const CURRENT: Range = Range::from_to(-1e5, 1e5);

/// A frequency that may not be given.
macro_rules! corner {
    ($path:literal, $unit:literal, $range:expr, $field:ident, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(
                Number::new(Dimension::Frequency, $unit, $range),
                Place::Maybe(|case| case.probe.$field, |case| &mut case.probe.$field),
            ),
        }
    };
}

/// The probe. The ends of the two frequencies keep them apart: no probe passes less than it droops.
#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    bare!("probe.gain", GAIN, probe.gain, "reading of the current over the true current"),
    corner!("probe.bandwidth", "kHz", Range::from_to(1e3, 1e9), bandwidth, "upper -3 dB frequency of the probe"),
    corner!("probe.low_cutoff", "Hz", Range::from_to(1e-3, 500.0), low_cutoff, "lower -3 dB frequency; 1 Hz droops by 0.63 % per ms"),
    number!("probe.offset", Current, "A", CURRENT, probe.offset, "reading without current"),
    number!("probe.delay", Time, "us", Range::from_to(-1e-3, 1e-3), probe.delay, "time by which the reading lags the current"),
    number!("probe.hum_cosine", Current, "A", CURRENT, probe.hum_cosine, "mains hum, cosine part from time 0 of the trace"),
    number!("probe.hum_sine", Current, "A", CURRENT, probe.hum_sine, "mains hum, sine part from time 0 of the trace"),
    number!("probe.mains", Frequency, "Hz", Range::from_to(10.0, 1000.0), probe.mains, "mains frequency"),
    bare!("probe.voltage_gain", GAIN, probe.voltage_gain, "reading of the voltage over the true voltage"),
];
