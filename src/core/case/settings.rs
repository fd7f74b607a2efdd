//! A case as a list of settings, and what differs between two cases.

use super::keys::{self, Address, EARTH, METAL_KEYS};
use super::model::{Case, Metal};
use super::show::{number_text, sheet_metal, value};

/// One key of a case as people read it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    /// Full name, as `--set` takes it.
    pub path: String,
    /// Value with its unit.
    pub value: String,
    /// What a name stands for.
    pub remark: String,
}

/// A key whose value differs; `None` where there is no such thing, as an earth lead taken away.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Difference {
    /// Full name; `earth.1` for a lead as a whole.
    pub key: String,
    /// Value with its unit in the first case; `there` for a lead.
    pub from: Option<String>,
    /// Value with its unit in the second; `there` for a lead.
    pub to: Option<String>,
}

/// Every key outside the metals, in the order of the file.
pub fn settings(case: &Case) -> Vec<Setting> {
    let sheet = sheet_metal(case);
    let mut out = Vec::new();
    // The earth leads stand together, one after the other, as in a file.
    let mut sections: Vec<&str> = keys::all().map(|key| key.section()).collect();
    sections.dedup();
    for section in sections {
        let leads: Vec<Option<usize>> = match section {
            EARTH => (0..case.earths.len()).map(Some).collect(),
            _ => vec![None],
        };
        for earth in leads {
            let shown =
                |key: &&keys::Key| key.section() == section && !key.is_part() && !key.repeats();
            for key in keys::all().filter(shown) {
                let address = match earth {
                    Some(number) => Address::Earth(key, number),
                    None => Address::Case(key),
                };
                let (value, remark) = value(case, key, &address, earth, &sheet);
                let value = match key.section() {
                    "" => case.title.clone(),
                    _ => plain(&value),
                };
                out.push(Setting {
                    path: address.to_string(),
                    value,
                    remark,
                });
            }
        }
    }
    out
}

/// The value of a key that is no number, as an override gives it: `M5`, `tight`, `[["1", "60 V"]]`.
pub fn words(case: &Case, address: &Address) -> Option<String> {
    let (key, earth) = match address {
        Address::Case(key) => (key, None),
        Address::Earth(key, number) if *number < case.earths.len() => (key, Some(*number)),
        Address::Earth(..) | Address::Metal(..) => return None,
    };
    if key.section().is_empty() {
        return Some(case.title.clone());
    }
    let text = value(case, key, address, earth, &sheet_metal(case)).0;
    let inner = text
        .strip_prefix('"')
        .and_then(|text| text.strip_suffix('"'));
    Some(inner.map_or(text.clone(), String::from))
}

/// Without the quotes and braces of a file: `depth 0.7 mm, angle 90 deg`.
fn plain(value: &str) -> String {
    let value = value.replace('"', "");
    match value.strip_prefix("{ ").and_then(|v| v.strip_suffix(" }")) {
        Some(parts) => parts.replace(" = ", " "),
        None => value,
    }
}

/// The figures of the metals of a case, each metal once.
pub fn metal_settings(case: &Case) -> Vec<Setting> {
    let sheet = sheet_metal(case);
    let mut out = figures_of(&case.stud.metal);
    if sheet != case.stud.metal {
        out.extend(figures_of(&sheet));
    }
    out
}

/// The figures of one metal.
pub fn figures_of(metal: &Metal) -> Vec<Setting> {
    let figure = |key: &'static keys::MetalKey| Setting {
        path: Address::Metal(metal.name.clone(), key).to_string(),
        value: number_text(&key.number, *(key.field)(metal)).replace('"', ""),
        remark: String::new(),
    };
    METAL_KEYS.iter().map(figure).collect()
}

/// What differs from `from` to `to`, in the order of the file. An earth lead that is only in one of
/// them counts as a whole; figures of a metal count where both have the metal.
pub fn differences(from: &Case, to: &Case) -> Vec<Difference> {
    let (before, after) = (settings(from), settings(to));
    let find = |list: &[Setting], path: &str| {
        let found = list.iter().find(|s| s.path == path);
        found.map(|s| s.value.clone())
    };
    let mut out: Vec<Difference> = Vec::new();
    for setting in &before {
        if let Some(value) = find(&after, &setting.path)
            && value != setting.value
        {
            out.push(Difference {
                key: setting.path.clone(),
                from: Some(setting.value.clone()),
                to: Some(value),
            });
        }
    }
    let lead = |k: usize| format!("{EARTH}.{k}");
    let (a, b) = (from.earths.len(), to.earths.len());
    let there = || Some("there".to_string());
    out.extend((b..a).map(|k| Difference {
        key: lead(k),
        from: there(),
        to: None,
    }));
    out.extend((a..b).map(|k| Difference {
        key: lead(k),
        from: None,
        to: there(),
    }));
    let (before, after) = (metal_settings(from), metal_settings(to));
    for setting in &before {
        if let Some(value) = find(&after, &setting.path)
            && value != setting.value
        {
            out.push(Difference {
                key: setting.path.clone(),
                from: Some(setting.value.clone()),
                to: Some(value),
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lead_taken_away_is_one_difference() {
        let base = Case::default();
        let mut other = base.clone();
        other.earths.pop();
        other.bank.voltage = 100.0;
        let all = differences(&base, &other);
        let keys: Vec<&str> = all.iter().map(|d| d.key.as_str()).collect();
        assert_eq!(keys, ["bank.voltage", "earth.1"]);
        assert_eq!(all[0].from.as_deref(), Some("112 V"));
        assert_eq!(all[1].to, None);
        assert!(differences(&base, &base).is_empty());
    }
}
