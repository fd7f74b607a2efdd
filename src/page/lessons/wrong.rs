//! What is wrong in a file of lessons, told with line and caret.

use std::ops::Range;

use arcplunge_core::case::diagnose::{Marked, Place, render};
use arcplunge_core::case::keys::nearest;

/// What is wrong in a file of lessons, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Wrong {
    /// Bytes of the file.
    pub span: Range<usize>,
    /// What, as a sentence.
    pub title: String,
    /// What was probably meant.
    pub label: Option<String>,
    /// What could be done about it.
    pub help: Option<String>,
}

impl Wrong {
    /// At these bytes of the file.
    pub fn new(span: Range<usize>, title: impl Into<String>) -> Wrong {
        Wrong {
            span,
            title: title.into(),
            label: None,
            help: None,
        }
    }

    /// With the known name that is nearest to a wrong one.
    pub fn near(self, name: &str, known: impl IntoIterator<Item = impl AsRef<str>>) -> Wrong {
        let known: Vec<String> = known.into_iter().map(|k| k.as_ref().to_string()).collect();
        let near = nearest(name, known.iter().map(String::as_str));
        let label = near.map(|near| format!("did you mean `{near}`?"));
        Wrong { label, ..self }
    }

    /// With what could be done about it.
    pub fn with_help(self, help: impl Into<String>) -> Wrong {
        let help = Some(help.into());
        Wrong { help, ..self }
    }
}

/// All that is wrong, for a terminal.
pub fn told(name: &str, text: &str, wrong: Vec<Wrong>, color: bool) -> String {
    let marked = |w: Wrong| Marked {
        title: w.title,
        place: Some(Place {
            name: name.to_string(),
            text: text.to_string(),
            span: w.span,
        }),
        label: w.label,
        help: w.help,
    };
    let mut wrong = wrong;
    wrong.sort_by_key(|w| w.span.start);
    render(wrong.into_iter().map(marked), color)
}
