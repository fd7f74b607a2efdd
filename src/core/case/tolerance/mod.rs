//! How far the values of a case scatter from shot to shot, and how well the model's figures are known.

mod amount;
mod usual;

#[cfg(test)]
mod tests;

pub use amount::{Amount, AmountError};
pub use usual::{Usual, measurement, uncertainties, usual};

use super::keys::{Address, Number, PROBE, find};
use super::model::Case;

/// Key of the section `[tolerance]` that stands for all the catalogue has and the case does not name.
pub const OTHERS: &str = "others";

/// Key of the section `[tolerance]` with the number of studs in a box.
pub const BATCH_SIZE: &str = "batch_size";

/// Studs in a box, from memory: small studs are sold by the thousand or in boxes of some hundred.
pub const USUAL_BATCH: usize = 500;

/// Part of the section `[tolerance]` with the correlations.
pub const CORRELATION: &str = "correlation";

/// How values lie about the key's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// The spread is the standard deviation.
    Normal,
    /// The spread is the half-width.
    Uniform,
    /// A normal one that ends at a limit on either side.
    Truncated,
}

impl Shape {
    /// Every shape, the usual one first.
    pub const ALL: [Shape; 3] = [Shape::Normal, Shape::Uniform, Shape::Truncated];

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Shape::Normal => "normal",
            Shape::Uniform => "uniform",
            Shape::Truncated => "truncated",
        }
    }
}

/// A spread with its shape; the limit belongs to a truncated one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Standard deviation or half-width, as the shape has it.
    pub amount: Amount,
    /// How values lie about the key's own.
    pub shape: Shape,
    /// Farthest from the key's value; `Some` for a truncated spread alone.
    pub limit: Option<Amount>,
    /// Half-width below the key's value, where it is another than above: of uniform spreads of the catalogue.
    pub below: Option<Amount>,
    /// The part of the standard deviation that all studs of a box share; of normal and truncated spreads.
    pub batch: Option<Amount>,
}

impl Spread {
    /// As TOML: `"1 V"`, or a table where it is not normal.
    pub fn toml(&self, number: &Number) -> String {
        let amount = self.amount.toml(number);
        let mut parts = vec![format!("spread = {amount}")];
        if self.shape != Shape::Normal {
            parts.push(format!("shape = \"{}\"", self.shape.name()));
        }
        let amounts = [("limit", self.limit), ("batch", self.batch)];
        let given = amounts
            .iter()
            .filter_map(|(name, part)| Some((name, (*part)?)));
        parts.extend(given.map(|(name, part)| format!("{name} = {}", part.toml(number))));
        match parts.as_slice() {
            [_] => amount,
            parts => format!("{{ {} }}", parts.join(", ")),
        }
    }

    /// For people: `0.5 %, normal`, `0.5 deg, truncated at 1 deg`.
    pub fn words(&self, number: &Number) -> String {
        let mut head = format!("{}, {}", self.amount.text(number), self.shape.name());
        if let Some(below) = self.below {
            head = format!(
                "{} down, {} up, {}",
                below.text(number),
                self.amount.text(number),
                self.shape.name()
            );
        }
        if let Some(limit) = self.limit {
            head = format!("{head} at {}", limit.text(number));
        }
        match self.batch {
            Some(batch) => format!("{head}, {} of it shared by a box", batch.text(number)),
            None => head,
        }
    }
}

/// A key and its spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// The key that scatters.
    pub address: Address,
    /// How far, and in which shape.
    pub spread: Spread,
    /// Whether it is the catalogue's and not the case's own.
    pub usual: bool,
}

/// What a case says of a key: a spread, or that it has none.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// The key that is named.
    pub address: Address,
    /// Its spread; `None` where the case says there is none.
    pub spread: Option<Spread>,
}

/// All a case says of its tolerances.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    /// What the case itself says, each key once.
    pub own: Vec<Own>,
    /// Whether those of the catalogue are left out.
    pub no_others: bool,
    /// Keys that scatter together.
    pub correlations: Vec<Correlation>,
    /// Studs in a box, which share the batch part of their spreads.
    pub batch_size: usize,
}

impl Default for Tolerances {
    fn default() -> Self {
        Tolerances {
            own: Vec::new(),
            no_others: false,
            correlations: Vec::new(),
            batch_size: USUAL_BATCH,
        }
    }
}

/// Two keys that scatter together.
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    /// The keys.
    pub keys: [Address; 2],
    /// Correlation of their normal scores, which for normal spreads is that of the values; between −1 and 1.
    pub coefficient: f64,
}

impl Tolerances {
    /// The tolerances of a case: the catalogue's as far as they play a part, unless the case says
    /// otherwise, then those the case alone has.
    pub fn of(&self, case: &Case) -> Vec<Tolerance> {
        let usual = if self.no_others { &[] } else { usual() };
        let all = usual.iter().flat_map(|entry| entry.of(case)).collect();
        with_own(all, self.own.iter().filter(|own| !own.address.is_in(PROBE)))
    }

    /// How well everything is known that a trace depends on: first what is another value in each shot, then what is
    /// the same in all: the rig, the figures of the model and what measured it. What the case says of a key goes before.
    pub fn of_trace(&self, case: &Case) -> [Vec<Tolerance>; 2] {
        let known = |all: &'static [Usual]| -> Vec<Tolerance> {
            let all = if self.no_others { &[] } else { all };
            all.iter().flat_map(|entry| entry.of(case)).collect()
        };
        let scatters = |own: &&Own| {
            let name = own.address.to_string();
            usual().iter().any(|entry| entry.key == name)
        };
        let same = [uncertainties(), measurement()].map(known).concat();
        [
            with_own(known(usual()), self.own.iter().filter(scatters)),
            with_own(same, self.own.iter().filter(|own| !scatters(own))),
        ]
    }

    /// How well the model's own figures are known; what the case says of a key goes before.
    pub fn of_model(&self, case: &Case) -> Vec<Tolerance> {
        let said = |address: &Address| self.own.iter().any(|own| own.address == *address);
        let figures = known(case).into_iter();
        figures.filter(|t| !said(&t.address)).collect()
    }
}

/// Standard deviations at which a figure that a case says something of ends.
const ENDS: f64 = 3.0;

/// How well a case's figures are known: as its own section says, else as the catalogue.
pub fn known(case: &Case) -> Vec<Tolerance> {
    let own = case.uncertainty.iter().filter_map(|(key, size)| {
        let address = find(key).ok()?;
        // A metal of another case plays no part.
        address.number(case)?;
        let spread = Spread {
            amount: Amount::Absolute(*size),
            shape: Shape::Truncated,
            limit: Some(Amount::Absolute(ENDS * size)),
            below: None,
            batch: None,
        };
        Some(Own {
            address,
            spread: Some(spread),
        })
    });
    let own: Vec<Own> = own.collect();
    let all = uncertainties().iter().flat_map(|entry| entry.of(case));
    with_own(all.collect(), own.iter())
}

/// These spreads, and what a case itself says.
fn with_own<'a>(mut all: Vec<Tolerance>, own: impl Iterator<Item = &'a Own>) -> Vec<Tolerance> {
    for own in own {
        let at = all.iter().position(|t| t.address == own.address);
        match (at, own.spread) {
            (Some(at), None) => {
                all.remove(at);
            }
            (Some(at), Some(spread)) => {
                all[at].spread = spread;
                all[at].usual = false;
            }
            (None, Some(spread)) => all.push(Tolerance {
                address: own.address.clone(),
                spread,
                usual: false,
            }),
            (None, None) => {}
        }
    }
    all
}
