//! What the page lets one change: sliders and choices over keys of the case.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::columns::short;
use arcplunge_core::case::catalogue;
use arcplunge_core::case::keys::{self, EARTH, Key, Kind, NONE, find};
use arcplunge_core::case::model::Case;
use arcplunge_core::case::quantity::parse;
use arcplunge_core::case::settings::settings;

/// A control of the page.
#[derive(Debug, Serialize)]
pub struct Control {
    group: &'static str,
    /// Stands open; the others wait behind a word.
    first: bool,
    /// Key; `earth.N.` stands for every earth lead at once.
    key: &'static str,
    label: &'static str,
    about: &'static str,
    kind: &'static str,
    /// Unit of `least`, `most` and `step`; empty for a bare number.
    unit: &'static str,
    least: f64,
    most: f64,
    step: f64,
    /// The slider is logarithmic.
    log: bool,
    /// What may be picked, or typed beside a number.
    words: Vec<&'static str>,
    /// Words that stand for a number of the slider: a joint without a drop \[mΩ\].
    named: Vec<(&'static str, f64)>,
}

impl Control {
    /// Its key, as the page has it.
    pub fn key(&self) -> &'static str {
        self.key
    }

    /// Whether it has a slider.
    pub fn slides(&self) -> bool {
        matches!(self.kind, "number" | "joint")
    }

    /// The slider's ends, in the control's unit.
    pub fn ends(&self) -> [f64; 2] {
        [self.least, self.most]
    }

    /// What a slider may say, as an override has it: a number between its ends, in its own unit or without, or one of
    /// the words that stand on it.
    pub fn within(&self, said: &str) -> Option<String> {
        let named = self.named.iter().any(|(name, _)| *name == said);
        if named || (said == NONE && self.words.contains(&NONE)) {
            return Some(said.to_string());
        }
        let number = said.strip_suffix(self.unit).unwrap_or(said).trim_end();
        let x: f64 = number.parse().ok()?;
        let [least, most] = self.ends();
        (least..=most)
            .contains(&x)
            .then(|| format!("{x} {}", self.unit).trim_end().to_string())
    }
}

/// A slider's stretch, far narrower than what the key allows: a number typed may go beyond it.
#[derive(Clone, Copy)]
enum Travel {
    /// From, to and step.
    Even(f64, f64, f64),
    /// From and to, by ratios.
    Ratio(f64, f64),
    /// A choice or a joint has its own.
    Own,
}
use Travel::{Even, Own, Ratio};

const FIRST: bool = true;
const LATER: bool = false;

/// Group, whether it stands open, key, label, travel.
type Line = (&'static str, bool, &'static str, &'static str, Travel);

#[rustfmt::skip]
const CONTROLS: &[Line] = &[
    ("bank", FIRST, "bank.voltage", "voltage", Even(40.0, 200.0, 1.0)),
    ("bank", FIRST, "bank.capacitance", "capacitance", Even(5.0, 200.0, 1.0)),
    ("bank", LATER, "bank.esr", "series resistance (ESR)", Even(0.2, 10.0, 0.1)),
    ("leads", FIRST, "lead.length", "gun lead", Even(1.0, 30.0, 0.5)),
    ("leads", FIRST, "lead.section", "its section", Even(10.0, 120.0, 1.0)),
    ("leads", LATER, "lead.turns", "coiled turns", Even(0.0, 8.0, 1.0)),
    ("leads", FIRST, "earth.N.length", "earth leads, each", Even(1.0, 30.0, 0.5)),
    ("leads", LATER, "earth.N.section", "their section", Even(10.0, 120.0, 1.0)),
    ("joints", FIRST, "joints.bank", "bank terminal", Own),
    ("joints", FIRST, "joints.tool", "tool terminal", Own),
    ("joints", FIRST, "joints.chuck", "chuck", Own),
    ("joints", FIRST, "earth.N.clamp", "earth clamps, all", Own),
    ("tool", FIRST, "tool.spring_force", "spring force", Even(20.0, 200.0, 1.0)),
    ("tool", LATER, "tool.spring_rate", "spring rate", Even(0.0, 20.0, 0.5)),
    ("tool", FIRST, "tool.moving_mass", "moving mass", Even(40.0, 400.0, 5.0)),
    ("tool", LATER, "tool.friction", "friction", Even(0.0, 60.0, 1.0)),
    ("tool", FIRST, "tool.tilt", "tilt", Even(0.0, 6.0, 0.1)),
    ("tool", LATER, "tool.tilt_towards", "tilt towards, o'clock", Even(0.0, 12.0, 0.5)),
    ("tool", LATER, "tool.attitude", "attitude", Own),
    ("tool", LATER, "tool.method", "method", Own),
    ("tool", LATER, "tool.lift", "lift (gap method)", Even(0.0, 3.0, 0.05)),
    ("stud and sheet", FIRST, "stud.size", "stud", Own),
    ("stud and sheet", LATER, "stud.metal", "its metal", Own),
    ("stud and sheet", LATER, "stud.polarity", "its pole", Own),
    ("stud and sheet", LATER, "stud.pip_diameter", "pip diameter", Even(0.4, 1.2, 0.01)),
    ("stud and sheet", LATER, "stud.pip_length", "pip length", Even(0.3, 1.5, 0.01)),
    ("stud and sheet", LATER, "stud.cone", "cone", Even(0.5, 6.0, 0.1)),
    ("stud and sheet", FIRST, "sheet.metal", "sheet", Own),
    ("stud and sheet", FIRST, "sheet.thickness", "its thickness", Even(0.4, 6.0, 0.1)),
    ("stud and sheet", FIRST, "sheet.centre_mark", "centre mark, depth", Even(0.0, 0.8, 0.05)),
    ("earth clamps", LATER, "earth.0.at.x", "first clamp, x", Even(-500.0, 500.0, 5.0)),
    ("earth clamps", LATER, "earth.0.at.y", "first clamp, y", Even(-500.0, 500.0, 5.0)),
    ("earth clamps", LATER, "earth.0.clamp", "first clamp", Own),
    ("earth clamps", LATER, "earth.1.at.x", "second clamp, x", Even(-500.0, 500.0, 5.0)),
    ("earth clamps", LATER, "earth.1.at.y", "second clamp, y", Even(-500.0, 500.0, 5.0)),
    ("earth clamps", LATER, "earth.1.clamp", "second clamp", Own),
    ("earth clamps", LATER, "earth.N.clamp_radius", "contact radius, each", Even(1.0, 50.0, 0.5)),
    ("earth clamps", LATER, "lead.elevation", "gun lead, elevation", Even(0.0, 90.0, 5.0)),
];

/// Slider of a joint \[mΩ\]: from well seated to hardly touching.
const JOINT: Travel = Ratio(0.01, 10.0);

/// Every control, in the order of the page.
pub fn all() -> Vec<Control> {
    CONTROLS.iter().map(control).collect()
}

/// The control of a key.
pub fn by_key(path: &str) -> Option<Control> {
    CONTROLS.iter().find(|line| line.2 == path).map(control)
}

/// Keys of every control.
pub fn paths() -> Vec<&'static str> {
    CONTROLS.iter().map(|line| line.2).collect()
}

/// The key of a control; that of the first earth lead where it stands for all.
fn key_of(path: &str) -> &'static Key {
    let general = ["earth.0.", "earth.1."]
        .iter()
        .find_map(|lead| path.strip_prefix(lead))
        .map_or(path.to_string(), |name| format!("{EARTH}.N.{name}"));
    keys::by_path(&general).unwrap_or_else(|| panic!("the page's control `{path}` is no key"))
}

fn control(&(group, first, path, label, travel): &Line) -> Control {
    let key = key_of(path);
    let (kind, unit, travel, words) = match &key.kind {
        Kind::Number(number, _) => ("number", number.unit, travel, Vec::new()),
        Kind::CentreMark => ("number", "mm", travel, vec![NONE]),
        Kind::Joint(_) => ("joint", "mohm", JOINT, catalogue::joint_names()),
        Kind::Choice(choice) => ("choice", "", Own, choice.words.to_vec()),
        Kind::Size => ("choice", "", Own, catalogue::stud_names()),
        Kind::Metal(..) => ("choice", "", Own, catalogue::metal_names()),
        Kind::Title | Kind::Position | Kind::Scale(_) => ("text", "", Own, Vec::new()),
    };
    let (least, most, step, log) = match travel {
        Even(least, most, step) => (least, most, step, false),
        Ratio(least, most) => (least, most, 0.0, true),
        Own => (0.0, 0.0, 0.0, false),
    };
    let plain = |name: &&'static str| {
        let joint = catalogue::find_joint(name)?;
        (!joint.contact().starts_parted()).then_some((*name, short(joint.resistance * 1e3)))
    };
    let named = match key.kind {
        Kind::Joint(_) => words.iter().filter_map(plain).collect(),
        _ => Vec::new(),
    };
    Control {
        group,
        first,
        key: path,
        label,
        about: key.about,
        kind,
        unit,
        least,
        most,
        step,
        log,
        words,
        named,
    }
}

/// Where each control stands in a case: a number in the control's unit, a joint as its name and its
/// resistance, a word. A key that is not there, as of an earth lead taken off, is left out.
pub fn values(case: &Case) -> Map<String, Value> {
    let all = settings(case);
    let text = |path: &str| {
        let found = all.iter().find(|s| s.path == path);
        found.map(|s| s.value.clone())
    };
    let mut out = Map::new();
    for (_, _, path, _, _) in CONTROLS {
        let key = key_of(path);
        let first = path.replace("earth.N.", "earth.0.");
        let number = |path: &str, unit: &str| -> Option<f64> {
            let value = find(path).ok()?.number(case)?;
            Some(short(value / scale(key, unit)))
        };
        let value = match &key.kind {
            Kind::Number(n, _) => number(&first, n.unit).map(Value::from),
            Kind::CentreMark => {
                let depth = case.sheet.centre_mark.map_or(0.0, |mark| mark.depth);
                Some(Value::from(short(depth * 1e3)))
            }
            Kind::Joint(_) => text(&first)
                .zip(number(&format!("{first}.resistance"), "mohm"))
                .map(|(name, mohm)| json!({ "text": plain(&name), "mohm": mohm })),
            _ => text(&first).map(|t| Value::from(plain(&t))),
        };
        if let Some(value) = value {
            out.insert((*path).to_string(), value);
        }
    }
    out
}

/// What each earth lead has, by controls that stand for all of them, where they are not alike.
pub fn differ(case: &Case) -> Map<String, Value> {
    let all = settings(case);
    let mut out = Map::new();
    for (_, _, path, _, _) in CONTROLS.iter().filter(|line| line.2.contains(".N.")) {
        let of = |k: usize| {
            let own = path.replace(".N.", &format!(".{k}."));
            let found = all.iter().find(|s| s.path == own);
            found.map_or(String::new(), |s| plain(&s.value))
        };
        let values: Vec<String> = (0..case.earths.len()).map(of).collect();
        if values.windows(2).any(|pair| pair[0] != pair[1]) {
            let each = values.iter().enumerate();
            let each: Vec<String> = each.map(|(k, v)| format!("{EARTH} {k}: {v}")).collect();
            out.insert((*path).to_string(), Value::from(each.join(", ")));
        }
    }
    out
}

/// SI units in one customary unit of a key.
fn scale(key: &Key, unit: &str) -> f64 {
    if unit.is_empty() {
        return 1.0;
    }
    let dimension = match &key.kind {
        Kind::Joint(_) => arcplunge_core::case::quantity::Dimension::Resistance,
        _ => key
            .number()
            .map_or(arcplunge_core::case::quantity::Dimension::Length, |n| {
                n.dimension
            }),
    };
    parse(&format!("1 {unit}"), dimension).unwrap_or(1.0)
}

/// A value without the quotes a file puts round it.
fn plain(text: &str) -> String {
    text.trim_matches('"').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::read::demonstration;

    #[test]
    fn every_control_stands_somewhere_within_its_travel_in_the_demonstration_case() {
        let values = values(&Case::default());
        for c in all() {
            let value = &values[c.key];
            match c.kind {
                "number" => {
                    let x = value.as_f64().unwrap();
                    assert!(c.least <= x && x <= c.most, "{}: {x}", c.key);
                }
                "joint" => assert!(value["mohm"].as_f64().unwrap() > 0.0, "{}", c.key),
                _ => assert!(
                    c.words.contains(&value.as_str().unwrap()),
                    "{}: {value}",
                    c.key
                ),
            }
        }
    }

    #[test]
    fn leads_that_differ_are_not_told_as_one() {
        let mut case = Case::default();
        assert!(differ(&case).is_empty());
        case.earths[0].clamp = catalogue::joint("loose");
        case.earths[1].length = 9.0;
        let differ = differ(&case);
        assert_eq!(
            differ["earth.N.clamp"],
            json!("earth 0: loose, earth 1: tight")
        );
        assert_eq!(
            differ["earth.N.length"],
            json!("earth 0: 5 m, earth 1: 9 m")
        );
        assert_eq!(differ.len(), 2);
    }

    #[test]
    fn what_a_control_says_can_be_set() {
        for c in all() {
            let key = c.key.replace("earth.N.", "earth.0.");
            let ends = match c.kind {
                "number" => [c.least, c.most]
                    .map(|x| format!("{x} {}", c.unit))
                    .to_vec(),
                "joint" => [c.least, c.most]
                    .map(|x| format!("{x} {}", c.unit))
                    .to_vec(),
                _ => c.words.iter().map(|w| (*w).to_string()).collect(),
            };
            for end in ends {
                // A mark of no depth is none, and a gap needs a lift: the page says so itself.
                if (key == "sheet.centre_mark" && end.starts_with("0 ")) || end == "gap" {
                    continue;
                }
                let set = format!("{key}={}", end.trim());
                // Eight turns want a lead long enough.
                let long = "lead.length=30 m".to_string();
                demonstration(&[long, set.clone()])
                    .unwrap_or_else(|e| panic!("{set}: {}", e.render(false)));
            }
        }
    }
}
