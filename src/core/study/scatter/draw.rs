//! A value drawn from a key's spread.

use statrs::distribution::{ContinuousCDF, Normal};

use crate::case::Case;
use crate::case::keys::{Address, KeyError, Number};
use crate::case::tolerance::{Amount, Shape, Spread, Tolerance, Tolerances};

/// A key whose value is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    /// Its key and spread.
    pub tolerance: Tolerance,
    /// What is known of the number: unit and bounds.
    pub number: Number,
    /// The case's own value \[SI\].
    pub value: f64,
    law: Law,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Law {
    /// From, and how far.
    Uniform(f64, f64),
    /// Standard deviation, and the part of the normal distribution function that is left between
    /// the limits: from, and how much.
    Normal(f64, f64, f64),
}

/// The draws of a case's tolerances, and with `model` of the model's own uncertain figures.
///
/// # Errors
/// When a spread's key has no value in this case.
pub fn draws(case: &Case, tolerances: &Tolerances, model: bool) -> Result<Vec<Draw>, KeyError> {
    let mut all = tolerances.of(case);
    let known = model.then(|| tolerances.of_model(case));
    for figure in known.into_iter().flatten() {
        match all.iter_mut().find(|own| own.address == figure.address) {
            Some(own) => {
                own.spread = both(own.spread, figure.spread, own.address.number_there(case)?)
            }
            None => all.push(figure),
        }
    }
    all.into_iter().map(|one| Draw::new(case, one)).collect()
}

/// The spread of a key that scatters, and whose own value is known no better than `known` says: of the two as independent
/// errors. An even spread stays as it is.
fn both(own: Spread, known: Spread, value: f64) -> Spread {
    if own.shape == Shape::Uniform {
        return own;
    }
    let with = |amount: Amount, other: Option<Amount>| {
        Amount::Absolute(
            amount
                .of(value)
                .hypot(other.map_or(0.0, |other| other.of(value))),
        )
    };
    Spread {
        amount: with(own.amount, Some(known.amount)),
        limit: own.limit.map(|limit| with(limit, known.limit)),
        below: own.below.map(|below| with(below, known.limit)),
        ..own
    }
}

impl Draw {
    /// The draw of a tolerance in a case. Limits are those of the spread and the bounds of the
    /// key; the distribution is truncated there, not clamped.
    ///
    /// # Errors
    /// When the key has no value in this case.
    pub fn new(case: &Case, tolerance: Tolerance) -> Result<Draw, KeyError> {
        let address = &tolerance.address;
        let value = address.number_there(case)?;
        let path = || address.to_string();
        let number = *address
            .about()
            .ok_or_else(|| KeyError::NotANumber { path: path() })?;
        let spread = tolerance.spread;
        let size = spread.amount.of(value);
        let limit = match (spread.shape, spread.limit) {
            (Shape::Normal, _) => f64::INFINITY,
            (Shape::Uniform, _) => size,
            (Shape::Truncated, limit) => limit.map_or(f64::INFINITY, |limit| limit.of(value)),
        };
        let below = spread.below.map_or(limit, |below| below.of(value));
        let low = (value - below).max(number.range.least);
        let high = (value + limit).min(number.range.most);
        let law = match spread.shape {
            Shape::Uniform => Law::Uniform(low, high - low),
            Shape::Normal | Shape::Truncated => {
                let below = |x: f64| standard().cdf((x - value) / size);
                Law::Normal(size, below(low), below(high) - below(low))
            }
        };
        Ok(Draw {
            tolerance,
            number,
            value,
            law,
        })
    }

    /// The key that is drawn.
    pub fn address(&self) -> &Address {
        &self.tolerance.address
    }

    /// The value below which the share `u` of all values lies \[SI\].
    pub fn at(&self, u: f64) -> f64 {
        match self.law {
            Law::Uniform(from, width) => from + u * width,
            Law::Normal(size, from, part) => {
                self.value + size * standard().inverse_cdf((from + u * part).clamp(0.0, 1.0))
            }
        }
    }

    /// Share of the standard deviation that all studs of a box share.
    pub fn shared(&self) -> f64 {
        let spread = self.tolerance.spread;
        let shared = spread
            .batch
            .map(|batch| batch.of(self.value) / spread.amount.of(self.value));
        shared.map_or(0.0, |share| share.min(1.0))
    }

    /// The value as a case file writes it.
    pub fn text(&self) -> String {
        self.number.text(self.value)
    }
}

fn standard() -> Normal {
    Normal::standard()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::tolerance::{Amount, Spread};

    fn draw(path: &str, shape: Shape, size: f64, limit: Option<f64>) -> Draw {
        let tolerance = Tolerance {
            address: crate::case::keys::find(path).unwrap(),
            spread: Spread {
                amount: Amount::Absolute(size),
                shape,
                limit: limit.map(Amount::Absolute),
                below: None,
                batch: None,
            },
            usual: false,
        };
        Draw::new(&Case::default(), tolerance).unwrap()
    }

    #[test]
    fn published_points_of_the_normal_distribution() {
        // Abramowitz and Stegun (1964), table 26.5: 97.5 % at 1.95996, 99.5 % at 2.57583; table
        // 26.1: Φ(1) = 0.84134.
        let d = draw("bank.voltage", Shape::Normal, 2.0, None);
        for (u, z) in [
            (0.975, 1.95996),
            (0.995, 2.57583),
            (0.84134, 1.0),
            (0.5, 0.0),
        ] {
            assert!(
                (d.at(u) - (112.0 + 2.0 * z)).abs() < 5e-5,
                "{u}: {}",
                d.at(u)
            );
            assert!((d.at(1.0 - u) - (112.0 - 2.0 * z)).abs() < 5e-5);
        }
    }

    #[test]
    fn closed_form_a_truncated_spread_ends_at_its_limits() {
        let d = draw("bank.voltage", Shape::Truncated, 2.0, Some(2.0));
        assert!((d.at(1e-9) - 110.0).abs() < 1e-6 && (d.at(1.0 - 1e-9) - 114.0).abs() < 1e-6);
        assert!((d.at(0.5) - 112.0).abs() < 1e-9);
        // Φ⁻¹(Φ(−1) + (Φ(1) − Φ(−1))/4) = −0.44177 with the tables above.
        assert!(
            (d.at(0.25) - (112.0 - 2.0 * 0.44177)).abs() < 2e-4,
            "{}",
            d.at(0.25)
        );
        let d = draw("bank.voltage", Shape::Uniform, 2.0, None);
        assert_eq!((d.at(0.25), d.at(0.75)), (111.0, 113.0));
    }

    #[test]
    fn no_value_leaves_the_bounds_of_its_key() {
        for (path, size) in [
            ("tool.tilt", 0.01),
            ("model.pip_share", 0.2),
            ("tool.friction", 9.0),
        ] {
            for shape in [Shape::Normal, Shape::Uniform] {
                let d = draw(path, shape, size, None);
                for k in 0..1000 {
                    let value = d.at((f64::from(k) + 0.5) / 1000.0);
                    assert!(d.number.range.holds(value), "{path} {value}");
                }
                assert!(d.at(0.2) < d.at(0.3), "nothing is piled up at the bound");
            }
        }
    }
}
