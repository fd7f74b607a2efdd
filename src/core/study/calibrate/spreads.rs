//! How far test welds scatter about the model, and how sharply they are judged: learnt along with the unknowns.

use super::weld::Seen;

/// What has a spread of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The fill, from weld to weld: all that is judged on one weld shares it.
    Fill,
    /// The eye that judges a rim or a break, in the logarithm of fill or load.
    Eye,
    /// The eye that judges spatter, in limits.
    Spatter,
    /// The back face, in the logarithm of its temperature.
    Back,
    /// Strength of a weld with pores and a hard zone over that of its metal.
    Strength,
    /// A torque, as a share.
    Torque,
    /// An arc time, as a share.
    ArcTime,
    /// A peak current, as a share.
    PeakCurrent,
    /// A depth of melt, as a share.
    Melt,
    /// The course of a current, in shares of its peak.
    Current,
    /// An arc voltage, as a share.
    ArcVoltage,
}

/// A spread before any weld is seen: lognormal. Our own estimates, but for the median of the strength, which is common
/// practice: a weld is rarely as strong as its metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// What it is of.
    pub kind: Kind,
    /// Name in files.
    pub name: &'static str,
    /// In words.
    pub words: &'static str,
    /// Half of all lie below.
    pub median: f64,
    /// Standard deviation of its logarithm.
    pub wide: f64,
}

const fn prior(
    kind: Kind,
    name: &'static str,
    words: &'static str,
    median: f64,
    wide: f64,
) -> Prior {
    Prior {
        kind,
        name,
        words,
        median,
        wide,
    }
}

/// Every spread there is.
pub const ALL: [Prior; 11] = [
    prior(
        Kind::Fill,
        "fill_scatter",
        "scatter of the fill from weld to weld",
        0.08,
        0.5,
    ),
    prior(
        Kind::Eye,
        "rim_judged",
        "spread of the eye on rims and breaks",
        0.08,
        0.5,
    ),
    prior(
        Kind::Spatter,
        "spatter_judged",
        "spread of the eye on spatter",
        0.2,
        0.5,
    ),
    prior(
        Kind::Back,
        "back_judged",
        "spread of the eye on the back face",
        0.08,
        0.5,
    ),
    prior(
        Kind::Strength,
        "weld_strength",
        "strength of the weld over its metal's",
        0.8,
        0.25,
    ),
    prior(
        Kind::Torque,
        "torque_scatter",
        "scatter of the torque",
        0.15,
        0.5,
    ),
    prior(
        Kind::ArcTime,
        "arc_time_scatter",
        "scatter of the arc time",
        0.06,
        0.5,
    ),
    prior(
        Kind::PeakCurrent,
        "peak_current_scatter",
        "scatter of the peak current",
        0.03,
        0.5,
    ),
    prior(
        Kind::Melt,
        "melt_scatter",
        "scatter of the depth of melt",
        0.15,
        0.5,
    ),
    prior(
        Kind::Current,
        "current_scatter",
        "scatter of the current over its course",
        0.03,
        0.5,
    ),
    prior(
        Kind::ArcVoltage,
        "arc_voltage_scatter",
        "scatter of the arc voltage",
        0.05,
        0.5,
    ),
];

/// The spreads that some observations ask for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spreads {
    /// Those that are learnt, in the order of their scores.
    pub learnt: Vec<Prior>,
}

/// Values of all spreads; those not learnt are at their medians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Values([f64; ALL.len()]);

impl Values {
    /// That of one kind.
    pub fn of(&self, kind: Kind) -> f64 {
        self.0[kind as usize]
    }
}

impl Prior {
    /// Its value at a normal score.
    pub fn value(&self, score: f64) -> f64 {
        self.median * (self.wide * score).exp()
    }
}

impl Spreads {
    /// Those of what was seen.
    pub fn of<'a>(seen: impl Iterator<Item = &'a Seen> + Clone) -> Spreads {
        let any = |has: fn(&Seen) -> bool| seen.clone().any(has);
        let needed = |kind| match kind {
            Kind::Fill | Kind::Eye => any(|s| s.witness.is_some() || s.is_tested()),
            Kind::Spatter => any(|s| s.spatter.is_some()),
            Kind::Back => any(|s| s.back.is_some()),
            Kind::Strength => any(Seen::is_tested),
            Kind::Torque => any(|s| s.torque.is_some()),
            Kind::ArcTime => any(|s| s.arc_time.is_some() || s.arc().is_some()),
            Kind::PeakCurrent => any(|s| s.peak_current.is_some()),
            Kind::Melt => any(|s| s.melt.is_some()),
            Kind::Current => any(|s| s.course.is_some()),
            Kind::ArcVoltage => any(|s| s.arc().is_some()),
        };
        let learnt = ALL.into_iter().filter(|prior| needed(prior.kind));
        Spreads {
            learnt: learnt.collect(),
        }
    }

    /// Their values at these scores.
    pub fn values(&self, scores: &[f64]) -> Values {
        let mut values = Values(ALL.map(|prior| prior.median));
        for (prior, score) in self.learnt.iter().zip(scores) {
            values.0[prior.kind as usize] = prior.value(*score);
        }
        values
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_seen_is_learnt_and_each_kind_stands_in_its_place() {
        for (at, prior) in ALL.iter().enumerate() {
            assert_eq!(prior.kind as usize, at, "{}", prior.name);
        }
        let seen = [Seen {
            arc_time: Some(1e-3),
            ..Seen::default()
        }];
        let spreads = Spreads::of(seen.iter());
        assert_eq!(spreads.learnt.len(), 1);
        let values = spreads.values(&[1.0]);
        assert!((values.of(Kind::ArcTime) - 0.06 * 0.5_f64.exp()).abs() < 1e-15);
        assert_eq!(values.of(Kind::Eye), 0.08);
    }
}
