//! Scales: the SI prefix, nice ticks, and two axes that share their gridlines.

/// Kept clear above the topmost gridline, in steps.
const CLEAR: f64 = 0.25;

/// What an axis measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Without a prefix: "A", "m/s"; empty for a bare number.
    pub symbol: &'static str,
    /// Power of ten of the prefix people use for it, kept while the numbers stay handy.
    pub usual: i32,
}

/// A power of ten no unit has: it takes no prefix.
const NO_PREFIX: i32 = 99;

impl Unit {
    /// A unit that stands as it is, its values given in it.
    pub const fn plain(symbol: &'static str) -> Self {
        Unit {
            symbol,
            usual: NO_PREFIX,
        }
    }
}

/// Prefixes by power of ten.
const PREFIXES: [(i32, &str); 9] = [
    (-12, "p"),
    (-9, "n"),
    (-6, "µ"),
    (-3, "m"),
    (0, ""),
    (3, "k"),
    (6, "M"),
    (9, "G"),
    (12, "T"),
];

/// Steps between ticks, in units of a power of ten, and their penalty.
const STEPS: [(f64, f64); 7] = [
    (1.0, 0.0),
    (2.0, 0.0),
    (2.5, 0.05),
    (3.0, 0.14),
    (4.0, 0.1),
    (5.0, 0.0),
    (10.0, 0.0),
];

/// A scale: range and ticks in display units, and what a display unit is in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Prefix and symbol.
    pub unit: String,
    /// SI per display unit.
    pub factor: f64,
    /// Lower end \[display units\].
    pub low: f64,
    /// Upper end \[display units\].
    pub high: f64,
    /// Between ticks \[display units\].
    pub step: f64,
}

impl Scale {
    /// A quantity with its unit; a bare number has none.
    pub fn named(&self, quantity: &str) -> String {
        match self.unit.as_str() {
            "" => quantity.to_string(),
            unit => format!("{quantity}, {unit}"),
        }
    }

    /// Values of the ticks \[display units\], low to high.
    pub fn ticks(&self) -> Vec<f64> {
        let near = 1e-6;
        let first = (self.low / self.step - near).ceil() as i64;
        let last = (self.high / self.step + near).floor() as i64;
        (first..=last).map(|k| k as f64 * self.step).collect()
    }

    /// A tick's number, all of an axis with the same decimals.
    pub fn number(&self, value: f64) -> String {
        let value = if value.abs() < 1e-9 * self.step {
            0.0
        } else {
            value
        };
        let size = self.high.abs().max(self.low.abs());
        if size >= 1e6 || self.step < 1e-5 {
            return if value == 0.0 {
                "0".into()
            } else {
                format!("{value:.1e}")
            };
        }
        let decimals = (0..6)
            .find(|d| {
                let s = self.step * 10f64.powi(*d);
                (s - s.round()).abs() < 1e-6 * s
            })
            .unwrap_or(6) as usize;
        format!("{value:.decimals$}").replace('-', "−")
    }

    /// A scale along the bottom: from `low` to exactly `high` \[SI\], with at most `most` ticks.
    pub fn along(unit: Unit, low: f64, high: f64, most: usize) -> Self {
        let (factor, name) = prefix(unit, high.abs().max(low.abs()));
        let (low, high) = (low / factor, high / factor);
        let step = step_for((high - low) / most.max(2) as f64 * (1.0 - 1e-9), false);
        Scale {
            unit: name,
            factor,
            low,
            high,
            step,
        }
    }
}

/// Least and largest value an axis must show \[SI\]; zero is always among them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Lower end \[SI\]: 0 or less.
    pub least: f64,
    /// Upper end \[SI\]: 0 or more.
    pub most: f64,
}

impl Span {
    /// The span of some values and zero; what is not finite does not count.
    pub fn of(values: impl IntoIterator<Item = f64>) -> Self {
        let none = Span {
            least: 0.0,
            most: 0.0,
        };
        values
            .into_iter()
            .filter(|v| v.is_finite())
            .fold(none, |s, v| Span {
                least: s.least.min(v),
                most: s.most.max(v),
            })
    }

    /// The span of both.
    pub fn with(self, other: Span) -> Self {
        Span {
            least: self.least.min(other.least),
            most: self.most.max(other.most),
        }
    }
}

/// Scales with the same number of ticks above and below zero, so that the gridlines serve all.
///
/// `headroom` is kept free above the largest value, as a share of it; `most` is the largest number of
/// steps above zero there is room for.
pub fn matched(axes: &[(Unit, Span)], headroom: f64, most: i64) -> Vec<Scale> {
    let needs: Vec<_> = axes.iter().map(|(u, s)| need(*u, *s, headroom)).collect();
    let choices = (3..=most.clamp(3, 7)).map(|n| {
        let steps: Vec<f64> = needs.iter().map(|need| need.step(n)).collect();
        let below = needs
            .iter()
            .zip(&steps)
            .map(|(need, s)| (-need.least / s - 1e-9).ceil().max(0.0) as i64)
            .max()
            .unwrap_or(0);
        let mut cost = (n as f64 - 4.0).abs() * 0.03;
        for (need, step) in needs.iter().zip(&steps) {
            let waste = 1.0 - (need.most - need.least) / ((n + below) as f64 * step);
            cost += waste / needs.len() as f64 + dislike(*step) / needs.len() as f64;
        }
        (cost, n, below, steps)
    });
    let best = choices.min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((_, n, below, steps)) = best else {
        return Vec::new();
    };
    needs
        .into_iter()
        .zip(steps)
        .map(|(need, step)| Scale {
            unit: need.unit,
            factor: need.factor,
            low: -(below as f64) * step,
            high: (n as f64 + CLEAR) * step,
            step,
        })
        .collect()
}

struct Need {
    unit: String,
    factor: f64,
    least: f64,
    most: f64,
}

impl Need {
    /// The smallest nice step of which `n` reach the top.
    fn step(&self, n: i64) -> f64 {
        step_for(self.most / n as f64 * (1.0 - 1e-9), true)
    }
}

fn need(unit: Unit, span: Span, headroom: f64) -> Need {
    let largest = span.most.max(-span.least);
    let (factor, name) = prefix(unit, largest);
    let (least, most) = (span.least / factor, span.most / factor * (1.0 + headroom));
    // An axis with nothing on it still has numbers.
    let most = if most > 0.0 { most } else { (-least).max(1.0) };
    Need {
        unit: name,
        factor,
        least,
        most,
    }
}

/// SI per display unit, and its name, for numbers as large as `largest` \[SI\].
pub fn prefix(unit: Unit, largest: f64) -> (f64, String) {
    if unit.usual == NO_PREFIX {
        return (1.0, unit.symbol.to_string());
    }
    let handy = |power: i32, low: f64| {
        let shown = largest / 10f64.powi(power);
        (low..1000.0 * low.max(1.0)).contains(&shown)
    };
    let usual = PREFIXES.iter().find(|(p, _)| *p == unit.usual);
    let fitting = PREFIXES.iter().find(|(p, _)| handy(*p, 1.0));
    let (power, name) = match (usual, fitting) {
        (Some(usual), _) if largest == 0.0 || handy(usual.0, 0.1) => *usual,
        (_, Some(fitting)) => *fitting,
        _ => (0, ""),
    };
    (10f64.powi(power), format!("{name}{}", unit.symbol))
}

/// The smallest nice step not below `least`; `all` allows the odd ones as well.
fn step_for(least: f64, all: bool) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let power = 10f64.powf(least.log10().floor());
    let fits = |(m, cost): &&(f64, f64)| m * power >= least && (all || *cost == 0.0);
    STEPS.iter().find(fits).map_or(10.0, |(m, _)| *m) * power
}

fn dislike(step: f64) -> f64 {
    let mantissa = step / 10f64.powf((step.log10() + 1e-9).floor());
    STEPS
        .iter()
        .find(|(m, _)| (m - mantissa).abs() < 1e-3)
        .map_or(0.2, |(_, cost)| *cost)
}
