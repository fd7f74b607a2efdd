//! Where the joules moved between the base and a variation: bars to either side, or a sentence.

use crate::document::{Blocks, Cell, Medium, Style, Table};
use crate::format::engineering;
use crate::quantity::signed;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::{LedgerMove, ledger_moves};

/// Least share of the bank that a move must have to be named.
const SMALL: f64 = 0.002;

/// Characters of the longest bar.
const BAR: usize = 16;

/// What there is to say where nothing moved.
const NOTHING: &str = "no element gained or lost 0.2 % of the bank";

/// Moves, largest first: those that are named and the others.
fn all(base: &Assessment, v: &Assessment) -> (Vec<LedgerMove>, Vec<LedgerMove>) {
    let least = SMALL * base.shot.figures.stored_energy_J;
    let all = ledger_moves(&base.shot, &v.shot).into_iter();
    all.partition(|m| m.gain().abs() >= least)
}

/// The moves as bars.
pub fn table(b: &mut Blocks, base: &Assessment, v: &Assessment) {
    let (large, small) = all(base, v);
    let head = [
        Cell::both("where the joules moved", "element"),
        "base".into(),
        // Above the number, not its unit.
        Cell::both("now  ", "now"),
        Cell::both("", "change"),
        "".into(),
    ];
    let mut table = Table::new("   {:<24} {:>8} {:>12} {:>11}  {}", head, 1);
    table.style = Style::Bars;
    let Some(most) = large.first().map(|m| m.gain().abs()) else {
        table.only(Medium::Text, [NOTHING]);
        b.in_text(|b| b.table(table));
        b.on_paper(|b| b.say("No element gained or lost 0.2 % of the bank."));
        return;
    };
    for m in &large {
        let share = m.gain().abs() / most;
        let length = (share * BAR as f64).round().max(1.0) as usize;
        let less = m.gain() < 0.0;
        let bar = if less { "░" } else { "█" }.repeat(length);
        table.row([
            m.name.as_str().into(),
            Cell::both(format!("{:.1}", m.from), engineering(m.from, "J")),
            Cell::both(format!("{:.1} J", m.to), engineering(m.to, "J")),
            Cell::both(joules(m.gain()), signed(m.gain(), "J")),
            Cell::drawn(bar, share, less),
        ]);
    }
    let rest: f64 = small.iter().map(LedgerMove::gain).sum();
    let [from, to] = [base, v].map(|s| s.shot.figures.stored_energy_J);
    let rest = ["other", "", "", &joules(rest)];
    table.only(Medium::Text, rest);
    let whole = [
        &format!("{from:.1}"),
        &format!("{to:.1} J"),
        &signed(to - from, "J"),
    ];
    table.only(
        Medium::Text,
        ["the whole bank", whole[0], whole[1], whole[2]],
    );
    b.table(table);
}

/// "+12.3 J", "−4.0 J".
fn joules(value: f64) -> String {
    format!("{value:+.1} J").replace('-', "−")
}

/// The three largest gains and losses as a sentence.
pub fn words(base: &Assessment, v: &Assessment) -> String {
    let (large, _) = all(base, v);
    let some = |gains: bool| {
        let named = large.iter().filter(|m| (m.gain() > 0.0) == gains).take(3);
        let named = named.map(|m| format!("{} {}", m.name, signed(m.gain(), "J")));
        named.collect::<Vec<_>>().join(", ")
    };
    let (more, less) = (some(true), some(false));
    match (more.is_empty(), less.is_empty()) {
        (true, true) => format!("{NOTHING}."),
        (false, true) => format!("more into {more}."),
        (true, false) => format!("less into {less}."),
        _ => format!("more into {more}; less into {less}."),
    }
}
