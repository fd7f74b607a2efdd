//! The tables of a contrast, 80 columns: figures side by side or on their side, and ledger moves.

use super::rows::{ROWS, Row, signed};
use crate::format::wrap;
use arcplunge_core::study::contrast::{Contrast, Fired, ledger_moves};

/// Most variations that stand side by side.
pub const SIDE_BY_SIDE: usize = 3;

const NAME: usize = 17;
const BASE: usize = 11;
const COLUMN: usize = 16;

/// Figures with base and variations side by side; for at most [`SIDE_BY_SIDE`] of them.
pub fn upright(c: &Contrast) -> Vec<String> {
    // Value and change on one line where there is room for both.
    let wide = c.variations.len() < SIDE_BY_SIDE;
    let column = if wide { 24 } else { COLUMN };
    let names = c.variations.iter().map(|v| head(&v.name, column - 1));
    let heads: Vec<Vec<String>> = names.collect();
    let height = heads.iter().map(Vec::len).max().unwrap_or(1);
    let mut out = Vec::new();
    for n in 0..height {
        // Heads stand on the line of the rule.
        let at = |lines: &Vec<String>| {
            let first = height - lines.len();
            n.checked_sub(first)
                .map_or(String::new(), |k| lines[k].clone())
        };
        let last = n + 1 == height;
        let mut line = if last {
            format!("   {:<NAME$}{:>BASE$}", "figures", "base")
        } else {
            " ".repeat(3 + NAME + BASE)
        };
        for lines in &heads {
            line += &format!("{:>column$}", at(lines));
        }
        out.push(line.trim_end().to_string());
    }
    let base = &c.base.shot.figures;
    for row in &ROWS {
        let shots = std::iter::once(&c.base).chain(&c.variations);
        if shots.clone().all(|s| (row.of)(&s.shot.figures).is_none()) {
            continue;
        }
        let mut line = format!("   {:<NAME$}{:>BASE$}", row.name, row.value(base));
        let mut changes = " ".repeat(3 + NAME + BASE);
        for v in &c.variations {
            let f = &v.shot.figures;
            let change = row.difference(base, f);
            // A figure that stayed is not repeated.
            let same = change.starts_with("0 ");
            let value = if same { "same".into() } else { row.value(f) };
            let change = if same { "" } else { change.as_str() };
            if wide {
                line += &format!("{value:>14}{change:>10}");
            } else {
                line += &format!("{value:>COLUMN$}");
                changes += &format!("{change:>COLUMN$}");
            }
        }
        out.push(line.trim_end().to_string());
        if !changes.trim().is_empty() {
            out.push(changes.trim_end().to_string());
        }
    }
    out
}

/// A name broken at its joints to `room` characters.
fn head(name: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for part in name.split_inclusive(['-', '+', ',', '=']) {
        let mut part: Vec<char> = part.chars().collect();
        while !part.is_empty() {
            let line = lines.last_mut().expect("there is always a line");
            let free = room - line.chars().count();
            if part.len() <= free {
                line.extend(part.drain(..));
            } else if line.is_empty() {
                line.extend(part.drain(..room));
            } else {
                lines.push(String::new());
            }
        }
    }
    lines
}

/// Key figures on their side: a few lines a variation, any number of them.
pub fn lying(c: &Contrast) -> Vec<String> {
    const LEAD: usize = 24;
    const CELL: usize = 8;
    let columns: [(&str, &str, &str); 7] = [
        ("peak current", "peak", "kA"),
        ("arc time", "arc", "ms"),
        ("arc energy", "arc", "J"),
        ("melt, sheet", "melt", "µm"),
        ("fill", "fill", ""),
        ("boiled off", "boiled", "%"),
        ("touchdown speed", "down at", "m/s"),
    ];
    let row = |name: &str| ROWS.iter().find(|r| r.name == name);
    let rows: Vec<&Row> = columns.iter().filter_map(|c| row(c.0)).collect();
    let scale = |unit: &str| match unit {
        "kA" => 1e-3,
        "ms" => 1e3,
        "µm" => 1e6,
        "%" => 100.0,
        _ => 1.0,
    };
    let line = |lead: &str, cells: Vec<String>| {
        let mut line = format!("{lead:<LEAD$}");
        for cell in cells {
            line += &format!("{cell:>CELL$}");
        }
        line.trim_end().to_string()
    };
    let values = |s: &Fired| {
        let cell = |(row, (_, _, unit)): (&&Row, &(&str, &str, &str))| {
            let value = (row.of)(&s.shot.figures);
            value.map_or("none".into(), |v| {
                crate::format::significant(v * scale(unit), 3)
            })
        };
        rows.iter().zip(&columns).map(cell).collect()
    };
    let verdict = |s: &Fired| {
        let word = s.shot.verdict.map_or("discharge test", |v| v.name());
        let unsure = s.band.as_ref().is_some_and(|b| b.borderline);
        format!("  {word}{}", if unsure { ", borderline" } else { "" })
    };
    let mut out = vec![
        line("figures", columns.iter().map(|c| c.1.to_string()).collect()),
        line("", columns.iter().map(|c| c.2.to_string()).collect()),
        "base".to_string(),
        line(&verdict(&c.base), values(&c.base)),
    ];
    for v in &c.variations {
        out.extend(wrap(&v.name, 80));
        out.push(line(&verdict(v), values(v)));
        let (a, b) = (&c.base.shot.figures, &v.shot.figures);
        let changes = rows.iter().map(|row| {
            let change = row.difference(a, b);
            change.replace(" pts", " pt")
        });
        out.push(line("  against the base", changes.collect()));
    }
    out
}

/// Least share of the bank that a move must have to be named.
const SMALL: f64 = 0.002;

/// Where the joules moved, with bars to either side.
pub fn moves(c: &Contrast, v: &Fired) -> Vec<String> {
    const BAR: usize = 16;
    let stored = c.base.shot.figures.stored_energy_J;
    let all = ledger_moves(&c.base.shot, &v.shot);
    let (large, small): (Vec<_>, Vec<_>) =
        all.iter().partition(|m| m.gain().abs() >= SMALL * stored);
    let head = format!(
        "   {:<24} {:>8} {:>10}",
        "where the joules moved", "base", "now"
    );
    let mut out = vec![head];
    if large.is_empty() {
        out.push("   no element gained or lost 0.2 % of the bank".to_string());
        return out;
    }
    let most = large[0].gain().abs();
    for m in &large {
        let length = (m.gain().abs() / most * BAR as f64).round() as usize;
        let sign = if m.gain() < 0.0 { "░" } else { "█" };
        out.push(
            format!(
                "   {:<24} {:>8.1} {:>10.1} J {:>+9.1} J  {}",
                m.name,
                m.from,
                m.to,
                m.gain(),
                sign.repeat(length.max(1))
            )
            .replace(" -", " −"),
        );
    }
    let rest: f64 = small.iter().map(|m| m.gain()).sum();
    let (a, b) = (
        c.base.shot.figures.stored_energy_J,
        v.shot.figures.stored_energy_J,
    );
    out.push(
        format!(
            "   {:<24} {:>8} {:>10}   {rest:>+9.1} J",
            "all the rest", "", ""
        )
        .replace(" -", " −"),
    );
    out.push(format!(
        "   {:<24} {a:>8.1} {b:>10.1} J {:>11}",
        "the whole bank",
        signed(b - a, "J")
    ));
    out
}

/// Where the joules moved, as a sentence: the three largest gains and losses.
pub fn moves_in_words(c: &Contrast, v: &Fired) -> String {
    let stored = c.base.shot.figures.stored_energy_J;
    let all = ledger_moves(&c.base.shot, &v.shot);
    let some = |gains: bool| {
        let named: Vec<String> = all
            .iter()
            .filter(|m| m.gain().abs() >= SMALL * stored && (m.gain() > 0.0) == gains)
            .take(3)
            .map(|m| format!("{} {}", m.name, signed(m.gain(), "J")))
            .collect();
        named.join(", ")
    };
    let (more, less) = (some(true), some(false));
    match (more.is_empty(), less.is_empty()) {
        (true, true) => "no element gained or lost 0.2 % of the bank.".to_string(),
        (false, true) => format!("more into {more}."),
        (true, false) => format!("less into {less}."),
        _ => format!("more into {more}; less into {less}."),
    }
}

#[cfg(test)]
mod tests {
    use super::head;

    #[test]
    fn heads_break_at_their_joints() {
        assert_eq!(head("loose-clamp", 15), ["loose-clamp"]);
        assert_eq!(
            head("fired-before-full-charge", 15),
            ["fired-before-", "full-charge"]
        );
        assert_eq!(head("lead.length=12m", 15), ["lead.length=12m"]);
        assert!(head(&"x".repeat(40), 15).iter().all(|l| l.len() <= 15));
    }
}
