//! What is wrong in a text, drawn for a terminal: the line, a caret, what was meant, what helps.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marked {
    /// What, as a sentence.
    pub title: String,
    /// Where; `None` where it concerns the whole.
    pub place: Option<Place>,
    /// A few words at the caret: what was probably meant.
    pub label: Option<String>,
    /// What could be done about it.
    pub help: Option<String>,
}

/// A stretch of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Name of the file, or of what else holds the text.
    pub name: String,
    /// All of the text.
    pub text: String,
    /// Bytes under the caret; an end beyond the text or within a character is moved down.
    pub span: Range<usize>,
}

/// More than this are counted, not shown.
pub(super) const MOST_SHOWN: usize = 20;

/// All that is wrong, one below the other, each drawn as it comes: every one may hold the whole text. No newline at the end.
pub fn render(all: impl ExactSizeIterator<Item = Marked>, color: bool) -> String {
    let renderer = if color {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let more = all.len().saturating_sub(MOST_SHOWN);
    let shown = all.take(MOST_SHOWN);
    let mut parts: Vec<String> = shown
        .map(|marked| renderer.render(&[marked.group()]))
        .collect();
    if more > 0 {
        parts.push(format!("and {more} more of this kind"));
    }
    parts.join("\n\n")
}

impl Marked {
    fn group(&self) -> Group<'_> {
        let title = Level::ERROR.primary_title(&self.title);
        let group = match &self.place {
            None => Group::with_title(title),
            Some(place) => {
                let mut caret = AnnotationKind::Primary.span(within(&place.text, &place.span));
                if let Some(label) = &self.label {
                    caret = caret.label(label);
                }
                title.element(
                    Snippet::source(&place.text)
                        .path(&place.name)
                        .annotation(caret),
                )
            }
        };
        match &self.help {
            Some(help) => group.element(Level::HELP.message(help)),
            None => group,
        }
    }
}

/// A span inside the text, on whole characters, so that drawing it cannot fail.
pub(super) fn within(text: &str, span: &Range<usize>) -> Range<usize> {
    let floor = |at: usize| {
        let at = at.min(text.len());
        (0..=at)
            .rev()
            .find(|&at| text.is_char_boundary(at))
            .unwrap_or(0)
    };
    let start = floor(span.start);
    start..floor(span.end).max(start)
}
