//! A scale: a list of pairs, each a mark and the value measured there.

use toml::Spanned;
use toml::de::{DeArray, DeValue};

use super::draft::Draft;
use super::site::Site;
use super::words::{found, number_text};
use crate::case::diagnose::Fault;
use crate::case::keys::{MARK, ScalePlace, Value, ValueError};
use crate::case::scale::{Scale, ScaleError};

/// Reads a list of pairs into the draft; the caret goes to the pair at fault.
pub(super) fn read_scale(site: &Site, place: &ScalePlace, list: &DeArray, draft: &mut Draft) {
    let path = || site.address.to_string();
    let mut pairs = Vec::new();
    for item in list.iter() {
        match pair(site, place, item) {
            Ok(pair) => pairs.push(pair),
            Err(wrong) => return draft.fault(site.home.spot(wrong.1), wrong.0),
        }
    }
    match Scale::new(pairs) {
        Ok(scale) => draft.add(site.address.clone(), Value::Scale(scale), site.spot.clone()),
        Err(error) => {
            let spot = match error {
                ScaleError::TooFew(_) => site.spot.clone(),
                ScaleError::Marks(n) | ScaleError::Values(n) => list
                    .get(n - 1)
                    .map_or(site.spot.clone(), |item| site.home.spot(item)),
            };
            let error = ValueError::Scale(error);
            draft.fault(
                spot,
                Fault::Value {
                    path: path(),
                    error,
                },
            );
        }
    }
}

/// What is wrong with a part, and the part.
type Wrong<'a, 'b> = Box<(Fault, &'a Spanned<DeValue<'b>>)>;

fn pair<'a, 'b>(
    site: &Site,
    place: &ScalePlace,
    item: &'a Spanned<DeValue<'b>>,
) -> Result<[f64; 2], Wrong<'a, 'b>> {
    let path = || site.address.to_string();
    let value = |error| Fault::Value {
        path: path(),
        error,
    };
    let not_pairs = || value(ValueError::NotPairs(site.key.wanted()));
    let DeValue::Array(parts) = item.get_ref() else {
        return Err(Box::new((not_pairs(), item)));
    };
    let parts: Vec<&Spanned<DeValue>> = parts.iter().collect();
    let [mark, measured] = parts[..] else {
        return Err(Box::new((not_pairs(), item)));
    };
    let Some(text) = number_text(mark.get_ref()) else {
        let fault = Fault::WrongType {
            path: path(),
            found: found(mark.get_ref()),
            wanted: "a mark, a bare number".to_string(),
        };
        return Err(Box::new((fault, mark)));
    };
    let number = &place.number;
    let read = match (measured.get_ref(), number_text(measured.get_ref())) {
        (DeValue::String(text), _) => number.read(text).map_err(value),
        (_, Some(bare)) => Err(Fault::NoUnit {
            path: path(),
            suggestion: format!("\"{bare} {}\"", number.unit),
            number: bare,
            wanted: number.dimension.with_example(),
        }),
        (other, None) => Err(Fault::WrongType {
            path: path(),
            found: found(other),
            wanted: number.dimension.with_example(),
        }),
    };
    let mark = MARK
        .read(&text)
        .map_err(|error| Box::new((value(error), mark)))?;
    Ok([mark, read.map_err(|fault| Box::new((fault, measured)))?])
}
