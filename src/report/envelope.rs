//! What every JSON document has around its own fields.

use serde::Serialize;

use super::cautions;

#[derive(Serialize)]
struct Envelope<'a, T> {
    version: &'static str,
    #[serde(flatten)]
    body: &'a T,
    cautions: Vec<&'static str>,
}

/// A document as JSON text, with the version before its fields, the cautions behind them, and a closing
/// line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn text(body: &impl Serialize) -> serde_json::Result<String> {
    let mut text = serde_json::to_string_pretty(&Envelope {
        version: env!("CARGO_PKG_VERSION"),
        body,
        cautions: cautions::all(),
    })?;
    text.push('\n');
    Ok(text)
}
