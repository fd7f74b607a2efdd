//! The welds worth making next.

use super::words::outcome;
use crate::cautions;
use crate::document::{Blocks, Table};
use crate::format::percent;
use arcplunge_core::study::calibrate::advice::{Advice, Next};
use arcplunge_core::study::calibrate::found::Found;

/// Most outcomes that are told.
const OUTCOMES: usize = 4;

/// Digits of what is only expected.
const ROUGH: usize = 2;

/// Advice, where it was asked for.
pub(super) fn next(b: &mut Blocks, found: &Found) {
    let Some(advice) = &found.advice else {
        return;
    };
    b.gap();
    b.heading(3, "The next welds");
    for (n, weld) in advice.next.iter().enumerate() {
        one(b, found, n, weld);
    }
    if let Some(words) = enough(found, advice) {
        b.say(words);
    }
    let vary = &found.asked.vary;
    let settings = advice.next.iter().flat_map(|weld| {
        vary.iter()
            .map(|v| &v.address)
            .zip(weld.values.iter().copied())
    });
    if let Some(words) = cautions::nameplate(&found.problem.base, settings) {
        b.say(words);
    }
}

/// That a further weld would hardly move the setting, or that there is none to be found; `None` where there is.
pub(super) fn enough(found: &Found, advice: &Advice) -> Option<String> {
    let step = found.asked.vary[0].short(found.asked.step);
    let another = if advice.next.is_empty() {
        "Another"
    } else {
        "A further"
    };
    if advice.next.is_empty() && !advice.enough {
        let nowhere = "Hardly a rig that fits these welds has a sound window in this range: widen --vary, or change the set-up.";
        return Some(nowhere.into());
    }
    advice.enough.then(|| {
        format!(
            "{another} weld would hardly move the setting: by less than half a step of the dial ({step})."
        )
    })
}

fn one(b: &mut Blocks, found: &Found, n: usize, weld: &Next) {
    let vary = &found.asked.vary;
    let keys = vary.iter().zip(&weld.values);
    let keys: Vec<String> = keys
        .map(|(v, value)| format!("{} = {}", v.address, v.short(*value)))
        .collect();
    let first = &vary[0];
    b.line(format!(
        "{}. {}   moves the middle of the window by some {}",
        n + 1,
        keys.join(", "),
        first.number.short(weld.moves, ROUGH)
    ));
    if !weld.supposed.is_empty() {
        let seen: Vec<String> = weld.supposed.iter().map(|seen| outcome(*seen)).collect();
        b.note(format!(
            "Suppose that the most probable was seen before: {}.",
            seen.join("; then ")
        ));
    }
    let mut table = Table::new(
        "      {:<28} {:>6}   {}",
        ["if", "chance", "then the middle is"],
        1,
    );
    for meaning in weld.outcomes.iter().take(OUTCOMES) {
        let (middle, deviation) = meaning.middle;
        table.row([
            outcome(meaning.outcome),
            percent(meaning.probability),
            format!(
                "{} ± {}",
                first.short(middle),
                first.number.short(deviation, ROUGH)
            ),
        ]);
    }
    b.table(table);
}
