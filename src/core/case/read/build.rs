//! From what was said to a case.

use std::collections::BTreeMap;

use super::draft::{Draft, Entry, rival};
use crate::case::catalogue::{self, OWN};
use crate::case::check::check;
use crate::case::demonstration;
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{self, Address, Kind, METAL_KEYS, Value};
use crate::case::model::{Case, Metal, Method};
use crate::case::resolved::{Origin, Origins};

/// The case the draft describes; faults are noted in the draft.
pub(super) fn build(draft: &mut Draft, line: &dyn Fn(usize) -> usize) -> (Case, Origins) {
    let mut case = Case::default();
    let mut origins = Origins::default();
    case.earths = (0..draft.earth_count()).map(demonstration::earth).collect();
    remove_earths(draft, &mut case);
    let metals = metals(draft, &mut origins);
    own_size(draft, &mut case);
    said_twice(draft);
    usual_tool(draft, &mut case, &mut origins);
    // A size sets what the other keys of the stud then change; a mark is read off its scale; the polarity
    // says whose share the older names of the arc mean.
    let (first, rest): (Vec<Entry>, Vec<Entry>) =
        draft.entries.iter().cloned().partition(|entry| {
            matches!(
                entry.value,
                Value::Size(_) | Value::Scale(_) | Value::Choice(_)
            )
        });
    let faulty = !draft.problems.is_empty();
    for entry in first.into_iter().chain(rest) {
        let path = entry.address.to_string();
        let origin = match entry.spot {
            Spot::File(start, _) => Origin::Line(line(start)),
            _ => Origin::Set,
        };
        note_catalogue(&entry, &path, &mut origins);
        if let Some((key, mark)) = keys::mark_of(&path)
            && key.path == path
        {
            origins.note(mark.number.to_string(), origin.clone());
            // The scale may be what is wrong.
            if faulty && mark.scale(&case).is_none() {
                continue;
            }
        }
        origins.note(path, origin);
        if let Address::Metal(..) = entry.address {
            continue;
        }
        if let Err(error) = entry.address.put(&mut case, entry.value, &metals) {
            draft.fault(entry.spot, error);
        }
    }
    for (metal, key) in [
        (&mut case.stud.metal, "stud"),
        (&mut case.sheet.metal, "sheet"),
    ] {
        // The default metal may have been given other figures by a file that never names it.
        if *origins.of(&format!("{key}.metal")) == Origin::Default
            && let Some(own) = metals.iter().find(|own| own.name == metal.name)
        {
            *metal = own.clone();
        }
    }
    if draft.problems.is_empty() {
        between_keys(draft, &case);
    }
    (case, origins)
}

/// The gap method brings its own tool, what is given of it apart.
fn usual_tool(draft: &Draft, case: &mut Case, origins: &mut Origins) {
    let chosen = draft
        .entries
        .iter()
        .rfind(|entry| entry.address.to_string() == "tool.method");
    if chosen.is_none_or(|entry| entry.value != Value::Choice(Method::Gap as usize)) {
        return;
    }
    let usual = catalogue::gap_tool();
    let tool = &mut case.tool;
    for (name, place, value) in [
        ("lift", &mut tool.lift, usual.lift),
        ("moving_mass", &mut tool.moving_mass, usual.moving_mass),
        ("spring_force", &mut tool.spring_force, usual.spring_force),
        ("spring_rate", &mut tool.spring_rate, usual.spring_rate),
    ] {
        *place = value;
        origins.note(
            format!("tool.{name}"),
            Origin::Catalogue("gap method".to_string()),
        );
    }
}

/// A number given both in its unit and as a mark.
fn said_twice(draft: &mut Draft) {
    let mut faults = Vec::new();
    for (n, entry) in draft.entries.iter().enumerate() {
        let path = entry.address.to_string();
        let before = draft.entries[..n].iter();
        let other = before
            .map(|other| other.address.to_string())
            .find(|other| rival(&path) == Some(other));
        if let Some(other) = other {
            faults.push((entry.spot.clone(), Fault::SaidTwice { path, other }));
        }
    }
    for (spot, fault) in faults {
        draft.fault(spot, fault);
    }
}

/// Takes away the leads an override took away; those behind move up.
fn remove_earths(draft: &mut Draft, case: &mut Case) {
    let mut removed = std::mem::take(&mut draft.removed);
    removed.sort_by_key(|(number, _)| std::cmp::Reverse(*number));
    removed.dedup_by_key(|(number, _)| *number);
    for (number, spot) in removed {
        let count = case.earths.len();
        if number >= count {
            draft.fault(spot, keys::KeyError::NoEarth { number, count });
            continue;
        }
        if count == 1 {
            draft.fault(spot, Fault::EarthCount { count: 0 });
            continue;
        }
        case.earths.remove(number);
        let stays = |address: &mut Address| match address {
            Address::Earth(_, at) => {
                let gone = *at == number;
                *at -= usize::from(*at > number);
                !gone
            }
            _ => true,
        };
        draft.entries.retain_mut(|e| stays(&mut e.address));
        draft
            .tolerances
            .retain_mut(|(own, _)| stays(&mut own.address));
        draft.uncertainty.retain_mut(|(address, ..)| stays(address));
        draft
            .correlations
            .retain_mut(|(known, _)| known.keys.iter_mut().all(stays));
    }
}

/// The metals a file or an override gives figures for.
fn metals(draft: &mut Draft, origins: &mut Origins) -> Vec<Metal> {
    let mut metals = Vec::new();
    let mut faults = Vec::new();
    let mut figures: BTreeMap<(&str, &str), f64> = BTreeMap::new();
    for entry in &draft.entries {
        if let (Address::Metal(metal, key), Value::Number(value)) = (&entry.address, &entry.value) {
            figures.insert((metal.as_str(), key.name), *value);
        }
    }
    for given in &draft.metals {
        let base = given.like.as_deref().and_then(catalogue::find_metal);
        let mut metal = base.cloned().unwrap_or_else(|| Metal::unset(&given.name));
        metal.name.clone_from(&given.name);
        let mut missing = Vec::new();
        for key in METAL_KEYS {
            let figure = figures.get(&(given.name.as_str(), key.name));
            match (figure, &given.like) {
                (Some(value), _) => *(key.field_mut)(&mut metal) = *value,
                (None, Some(like)) => {
                    let address = Address::Metal(given.name.clone(), key);
                    origins.note(address.to_string(), Origin::Catalogue(like.clone()));
                }
                // A figure that was given but wrong is not missing as well.
                (None, None) if given.given.contains(&key.name) => {}
                (None, None) => missing.push(key.name),
            }
        }
        if !missing.is_empty() {
            let metal = given.name.clone();
            faults.push((given.spot.clone(), Fault::MissingFigures { metal, missing }));
        }
        metals.push(metal);
    }
    for (spot, fault) in faults {
        draft.fault(spot, fault);
    }
    metals
}

/// A stud of the user's own: by the word, or by giving all it takes without a size.
fn own_size(draft: &mut Draft, case: &mut Case) {
    let given = |key: &str| {
        draft
            .entries
            .iter()
            .any(|entry| entry.address.to_string() == key)
    };
    let needed = [
        ("flange", "stud.flange"),
        ("pip_diameter", "stud.pip_diameter"),
        ("pip_length", "stud.pip_length"),
    ];
    let missing: Vec<&str> = needed
        .iter()
        .filter(|(_, key)| !given(key))
        .map(|(name, _)| *name)
        .collect();
    if missing.is_empty() && !given("stud.size") {
        case.stud.size = OWN.to_string();
    }
    let own = draft
        .entries
        .iter()
        .find(|entry| entry.value == Value::Size(None));
    if let Some(own) = own
        && !missing.is_empty()
        && draft.problems.is_empty()
    {
        let spot = own.spot.clone();
        draft.fault(spot, Fault::OwnSize { missing });
    }
}

/// Parts of a joint that its name brings with it.
const JOINT_PARTS: [&str; 3] = ["resistance", "force", "drop"];

/// What a name brings with it comes from the catalogue.
fn note_catalogue(entry: &Entry, path: &str, origins: &mut Origins) {
    let mut note = |key: String, name: &str| origins.note(key, Origin::Catalogue(name.to_string()));
    match &entry.value {
        Value::Size(Some(size)) => {
            for part in ["flange", "pip_diameter", "pip_length"] {
                note(format!("stud.{part}"), &size.name);
            }
        }
        Value::Joint(joint) if joint.name != OWN => {
            for part in JOINT_PARTS {
                note(format!("{path}.{part}"), &joint.name);
            }
        }
        _ => {}
    }
}

/// Checks what must hold between keys, and points at the key that was given.
fn between_keys(draft: &mut Draft, case: &Case) {
    for broken in check(case) {
        let keys = broken.keys();
        let spots = || keys.iter().filter_map(|key| draft.spot_of(key));
        let override_first = spots().find(|spot| matches!(spot, Spot::Set(..)));
        let spot = override_first
            .or_else(|| spots().next())
            .or(draft.earths_spot());
        let spot = spot.cloned().unwrap_or(Spot::Whole);
        draft.fault(spot, Fault::Broken(broken));
    }
}

/// Origins of what the demonstration case takes from the catalogue.
pub(super) fn catalogue_defaults(case: &Case, origins: &mut Origins) {
    let mut note = |key: String, name: &str| {
        if *origins.of(&key) == Origin::Default {
            origins.note(key, Origin::Catalogue(name.to_string()));
        }
    };
    if case.stud.size != OWN {
        for part in ["flange", "pip_diameter", "pip_length"] {
            note(format!("stud.{part}"), &case.stud.size);
        }
    }
    for metal in [&case.stud.metal, &case.sheet.metal] {
        for key in METAL_KEYS {
            note(
                Address::Metal(metal.name.clone(), key).to_string(),
                &metal.name,
            );
        }
    }
    for key in keys::all() {
        let Kind::Joint(place) = &key.kind else {
            continue;
        };
        let earths = if key.section() == keys::EARTH {
            case.earths.len()
        } else {
            1
        };
        for number in 0..earths {
            let address = match key.section() {
                keys::EARTH => Address::Earth(key, number),
                _ => Address::Case(key),
            };
            let joint = place.of(case, Some(number));
            if let Some(joint) = joint.filter(|joint| joint.name != OWN) {
                for part in JOINT_PARTS {
                    note(format!("{address}.{part}"), &joint.name);
                }
            }
        }
    }
}
