//! What measured a trace: the probe with its amplifier and oscilloscope.

use serde::{Deserialize, Serialize};

/// The probe of a current, and the voltage divider beside it: what they make of the true values. All numbers are SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Probe {
    /// Reading of the current over the true one, once scaled.
    pub gain: f64,
    /// Frequency at which the reading has fallen by 3 dB \[Hz\]; `None` passes any.
    pub bandwidth: Option<f64>,
    /// Frequency below which the reading falls by 3 dB and more \[Hz\]: it droops; `None` passes any.
    pub low_cutoff: Option<f64>,
    /// Reading without a current \[A\].
    pub offset: f64,
    /// Time by which the reading lags the current \[s\].
    pub delay: f64,
    /// Mains hum in phase with a cosine at the time 0 of the trace \[A\].
    pub hum_cosine: f64,
    /// Mains hum in phase with a sine at the time 0 of the trace \[A\].
    pub hum_sine: f64,
    /// Frequency of the mains \[Hz\].
    pub mains: f64,
    /// Reading of the voltage over the true one, once scaled.
    pub voltage_gain: f64,
}

impl Default for Probe {
    fn default() -> Self {
        Probe {
            gain: 1.0,
            bandwidth: None,
            low_cutoff: None,
            offset: 0.0,
            delay: 0.0,
            hum_cosine: 0.0,
            hum_sine: 0.0,
            mains: 50.0,
            voltage_gain: 1.0,
        }
    }
}
