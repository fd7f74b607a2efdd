//! What every JSON document has around its own fields.

use serde::Serialize;

use super::cautions;

#[derive(Serialize)]
struct Envelope<'a, T> {
    version: &'static str,
    command: String,
    #[serde(flatten)]
    body: &'a T,
    cautions: Vec<&'static str>,
}

/// A document as JSON text, with version and command before its fields, the cautions behind them, and a closing
/// line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn text(body: &impl Serialize) -> serde_json::Result<String> {
    let mut text = serde_json::to_string_pretty(&Envelope {
        version: env!("CARGO_PKG_VERSION"),
        command: command(),
        body,
        cautions: cautions::all(),
    })?;
    text.push('\n');
    Ok(text)
}

/// The command line of this process as a shell would read it again.
fn command() -> String {
    let quoted = |word: std::ffi::OsString| {
        let word = word.to_string_lossy().into_owned();
        let plain = |c: char| c.is_ascii_alphanumeric() || "-_=./,:+@%".contains(c);
        if !word.is_empty() && word.chars().all(plain) {
            word
        } else {
            format!("'{}'", word.replace('\'', r"'\''"))
        }
    };
    let words = std::env::args_os().skip(1).map(quoted);
    let all: Vec<String> = std::iter::once("arcplunge".into()).chain(words).collect();
    all.join(" ")
}
