//! How probable an observation is where the model predicts a weld.
//!
//! Words are ordered steps of something the model computes, blurred by a normal error (probit); numbers have a normal
//! error in their logarithm. One scatter of the fill is shared by all that is judged on the rim and the strength of one
//! weld, and integrated out by Gauss and Hermite's rule, so that three words on one weld are not taken for three welds.

use std::f64::consts::{PI, TAU};

use statrs::distribution::{ContinuousCDF, Normal};

use super::predicted::Predicted;
use super::spreads::{Kind, Values};
use super::weld::Seen;
use super::words::{Back, Bend, Broke, Spatter, Torque, Witness};

/// Probability before any weld is seen that one does not fit: noted wrongly, or welded otherwise than noted. Our own
/// estimate.
pub const OUTLIERS: f64 = 0.05;

/// Spread of the logarithm of a number that does not fit.
const ASTRAY: f64 = 1.0;

/// Error of a current that does not fit, as a share of its peak.
const ASTRAY_CURRENT: f64 = 0.3;

/// Probability of a number where the model has none.
const NEVER: f64 = 1e-6;

/// Nodes and weights of Gauss and Hermite for a standard normal variable, order 7 (Abramowitz and Stegun (1964), table
/// 25.10, nodes times √2, weights over √π).
const NODES: [(f64, f64); 7] = [
    (-3.750_439_717_725_742, 5.482_688_559_722_184e-4),
    (-2.366_759_410_734_541, 3.075_712_396_758_645e-2),
    (-1.154_405_394_739_968, 2.401_231_786_050_127e-1),
    (0.0, 4.571_428_571_428_571e-1),
    (1.154_405_394_739_968, 2.401_231_786_050_127e-1),
    (2.366_759_410_734_541, 3.075_712_396_758_645e-2),
    (3.750_439_717_725_742, 5.482_688_559_722_184e-4),
];

/// Between little, some and much spatter, in limits of the verdict.
const SPATTER: [f64; 2] = [0.5, 1.0];

/// How a weld is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Unevenness that the tilt of a hand-held tool adds to the fill round the rim, in its logarithm.
    pub uneven: f64,
}

/// Logarithms of the probability of a weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// If it fits the model.
    pub fitting: f64,
    /// If it does not.
    pub astray: f64,
}

impl Fit {
    /// Of both together.
    pub fn log(&self) -> f64 {
        let [a, b] = [
            (1.0 - OUTLIERS).ln() + self.fitting,
            OUTLIERS.ln() + self.astray,
        ];
        let most = a.max(b);
        most + ((a - most).exp() + (b - most).exp()).ln()
    }

    /// Probability that it does not fit.
    pub fn outlier(&self) -> f64 {
        (OUTLIERS.ln() + self.astray - self.log()).exp()
    }
}

/// The probability of what was seen on a weld.
pub fn fit(seen: &Seen, predicted: &Predicted, spreads: &Values, look: Look) -> Fit {
    let mut out = Fit {
        fitting: 0.0,
        astray: 0.0,
    };
    rim_and_strength(seen, predicted, spreads, look, &mut out);
    let mut word = |probability: f64, words: f64| {
        out.fitting += probability.max(f64::MIN_POSITIVE).ln();
        out.astray -= words.ln();
    };
    if let Some(spatter) = seen.spatter {
        word(of_spatter(spatter, predicted, spreads), 3.0);
    }
    if let Some(back) = seen.back {
        word(of_back(back, predicted, spreads), 4.0);
    }
    for (seen, predicted, kind) in [
        (seen.arc_time, predicted.arc_time, Kind::ArcTime),
        (seen.peak_current, predicted.peak_current, Kind::PeakCurrent),
        (seen.melt, predicted.melt, Kind::Melt),
    ] {
        if let Some(seen) = seen {
            number(seen, predicted, spreads.of(kind), &mut out);
        }
    }
    course(seen, predicted, spreads, &mut out);
    out
}

/// The most that [`Fit::log`] can be for what was seen on a weld, whatever is predicted: words have a probability of 1 at
/// most, numbers the density in the middle of the narrower of their distributions.
pub fn most(seen: &Seen, spreads: &Values) -> f64 {
    let peak = |kind: Kind| normal_log(0.0, spreads.of(kind)).max(0.0);
    let mut most = 0.0;
    if let Some(Torque::Failed(_)) = seen.torque {
        most += peak(Kind::Torque);
    }
    for (seen, kind) in [
        (seen.arc_time, Kind::ArcTime),
        (seen.peak_current, Kind::PeakCurrent),
        (seen.melt, Kind::Melt),
    ] {
        most += seen.map_or(0.0, |_| peak(kind));
    }
    if let Some(course) = &seen.course {
        let peaks = [spreads.of(Kind::Current), ASTRAY_CURRENT].map(|s| course.most(s));
        most += peaks[0].max(peaks[1]).max(0.0);
        most += course
            .arc
            .map_or(0.0, |_| peak(Kind::ArcTime) + peak(Kind::ArcVoltage));
    }
    most
}

/// The trace of an oscilloscope: its current as a whole, and the arc it shows where that was not told in a column.
fn course(seen: &Seen, predicted: &Predicted, spreads: &Values, out: &mut Fit) {
    let Some(course) = &seen.course else { return };
    let Some(computed) = &predicted.course else {
        out.fitting += NEVER.ln();
        return;
    };
    out.fitting += course.current_log(computed, spreads.of(Kind::Current));
    out.astray += course.current_log(computed, ASTRAY_CURRENT);
    let Some(arc) = course.arc else { return };
    let expected = computed.arc;
    if seen.arc_time.is_none() {
        let time = expected.map(|arc| arc.time);
        number(arc.time, time, spreads.of(Kind::ArcTime), out);
    }
    let voltage = expected.map(|arc| arc.voltage);
    number(arc.voltage, voltage, spreads.of(Kind::ArcVoltage), out);
}

/// What hangs on the fill of the rim: witness, breaks, bends and torques of one weld share its scatter.
fn rim_and_strength(seen: &Seen, p: &Predicted, s: &Values, look: Look, out: &mut Fit) {
    if seen.witness.is_none() && !seen.is_tested() {
        return;
    }
    let scatter = s.of(Kind::Fill);
    let sum: f64 = NODES
        .iter()
        .map(|(node, weight)| {
            let off = node * scatter;
            let mut all = *weight;
            if let Some(witness) = seen.witness {
                all *= of_witness(witness, p, off, s.of(Kind::Eye), look);
            }
            // A rim that is filled already gets no stronger by more.
            let share = (p.share + 2.0 / 3.0 * off).min(0.0) - p.share;
            let strength = s.of(Kind::Strength).ln();
            if let Some(broke) = seen.broke {
                all *= of_broke(broke, p, share + strength, s.of(Kind::Eye));
            }
            // A moment goes by the cube of the diameter where a load goes by its square.
            let off = 1.5 * share + strength;
            if let Some(bend) = seen.bend {
                all *= of_bend(bend, p, off, s.of(Kind::Eye));
            }
            if let Some(torque) = seen.torque {
                all *= of_torque(torque, p, off, s.of(Kind::Torque));
            }
            all
        })
        .sum();
    out.fitting += sum.max(f64::MIN_POSITIVE).ln();
    let words = [
        seen.witness.map(|w| match w {
            Witness::Missing(..) => 36.0 * 12.0,
            _ => 3.0_f64,
        }),
        seen.broke.map(|_| 4.0),
        seen.bend.map(|_| 2.0),
    ];
    out.astray -= words.iter().flatten().map(|n| n.ln()).sum::<f64>();
    match seen.torque {
        Some(Torque::Failed(torque)) => {
            let expected = failing(p, 0.0).unwrap_or_else(|| torque.ln());
            out.astray += normal(torque.ln() - expected, ASTRAY).ln();
        }
        Some(Torque::Held(_)) => out.astray -= 2.0_f64.ln(),
        None => {}
    }
}

fn of_witness(witness: Witness, p: &Predicted, off: f64, eye: f64, look: Look) -> f64 {
    // The fill runs round the rim like a cosine between its least and as far above the mean.
    let swing = (p.fill - p.least).max(look.uneven);
    let mean = p.fill + off;
    let full = below((mean - swing) / eye);
    let none = below(-(mean + swing) / eye);
    match witness {
        Witness::Full => full,
        Witness::None => none,
        Witness::Part => (1.0 - full - none).max(f64::MIN_POSITIVE),
        Witness::Missing(..) => {
            let Some((share, hour)) = witness.missing() else {
                return 1.0;
            };
            // Missing is where mean + swing·cos(φ) lies below 0: the mean is swing·cos(π·share).
            let (seen, slope) = ((PI * share).cos(), PI * (PI * share).sin());
            let width = (eye * eye + (slope * swing / 12.0).powi(2)).sqrt();
            let within = slope * swing / 36.0 + 1e-3;
            let length = (normal(mean - swing * seen, width) * within).min(1.0);
            length * towards(hour, p, look)
        }
    }
}

/// Probability that the missing stretch has its middle within an hour's twelfth of where it is, as the model's own
/// unevenness stands out of the tilt's (von Mises).
fn towards(hour: f64, p: &Predicted, look: Look) -> f64 {
    let Some(at) = p.least_at else {
        return 1.0 / 12.0;
    };
    let out = (p.fill - p.least) / look.uneven;
    let sharp = (out * out).min(8.0);
    let angle = (hour - at) / 12.0 * TAU;
    (sharp * angle.cos()).exp() / bessel(sharp) / 12.0
}

/// Modified Bessel function I₀ for arguments of at most 8, by its series.
fn bessel(x: f64) -> f64 {
    let (mut term, mut sum) = (1.0, 1.0);
    for k in 1..40 {
        term *= (0.5 * x / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

fn of_broke(broke: Broke, p: &Predicted, off: f64, eye: f64) -> f64 {
    let weld = below(-(p.weld + off) / eye);
    let stud = below(p.sheet / eye);
    match broke {
        Broke::Weld => weld,
        Broke::Stud => (1.0 - weld) * stud,
        Broke::Sheet => (1.0 - weld) * (1.0 - stud),
        Broke::Held => 1.0 - weld,
    }
}

fn of_bend(bend: Bend, p: &Predicted, off: f64, eye: f64) -> f64 {
    let held = below((p.bending + off) / eye);
    if bend.is_held() { held } else { 1.0 - held }
}

/// Logarithm of the torque at which a weld or its stud yields; `None` where neither is known.
fn failing(p: &Predicted, off: f64) -> Option<f64> {
    let weld = p.torque[0].map(|weld| weld + off);
    match (weld, p.torque[1]) {
        (Some(weld), Some(stud)) => Some(weld.min(stud)),
        (weld, stud) => weld.or(stud),
    }
}

fn of_torque(torque: Torque, p: &Predicted, off: f64, spread: f64) -> f64 {
    // What never welded holds nothing.
    let expected = match p.torque[0] {
        Some(_) => failing(p, off).unwrap_or(0.0),
        None => return 1e-3,
    };
    match torque {
        Torque::Failed(torque) => normal(torque.ln() - expected, spread),
        Torque::Held(torque) => below((expected - torque.ln()) / spread),
    }
}

fn of_spatter(spatter: Spatter, p: &Predicted, s: &Values) -> f64 {
    let over = SPATTER.map(|limit| below((p.thrown - limit) / s.of(Kind::Spatter)));
    match spatter {
        Spatter::Little => 1.0 - over[0],
        Spatter::Some => over[0] - over[1],
        Spatter::Much => over[1],
    }
}

fn of_back(back: Back, p: &Predicted, s: &Values) -> f64 {
    let spread = s.of(Kind::Back);
    let holed = below((p.holed - 1.0) / spread);
    let dented = below(p.dented / spread);
    let coloured = below(p.coloured / spread).max(dented);
    match back {
        Back::Holed => holed,
        Back::Dented => (1.0 - holed) * dented,
        Back::Coloured => (1.0 - holed) * (coloured - dented),
        Back::Clean => (1.0 - holed) * (1.0 - coloured),
    }
}

/// A measured number beside a computed one, which what never happened does not have.
fn number(seen: f64, predicted: Option<f64>, spread: f64, out: &mut Fit) {
    match predicted.filter(|value| *value > 0.0) {
        Some(value) => {
            let off = (seen / value).ln();
            out.fitting += normal_log(off, spread);
            out.astray += normal_log(off, ASTRAY);
        }
        None => {
            out.fitting += NEVER.ln();
            out.astray += normal_log(ASTRAY, ASTRAY);
        }
    }
}

/// Share of a standard normal distribution below `x`.
fn below(x: f64) -> f64 {
    Normal::standard().cdf(x)
}

fn normal_log(off: f64, deviation: f64) -> f64 {
    -0.5 * (off / deviation).powi(2) - (deviation * TAU.sqrt()).ln()
}

/// Density of a normal distribution about 0.
fn normal(off: f64, deviation: f64) -> f64 {
    normal_log(off, deviation).exp()
}
