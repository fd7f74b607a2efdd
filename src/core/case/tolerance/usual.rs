//! Spreads of the catalogue, each with its source.

use std::sync::OnceLock;

use toml::{Table, Value};

use super::{Amount, Shape, Spread, Tolerance};
use crate::case::keys::{Address, METAL, Number, by_metal_name, find};
use crate::case::model::{Case, Method};

/// An entry: a key, or a figure of each metal.
#[derive(Debug, Clone, PartialEq)]
pub struct Usual {
    /// Full name of the key; `metal.*.density` stands for each metal of a case.
    pub key: String,
    /// What is known of the key's number, to read and write the spread by.
    pub number: Number,
    /// How far values scatter, or how well the figure is known.
    pub spread: Spread,
    /// Where the spread comes from; common practice says so.
    pub source: String,
}

struct File {
    tolerance: Vec<Usual>,
    uncertainty: Vec<Usual>,
    measurement: Vec<Usual>,
}

fn file() -> &'static File {
    static FILE: OnceLock<File> = OnceLock::new();
    FILE.get_or_init(|| {
        load(include_str!("usual.toml")).unwrap_or_else(|what| {
            panic!("the built-in spreads are wrong: {what}");
        })
    })
}

/// How values scatter from shot to shot unless a case says otherwise.
pub fn usual() -> &'static [Usual] {
    &file().tolerance
}

/// How well the model's own figures are known.
pub fn uncertainties() -> &'static [Usual] {
    &file().uncertainty
}

/// How well what measured a trace is known, and the constant drops that stand for the bank's semiconductors.
pub fn measurement() -> &'static [Usual] {
    &file().measurement
}

impl Usual {
    /// This spread for a case: none, one, or one for each of its metals. What plays no part in the
    /// case is left out.
    pub fn of(&self, case: &Case) -> Vec<Tolerance> {
        let addresses: Vec<Address> = match self.key.strip_prefix("metal.*.") {
            Some(name) => metals(case, name),
            None => find(&self.key).into_iter().collect(),
        };
        let used = addresses.into_iter().filter(|a| self.plays(case, a));
        used.map(|address| Tolerance {
            address,
            spread: self.spread,
            usual: true,
        })
        .collect()
    }

    fn plays(&self, case: &Case, address: &Address) -> bool {
        let electric = ["bank.", "lead.", "earth.", "joints.", "probe."];
        let bolted = case.stud.short_resistance.is_some();
        if bolted && !electric.iter().any(|section| self.key.starts_with(section)) {
            return false;
        }
        // Nothing is lifted in the contact method, and no stud sits in the chuck of a short.
        match self.key.as_str() {
            "tool.lift" if case.tool.method == Method::Contact => return false,
            "joints.chuck.resistance" if bolted => return false,
            _ => {}
        }
        let value = address.number(case);
        value.is_some_and(|value| self.spread.amount.of(value) > 0.0)
    }
}

fn metals(case: &Case, figure: &str) -> Vec<Address> {
    let Some(key) = by_metal_name(figure) else {
        return Vec::new();
    };
    let mut names = vec![case.stud.metal.name.clone(), case.sheet.metal.name.clone()];
    names.dedup();
    let address = |name| Address::Metal(name, key);
    names.into_iter().map(address).collect()
}

fn load(text: &str) -> Result<File, String> {
    let file: Table = text
        .parse()
        .map_err(|error: toml::de::Error| error.to_string())?;
    let section = |name: &str| -> Result<Vec<Usual>, String> {
        let table = file.get(name).and_then(Value::as_table);
        let table = table.ok_or_else(|| format!("no section {name}"))?;
        let entries = table
            .iter()
            .map(|(key, row)| entry(key, row).map_err(|what| format!("{name}.{key}: {what}")));
        entries.collect()
    };
    Ok(File {
        tolerance: section("tolerance")?,
        uncertainty: section("uncertainty")?,
        measurement: section("measurement")?,
    })
}

fn entry(key: &str, row: &Value) -> Result<Usual, String> {
    let text = |name: &str| row.get(name).and_then(Value::as_str);
    let needed = |name: &str| text(name).ok_or_else(|| format!("no {name}"));
    let metal = key.strip_prefix(&format!("{METAL}.*."));
    let number = match metal {
        Some(name) => by_metal_name(name).map(|key| key.number),
        None => find(key).ok().and_then(|address| address.about().copied()),
    };
    let number = number.ok_or("no such number")?;
    let amount = |text: &str| Amount::read(text, &number).map_err(|e| e.to_string());
    let word = needed("shape")?;
    let shape = Shape::ALL.into_iter().find(|shape| shape.name() == word);
    Ok(Usual {
        key: key.to_string(),
        number,
        spread: Spread {
            amount: amount(needed("spread")?)?,
            shape: shape.ok_or("no such shape")?,
            limit: text("limit").map(amount).transpose()?,
            below: text("below").map(amount).transpose()?,
            batch: None,
        },
        source: needed("source")?.to_string(),
    })
}
