//! One check: a value from outside, the same value as this program computes it, and how far apart
//! they may be.

use serde::{Serialize, Serializer};

/// What stands behind the value a check compares with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evidence {
    /// Printed in a source that was read, in the original or in a reproduction.
    Published,
    /// Attributed to a source, but quoted from memory: not confirmed.
    Memory,
    /// A closed form, evaluated apart from this program's own law or solver.
    ClosedForm,
    /// A law of conservation, or the rate at which the solver must converge.
    Conservation,
    /// The same equations, solved by a general-purpose library.
    SecondSolver,
    /// A source reports which way it goes or its order of magnitude; the bounds are our own.
    Reported,
    /// Common practice of the trade; no source.
    Practice,
}

impl Evidence {
    /// Every kind.
    pub const ALL: [Evidence; 7] = [
        Evidence::Published,
        Evidence::Memory,
        Evidence::ClosedForm,
        Evidence::Conservation,
        Evidence::SecondSolver,
        Evidence::Reported,
        Evidence::Practice,
    ];

    /// Words for a table.
    pub fn name(self) -> &'static str {
        match self {
            Evidence::Published => "published",
            Evidence::Memory => "from memory",
            Evidence::ClosedForm => "closed form",
            Evidence::Conservation => "conservation",
            Evidence::SecondSolver => "second solver",
            Evidence::Reported => "reported",
            Evidence::Practice => "practice",
        }
    }
}

/// Where a value comes from, and what that is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Author or standard, year, table or equation.
    pub text: &'static str,
    /// What the value is worth as evidence.
    pub evidence: Evidence,
}

/// How far the computed value may be from the published one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Allowed {
    /// Share of the published value.
    Relative(f64),
    /// Difference in the check's unit.
    Absolute(f64),
    /// The source gives a range: lowest and highest value in the check's unit.
    Range(f64, f64),
}

/// A value from outside against the value computed here, both in `unit`.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Short name that stays the same between versions.
    pub id: String,
    /// What it is about; set when the groups are gathered.
    pub group: &'static str,
    /// What is compared, in a few words.
    pub quantity: String,
    /// Author or standard, year, table or equation.
    pub source: &'static str,
    /// What stands behind the value from outside.
    pub evidence: Evidence,
    /// Unit of both values, as text; empty for bare numbers.
    pub unit: &'static str,
    /// The value from outside; of a range, its middle.
    pub published: f64,
    /// What this program makes of it; not a number if it could not be computed.
    pub computed: f64,
    /// How far apart they may be.
    pub allowed: Allowed,
}

impl Check {
    /// A check, not yet in a group.
    pub fn new(
        id: impl Into<String>,
        quantity: impl Into<String>,
        source: Source,
        unit: &'static str,
        published: f64,
        computed: f64,
        allowed: Allowed,
    ) -> Self {
        Check {
            id: id.into(),
            group: "",
            quantity: quantity.into(),
            source: source.text,
            evidence: source.evidence,
            unit,
            published,
            computed,
            allowed,
        }
    }

    /// A check against a range in which the value must lie.
    pub fn within(
        id: impl Into<String>,
        quantity: impl Into<String>,
        source: Source,
        unit: &'static str,
        range: (f64, f64),
        computed: f64,
    ) -> Self {
        let (low, high) = range;
        let allowed = Allowed::Range(low, high);
        Check::new(
            id,
            quantity,
            source,
            unit,
            0.5 * (low + high),
            computed,
            allowed,
        )
    }

    /// How far the computed value is off.
    ///
    /// A share of the published value; in the check's unit where that is what is allowed; against a
    /// range, how far outside it lies over the bound it misses (0 inside).
    pub fn deviation(&self) -> f64 {
        let share = |from: f64| (self.computed - from) / from.abs().max(f64::MIN_POSITIVE);
        match self.allowed {
            Allowed::Relative(_) => share(self.published),
            Allowed::Absolute(_) => self.computed - self.published,
            Allowed::Range(low, _) if self.computed < low => share(low),
            Allowed::Range(_, high) if self.computed > high => share(high),
            Allowed::Range(..) => self.computed * 0.0,
        }
    }

    /// Whether it is within what is allowed; never if there is no number.
    pub fn passed(&self) -> bool {
        match self.allowed {
            Allowed::Relative(most) | Allowed::Absolute(most) => self.deviation().abs() <= most,
            Allowed::Range(low, high) => (low..=high).contains(&self.computed),
        }
    }

    /// The same check with another computed value: for trying out a wrong law.
    pub fn with_computed(&self, computed: f64) -> Self {
        Check {
            computed,
            ..self.clone()
        }
    }
}

impl Serialize for Check {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Row<'a> {
            id: &'a str,
            group: &'a str,
            quantity: &'a str,
            source: &'a str,
            evidence: Evidence,
            unit: &'a str,
            published: f64,
            computed: f64,
            allowed: Allowed,
            deviation: f64,
            passed: bool,
        }
        Row {
            id: &self.id,
            group: self.group,
            quantity: &self.quantity,
            source: self.source,
            evidence: self.evidence,
            unit: self.unit,
            published: self.published,
            computed: self.computed,
            allowed: self.allowed,
            deviation: self.deviation(),
            passed: self.passed(),
        }
        .serialize(serializer)
    }
}
