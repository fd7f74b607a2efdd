//! What a case may call by name: joints, stud sizes and metals, each with its source.

use std::sync::OnceLock;

use toml::{Table, Value};

use super::keys::METAL_KEYS;
pub use super::model::OWN;
use super::model::{Joint, Metal};
use super::quantity::{self, Dimension};

/// A named entry and where its figures come from.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<T> {
    /// What the name stands for.
    pub value: T,
    /// Where the figures come from: a source, common practice, or memory.
    pub source: String,
}

/// A stud of the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct StudSize {
    /// Name as in the catalogue: `M5`.
    pub name: String,
    /// Flange diameter \[m\].
    pub flange: f64,
    /// Pip diameter \[m\].
    pub pip_diameter: f64,
    /// Pip length \[m\].
    pub pip_length: f64,
    /// Tensile stress area of the thread \[m²\].
    pub stress_area: f64,
    /// Where the figures come from: a source, or memory.
    pub source: String,
}

impl StudSize {
    /// Nominal diameter of its thread, by its name \[m\].
    pub fn diameter(&self) -> Option<f64> {
        let millimetres: f64 = self.name.strip_prefix('M')?.parse().ok()?;
        Some(millimetres * 1e-3)
    }
}

/// The tool a method usually has.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualTool {
    /// Tip above the sheet at release \[m\].
    pub lift: f64,
    /// Stud, chuck and slide \[kg\].
    pub moving_mass: f64,
    /// Spring force on the stud at the start \[N\].
    pub spring_force: f64,
    /// Spring rate \[N/m\].
    pub spring_rate: f64,
    /// Where the figures come from.
    pub source: String,
}

/// The built-in catalogue, in the order of its file's names.
#[derive(Debug)]
struct Catalogue {
    joints: Vec<Entry<Joint>>,
    studs: Vec<StudSize>,
    /// Of the gap method.
    tool: UsualTool,
    metals: Vec<Entry<Metal>>,
    /// Everyday words, each with the metal it means.
    aliases: Vec<(String, usize)>,
}

fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(|| {
        load(include_str!("catalogue.toml")).unwrap_or_else(|what| {
            panic!("the built-in catalogue is wrong: {what}");
        })
    })
}

/// Presets for joints, from tight to arcing.
pub fn joints() -> &'static [Entry<Joint>] {
    &catalogue().joints
}

/// The tool the gap method usually has.
pub fn gap_tool() -> &'static UsualTool {
    &catalogue().tool
}

/// Stud sizes, small to large.
pub fn studs() -> &'static [StudSize] {
    &catalogue().studs
}

/// Metals.
pub fn metals() -> &'static [Entry<Metal>] {
    &catalogue().metals
}

/// The preset of this name, if there is one.
pub fn find_joint(name: &str) -> Option<&'static Joint> {
    let found = joints().iter().find(|entry| entry.value.name == name);
    found.map(|entry| &entry.value)
}

/// The stud of this size, if there is one: `M5` or `m5`.
pub fn find_stud(name: &str) -> Option<&'static StudSize> {
    studs().iter().find(|stud| alike(&stud.name, name))
}

/// The metal of this name, if there is one: as the catalogue has it, or as the trade calls it.
pub fn find_metal(name: &str) -> Option<&'static Metal> {
    let all = catalogue();
    let named = all.metals.iter().position(|m| alike(&m.value.name, name));
    let called = || all.aliases.iter().find(|(alias, _)| alike(alias, name));
    let at = named.or_else(|| called().map(|(_, at)| *at))?;
    Some(&all.metals[at].value)
}

/// What the trade also calls a metal of the catalogue.
pub fn aliases(metal: &str) -> Vec<&'static str> {
    let all = catalogue();
    let meant = |at: usize| all.metals[at].value.name == metal;
    let own = all.aliases.iter().filter(|(_, at)| meant(*at));
    own.map(|(alias, _)| alias.as_str()).collect()
}

/// Names are case-insensitive.
fn alike(one: &str, other: &str) -> bool {
    one.eq_ignore_ascii_case(other)
}

/// Names of the joint presets.
pub fn joint_names() -> Vec<&'static str> {
    joints()
        .iter()
        .map(|entry| entry.value.name.as_str())
        .collect()
}

/// Names of the stud sizes.
pub fn stud_names() -> Vec<&'static str> {
    studs().iter().map(|stud| stud.name.as_str()).collect()
}

/// Names of the metals.
pub fn metal_names() -> Vec<&'static str> {
    metals()
        .iter()
        .map(|entry| entry.value.name.as_str())
        .collect()
}

/// A joint preset by a name known to exist; panics on any other (use [`find_joint`] for user input).
pub fn joint(name: &str) -> Joint {
    find_joint(name)
        .unwrap_or_else(|| panic!("no joint preset {name:?}"))
        .clone()
}

/// A stud size by a name known to exist; panics on any other (use [`find_stud`] for user input).
pub fn stud(name: &str) -> StudSize {
    find_stud(name)
        .unwrap_or_else(|| panic!("no stud size {name:?}"))
        .clone()
}

/// A metal by a name known to exist; panics on any other (use [`find_metal`] for user input).
pub fn metal(name: &str) -> Metal {
    find_metal(name)
        .unwrap_or_else(|| panic!("no metal {name:?}"))
        .clone()
}

fn load(text: &str) -> Result<Catalogue, String> {
    let file: Table = text
        .parse()
        .map_err(|error: toml::de::Error| error.to_string())?;
    let named = section(&file, "metal", |_, row| row.texts("aliases"))?;
    let of = |(at, list): (usize, Vec<String>)| list.into_iter().map(move |alias| (alias, at));
    Ok(Catalogue {
        aliases: named.into_iter().enumerate().flat_map(of).collect(),
        joints: section(&file, "joint", joint_of)?,
        tool: section(&file, "tool", usual_tool)?
            .pop()
            .ok_or("no tool of the gap method")?,
        studs: section(&file, "stud", |name, row| {
            Ok(StudSize {
                name: name.to_string(),
                flange: row.quantity("flange", Dimension::Length)?,
                pip_diameter: row.quantity("pip_diameter", Dimension::Length)?,
                pip_length: row.quantity("pip_length", Dimension::Length)?,
                stress_area: row.quantity("stress_area", Dimension::Area)?,
                source: row.text("source")?,
            })
        })?,
        metals: section(&file, "metal", |name, row| {
            let mut value = Metal::unset(name);
            for key in METAL_KEYS {
                *(key.field_mut)(&mut value) = row.quantity(key.name, key.number.dimension)?;
            }
            let source = row.text("source")?;
            Ok(Entry { value, source })
        })?,
    })
}

fn joint_of(name: &str, row: Row) -> Result<Entry<Joint>, String> {
    let value = Joint {
        name: name.to_string(),
        resistance: row.quantity("resistance", Dimension::Resistance)?,
        force: row.maybe("force", Dimension::Force)?,
        drop: row.maybe("drop", Dimension::Voltage)?,
    };
    let source = row.text("source")?;
    Ok(Entry { value, source })
}

fn usual_tool(_: &str, row: Row) -> Result<UsualTool, String> {
    Ok(UsualTool {
        lift: row.quantity("lift", Dimension::Length)?,
        moving_mass: row.quantity("moving_mass", Dimension::Mass)?,
        spring_force: row.quantity("spring_force", Dimension::Force)?,
        spring_rate: row.quantity("spring_rate", Dimension::SpringRate)?,
        source: row.text("source")?,
    })
}

/// One entry of the file.
struct Row<'a>(&'a Table);

impl Row<'_> {
    fn text(&self, key: &str) -> Result<String, String> {
        let value = self.0.get(key).and_then(Value::as_str);
        value
            .map(str::to_string)
            .ok_or_else(|| format!("no text {key}"))
    }

    fn texts(&self, key: &str) -> Result<Vec<String>, String> {
        let Some(list) = self.0.get(key) else {
            return Ok(Vec::new());
        };
        let texts = list.as_array().map(|list| {
            let texts = list.iter().map(|v| v.as_str().map(str::to_string));
            texts.collect::<Option<Vec<String>>>()
        });
        texts
            .flatten()
            .ok_or_else(|| format!("{key} is no list of texts"))
    }

    /// One that need not be given.
    fn maybe(&self, key: &str, dimension: Dimension) -> Result<Option<f64>, String> {
        let given = self.0.contains_key(key);
        given.then(|| self.quantity(key, dimension)).transpose()
    }

    fn quantity(&self, key: &str, dimension: Dimension) -> Result<f64, String> {
        match self.0.get(key) {
            Some(Value::Float(number)) if dimension == Dimension::Number => Ok(*number),
            Some(Value::String(text)) => {
                quantity::parse(text, dimension).map_err(|error| format!("{key}: {error}"))
            }
            _ => Err(format!("no {} {key}", dimension.name())),
        }
    }
}

fn section<T>(
    file: &Table,
    name: &str,
    read: impl Fn(&str, Row) -> Result<T, String>,
) -> Result<Vec<T>, String> {
    let table = file.get(name).and_then(Value::as_table);
    let table = table.ok_or_else(|| format!("no section {name}"))?;
    let entries = table.iter().map(|(entry, value)| {
        let row = value
            .as_table()
            .ok_or_else(|| format!("{entry} is no table"))?;
        read(entry, Row(row)).map_err(|what| format!("{name}.{entry}: {what}"))
    });
    entries.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regress_the_built_in_catalogue_loads_in_file_order() {
        assert_eq!(joint_names(), ["tight", "worn", "loose", "arcing"]);
        assert_eq!(stud_names(), ["M3", "M4", "M5", "M6", "M8"]);
        assert_eq!(metal_names().len(), 5);
        assert_eq!(joint("loose").force, Some(5.0));
        assert_eq!(joint("arcing").drop, Some(13.0));
        assert_eq!(stud("M8").pip_length, 0.85e-3);
        assert_eq!(metal("copper").resistivity_20, 0.0172e-6);
        assert_eq!(metal("mild steel").viscosity, 5.5e-3);
    }

    #[test]
    fn practice_everyday_words_mean_one_metal_each() {
        for (word, metal) in [
            ("stainless", "stainless 18/8"),
            ("A2", "stainless 18/8"),
            ("a2", "stainless 18/8"),
            ("aluminium", "aluminium Mg alloy"),
            ("Brass", "brass 63/37"),
            ("steel", "mild steel"),
            ("Mild Steel", "mild steel"),
        ] {
            assert_eq!(find_metal(word).unwrap().name, metal, "{word}");
        }
        assert_eq!(find_metal("galvanised"), None);
        assert_eq!(find_stud("m5").unwrap().name, "M5");
        let mut words: Vec<String> = catalogue()
            .aliases
            .iter()
            .map(|a| a.0.to_lowercase())
            .collect();
        words.extend(metal_names().iter().map(|name| name.to_lowercase()));
        let count = words.len();
        words.sort();
        words.dedup();
        assert_eq!(words.len(), count, "a word for two metals");
    }

    #[test]
    fn regress_every_catalogue_figure_is_within_its_keys_bounds() {
        for entry in metals() {
            for key in METAL_KEYS {
                let value = *(key.field)(&entry.value);
                assert!(
                    key.number.range.holds(value),
                    "{} {}",
                    entry.value.name,
                    key.name
                );
            }
        }
    }
}
