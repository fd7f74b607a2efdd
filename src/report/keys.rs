//! Every key of a case with its value and where it came from, for paper: what differs from the demonstration
//! case in full, the others folded.

use super::document::{Block, Blocks, Table};
use arcplunge_core::case::Case;
use arcplunge_core::case::model::Metal;
use arcplunge_core::case::read::{Origin, Origins};
use arcplunge_core::case::settings::{Setting, figures_of, metal_settings, settings};

/// The keys of a case.
pub fn case(b: &mut Blocks, case: &Case, origins: &Origins) {
    keys(b, case, origins, &[], metal_settings(case));
}

/// The same without `out`, the keys that are varied, and with the figures of `metals`.
pub fn case_without(
    b: &mut Blocks,
    case: &Case,
    origins: &Origins,
    out: &[&str],
    metals: &[Metal],
) {
    let metals = metals.iter().flat_map(figures_of);
    keys(b, case, origins, out, metals.collect());
}

fn keys(b: &mut Blocks, case: &Case, origins: &Origins, out: &[&str], metals: Vec<Setting>) {
    b.heading(2, "The case");
    // The origins know the metals of the case only.
    let own: Vec<String> = metal_settings(case).into_iter().map(|s| s.path).collect();
    let usual = Case::default();
    let known: Vec<Setting> = [settings(&usual), metal_settings(&usual)].concat();
    let shown = settings(case)
        .into_iter()
        .filter(|s| !out.contains(&s.path.as_str()));
    let (same, changed): (Vec<_>, Vec<_>) = shown.chain(metals).partition(|s| known.contains(s));
    let mut table = Table::new("   {:<32} {:<20} {}", ["key", "value", "origin"], 3);
    for s in &changed {
        let of_catalogue = s.path.starts_with("metal.") && !own.contains(&s.path);
        let origin = match origins.of_whole(&s.path) {
            _ if of_catalogue => "catalogue".to_string(),
            Origin::Default => "set by a fault".to_string(),
            given => given.to_string(),
        };
        table.row([s.path.clone(), valued(s), origin]);
    }
    if changed.is_empty() {
        b.say("Every key is as in the demonstration case.");
    } else {
        b.table(table);
    }
    if !same.is_empty() {
        let summary = format!("{} keys as in the demonstration case", same.len());
        let pairs = same.iter().map(|s| (s.path.clone(), valued(s)));
        b.0.push(Block::Folded(summary, pairs.collect()));
    }
}

/// A value, and what a name stands for.
fn valued(s: &Setting) -> String {
    if s.remark.is_empty() {
        s.value.clone()
    } else {
        format!("{} ({})", s.value, s.remark)
    }
}
