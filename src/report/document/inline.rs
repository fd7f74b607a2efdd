//! Words inside HTML.

use crate::format::bound;
use crate::plot::text::{clean, escape};

/// The title of a document: its own, or what it is about.
pub(super) fn titled(own: &str, what: &str) -> String {
    let own = clean(own);
    if own.is_empty() {
        what.to_string()
    } else {
        own
    }
}

/// Text of a paragraph: escaped, number and unit held together.
pub(super) fn prose(text: &str) -> String {
    escape(&bound(&clean(text)))
}

/// A name or key, which may break at its joints.
pub(super) fn breaking(name: &str) -> String {
    let mut out = escape(&clean(name));
    for joint in [",", "_", ".", "+"] {
        out = out.replace(joint, &format!("{joint}<wbr>"));
    }
    out
}
