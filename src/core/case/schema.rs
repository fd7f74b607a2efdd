//! The case file as a JSON Schema, for editors: made from the registry of keys.

use serde_json::{Map, Value, json};

use super::catalogue::{self, OWN};
use super::keys::{
    self, Address, EARTH, Key, Kind, LONGEST_TITLE, MARK, METAL, METAL_KEYS, MOST_EARTHS, NONE,
    Number, Place, SECTIONS, TOLERANCE, UNCERTAINTY, by_path, mark_of,
};
use super::model::Case;
use super::quantity::{Dimension, pattern};
use super::show::{number_text, value};
use super::tolerance::{BATCH_SIZE, CORRELATION, OTHERS, Shape, measurement, usual};

/// The schema (JSON Schema, draft 2020-12). It holds names, types, units and words; bounds of
/// quantities stand in the descriptions, since they are texts there.
pub fn schema() -> Value {
    let case = Case::default();
    let mut properties = Map::new();
    for key in keys::all().filter(|key| key.section().is_empty()) {
        properties.insert(key.name().into(), described(&case, key));
    }
    for (section, about) in SECTIONS {
        let schema = match section {
            EARTH => json!({
                "description": about, "type": "array", "minItems": 1, "maxItems": MOST_EARTHS,
                "items": table(&case, section),
            }),
            METAL => metals(about),
            _ => {
                let mut table = table(&case, section);
                table["description"] = about.into();
                table
            }
        };
        properties.insert(section.into(), schema);
    }
    properties.insert(TOLERANCE.into(), tolerances());
    properties.insert(UNCERTAINTY.into(), uncertainty());
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Case file of arcplunge",
        "description": "One capacitor-discharge stud weld. Every key is optional and defaults to the \
                        demonstration case.",
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
    })
}

/// The section of how well figures are known: standard deviations by the full names of keys.
fn uncertainty() -> Value {
    let amount = json!({"anyOf": [{"type": "string"}, {"type": "number"}], "examples": ["0.4 V"]});
    let tables = (0..3).fold(
        amount.clone(),
        |inner, _| json!({"anyOf": [amount, {"type": "object", "additionalProperties": inner}]}),
    );
    json!({
        "description": "how well figures of the model and of the rig are known, for the band, where the catalogue does not say it",
        "type": "object", "additionalProperties": tables,
    })
}

/// The section of tolerances: spreads by the full names of keys, as one name or as tables in tables.
fn tolerances() -> Value {
    let amount = json!({"anyOf": [{"type": "string"}, {"type": "number"}], "examples": ["2 %"]});
    let shapes = Shape::ALL.map(Shape::name);
    let spread = json!({"anyOf": [amount, {
        "type": "object", "additionalProperties": false, "required": ["spread"],
        "properties": {"spread": amount, "shape": {"enum": shapes}, "limit": amount, "batch": amount},
    }]});
    let tables = (0..3).fold(spread.clone(), |inner, _| {
        json!({"anyOf": [spread, {
            "type": "object", "additionalProperties": inner, "not": {"required": ["spread"]},
        }]})
    });
    let mut properties: Map<String, Value> = usual()
        .iter()
        .chain(measurement())
        .filter(|u| !u.key.contains('*'))
        .map(|u| (u.key.clone(), spread.clone()))
        .collect();
    properties.insert(
        BATCH_SIZE.into(),
        json!({"type": "integer", "minimum": 2, "maximum": 1_000_000}),
    );
    properties.insert(CORRELATION.into(), correlations());
    properties.insert(OTHERS.into(), json!({"const": NONE}));
    json!({
        "description": "scatter of keys from shot to shot, for scatter and sensitivity, and how well they are known, for fit",
        "type": "object", "properties": properties, "additionalProperties": tables,
    })
}

/// Correlations: the full name of a key, then that of the other, each as one name or as tables in tables.
fn correlations() -> Value {
    let number = json!({"type": "number", "exclusiveMinimum": -1, "exclusiveMaximum": 1});
    (0..6).fold(
        number.clone(),
        |inner, _| json!({"anyOf": [number, {"type": "object", "additionalProperties": inner}]}),
    )
}

/// The keys of a section, and what must hold between them.
fn table(case: &Case, section: &str) -> Value {
    let keys: Vec<&'static Key> = keys::all()
        .filter(|key| key.section() == section && !key.is_part())
        .collect();
    let properties: Map<String, Value> = keys
        .iter()
        .map(|key| (key.name().to_string(), described(case, key)))
        .collect();
    let mut out = json!({
        "type": "object", "additionalProperties": false, "properties": properties,
    });
    for key in keys.into_iter().filter(|key| key.is_mark()) {
        let Some((_, mark)) = mark_of(key.path) else {
            continue;
        };
        let names = [mark.number, mark.scale].map(|path| by_path(path).map_or("", Key::name));
        out["dependentRequired"] = json!({key.name(): [names[1]]});
        out["not"] = json!({"required": [names[0], key.name()]});
    }
    if section == "stud" {
        out["if"] = json!({"properties": {"size": {"const": OWN}}, "required": ["size"]});
        out["then"] = json!({"required": ["flange", "pip_diameter", "pip_length"]});
    }
    out
}

/// What a key takes, with its words and its default.
fn described(case: &Case, key: &'static Key) -> Value {
    let mut out = if key.may_be_none() {
        json!({"anyOf": [kind(key), {"const": NONE}]})
    } else {
        kind(key)
    };
    let bounds = key
        .number()
        .map_or(String::new(), |n| format!("; {}", n.bounds()));
    out["description"] = format!("{}{bounds}", key.about).into();
    let (address, earth) = match key.section() {
        // Leads differ in the place of their clamps.
        EARTH => (Address::Earth(key, 0), Some(0)),
        _ => (Address::Case(key), None),
    };
    if !key.repeats() && key.path != "earth.N.at" {
        let text = value(case, key, &address, earth, &case.sheet.metal).0;
        if let Some(default) = from_toml(&text) {
            out["default"] = default;
        }
    }
    out
}

/// A value as TOML writes it, as JSON.
fn from_toml(text: &str) -> Option<Value> {
    let table: toml::Table = format!("value = {text}").parse().ok()?;
    serde_json::to_value(table.get("value")?).ok()
}

fn kind(key: &Key) -> Value {
    let part = |name: &str| {
        let path = format!("{}.{name}", key.path);
        by_path(&path)
            .and_then(Key::number)
            .map_or(json!({}), number)
    };
    match &key.kind {
        Kind::Number(_, Place::Mark(_)) => number(&MARK),
        Kind::Number(n, _) => number(n),
        Kind::Title => json!({
            "type": "string", "maxLength": LONGEST_TITLE, "pattern": "^[^\\u0000-\\u001F\\u007F]*$",
        }),
        Kind::Choice(choice) => json!({"enum": choice.words}),
        Kind::Size => {
            let names = catalogue::stud_names();
            let small = names.iter().map(|name| name.to_lowercase());
            let plain = names.iter().copied().chain([OWN]).map(String::from);
            let sizes: Vec<String> = plain.chain(small).collect();
            json!({"enum": sizes})
        }
        // A file may bring metals of its own.
        Kind::Metal(..) => json!({"type": "string", "examples": catalogue::metal_names()}),
        Kind::Joint(_) => json!({"anyOf": [
            {"enum": catalogue::joint_names()},
            part("resistance"),
            {
                "type": "object", "additionalProperties": false, "required": ["resistance"],
                "properties": {
                    "resistance": part("resistance"), "force": part("force"), "drop": part("drop"),
                },
            },
        ]}),
        Kind::Position => json!({"anyOf": [
            {
                "type": "array", "prefixItems": [part("x"), part("y")], "items": false,
                "minItems": 2,
            },
            {"type": "string", "pattern": "^[^,]+,[^,]+$"},
            {
                "type": "object", "additionalProperties": false, "required": ["x", "y"],
                "properties": {"x": part("x"), "y": part("y")},
            },
        ]}),
        Kind::CentreMark => json!({"anyOf": [
            part("depth"),
            {
                "type": "object", "additionalProperties": false, "required": ["depth"],
                "properties": {"depth": part("depth"), "angle": part("angle")},
            },
        ]}),
        Kind::Scale(place) => json!({
            "type": "array", "minItems": 2, "examples": [from_toml(place.example())],
            "items": {
                "type": "array", "prefixItems": [number(&MARK), number(&place.number)],
                "items": false, "minItems": 2,
            },
        }),
    }
}

fn number(number: &Number) -> Value {
    let range = &number.range;
    if number.dimension != Dimension::Number {
        let example = number.dimension.example();
        return json!({
            "type": "string", "pattern": pattern(number.dimension), "examples": [example],
        });
    }
    let least = if range.with_least {
        "minimum"
    } else {
        "exclusiveMinimum"
    };
    let most = if range.with_most {
        "maximum"
    } else {
        "exclusiveMaximum"
    };
    json!({"type": "number", least: range.least, most: range.most})
}

fn metals(about: &str) -> Value {
    let base = Case::default().sheet.metal;
    let names = catalogue::metal_names();
    let called = names.iter().flat_map(|name| catalogue::aliases(name));
    let like: Vec<&str> = names.iter().copied().chain(called).collect();
    let mut properties = Map::new();
    properties.insert(
        "like".into(),
        json!({
            "enum": like,
            "description": "metal that supplies the other figures",
        }),
    );
    for key in METAL_KEYS {
        let mut figure = number(&key.number);
        figure["description"] = format!("{}; {}", key.about, key.number.bounds()).into();
        let example = from_toml(&number_text(&key.number, *(key.field)(&base)));
        figure["examples"] = json!([example]);
        properties.insert(key.name.into(), figure);
    }
    let all: Vec<&str> = METAL_KEYS.iter().map(|key| key.name).collect();
    json!({
        "description": about,
        "type": "object",
        "propertyNames": {"minLength": 1, "maxLength": 60, "pattern": "^[^\"\\\\\\u0000-\\u001F\\u007F]+$"},
        "additionalProperties": {
            "type": "object", "additionalProperties": false, "properties": properties,
            "anyOf": [{"required": ["like"]}, {"required": all}],
        },
    })
}

#[cfg(test)]
mod tests {
    use regex_lite::Regex;

    use super::*;

    #[test]
    fn every_key_is_there_with_its_words_and_a_default_that_fits() {
        let schema = schema();
        for key in keys::all().filter(|key| !key.is_part()) {
            let name = key.name();
            let found = match key.section() {
                "" => &schema["properties"][name],
                EARTH => &schema["properties"][EARTH]["items"]["properties"][name],
                section => &schema["properties"][section]["properties"][name],
            };
            let about = found["description"].as_str().unwrap_or_default();
            assert!(about.starts_with(key.about), "{}", key.path);
            assert_eq!(
                found["default"].is_null(),
                key.repeats() || name == "at",
                "{}",
                key.path
            );
            if let (Some(pattern), Some(default)) =
                (found["pattern"].as_str(), found["default"].as_str())
            {
                assert!(
                    Regex::new(pattern).unwrap().is_match(default),
                    "{}",
                    key.path
                );
            }
        }
        let metal = &schema["properties"][METAL]["additionalProperties"]["properties"];
        assert_eq!(metal.as_object().unwrap().len(), METAL_KEYS.len() + 1);
    }
}
