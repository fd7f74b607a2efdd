//! What of a case's file is more than a default: of a case that goes on to be changed, the rest must be free to follow.

use std::collections::HashSet;

use arcplunge_core::case::keys::{Address, find};
use arcplunge_core::case::read::{Origin, Resolved};

/// The lines of a case's file, each with the head it stands under; a head under itself.
fn lines(text: &str) -> impl Iterator<Item = (&str, &str)> {
    text.lines().scan("", |head, line| {
        if line.starts_with('[') {
            *head = line;
        }
        Some((*head, line))
    })
}

/// Of the whole file of a case, `all`, what was given; `read` makes the file of the case that some lines make.
pub fn given(all: &str, resolved: &Resolved, read: impl Fn(&str) -> Option<String>) -> String {
    let kept = |also: &dyn Fn(&(&str, &str)) -> bool| -> String {
        let kept = lines(all).filter(|part| is_given(*part, resolved) || also(part));
        kept.map(|(_, line)| format!("{line}\n")).collect()
    };
    // What was given in other words, as a share of the arc by pole, shows in what the first reading lacks.
    let first = read(&kept(&|_| false)).unwrap_or_default();
    let there: HashSet<(&str, &str)> = lines(&first).collect();
    let found = kept(&|part| !there.contains(part));
    match read(&found).as_deref() == Some(all) {
        true => found,
        false => all.to_string(),
    }
}

/// Whether a line is more than a default. Leads and spreads stand under other heads than their keys, and the figures of a
/// metal belong together: they stay.
fn is_given((head, line): (&str, &str), resolved: &Resolved) -> bool {
    let Some((name, _)) = line.split_once(" = ") else {
        return true;
    };
    let section = head.trim_start_matches('[').trim_end_matches(']');
    let key = match section {
        "" => name.to_string(),
        section => format!("{section}.{name}"),
    };
    let Ok(Address::Case(_)) = find(&key) else {
        return true;
    };
    let origin = resolved.origins.of_whole(&key);
    !matches!(origin, Origin::Default | Origin::Catalogue(_))
}
