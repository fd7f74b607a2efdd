//! The figures of a comparison: side by side or on their side on a terminal, in groups on paper.

use crate::document::Table;
use crate::format::{significant, wrap};
use crate::quantity::{Figure, compared};
use crate::verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::Comparison;

/// Columns of a variation's figures, where value and change stand beside each other, and where below.
const BESIDE: usize = 24;
const BELOW: usize = 16;

/// A figure of a variation that stayed as in the base is not repeated.
fn held(row: &Figure, base: &Assessment, v: &Assessment) -> (String, String) {
    let change = row.difference(&base.shot.figures, &v.shot.figures);
    match change.starts_with("0 ") {
        true => ("same".into(), String::new()),
        false => (row.value(&v.shot.figures), change),
    }
}

/// The figures that at least one of the shots has.
fn rows<'a>(
    shots: impl Iterator<Item = &'a Assessment> + Clone,
) -> impl Iterator<Item = &'static Figure> {
    let there = move |row: &&Figure| shots.clone().any(|s| row.of(&s.shot.figures).is_some());
    compared().filter(there)
}

/// Figures with base and a few variations side by side: their heads, and the rows.
pub fn upright(c: &Comparison) -> Vec<Table> {
    // Value and change on one line where there is room for both.
    let wide = c.variations.len() < 3;
    let column = if wide { BESIDE } else { BELOW };
    let names = c.variations.iter().map(|v| head(&v.name, column - 1));
    let names: Vec<Vec<String>> = names.collect();
    let height = names.iter().map(Vec::len).max().unwrap_or(1);
    let layout = |column: &str| format!("   {{:<17}}{{:>11}}{}", column.repeat(names.len()));
    let mut heads = Table::of(layout(&format!("{{:>{column}}}")), Vec::new(), 1);
    for n in 0..height {
        let last = if n + 1 == height {
            ["figures", "base"]
        } else {
            [""; 2]
        };
        // Short names stand on the lowest line.
        let part = |lines: &Vec<String>| {
            let line = (n + lines.len()).checked_sub(height);
            line.map_or(String::new(), |line| lines[line].clone())
        };
        heads.cells(
            last.map(String::from)
                .into_iter()
                .chain(names.iter().map(part)),
        );
    }
    let values = if wide { "{:>14}{:>10}" } else { "{:>16}" };
    let mut table = Table::of(layout(values), Vec::new(), 1);
    for row in rows(std::iter::once(&c.base).chain(&c.variations)) {
        let mut cells = vec![row.compared.to_string(), row.value(&c.base.shot.figures)];
        let mut below = vec![String::new(); 2];
        for v in &c.variations {
            let (value, change) = held(row, &c.base, v);
            cells.push(value);
            if wide { &mut cells } else { &mut below }.push(change);
        }
        table.cells(cells);
        if below.iter().any(|change| !change.is_empty()) {
            table.cells(below);
        }
    }
    vec![heads, table]
}

/// Figures of the base and a group of variations, each change in brackets.
pub fn on_paper(base: &Assessment, group: &[Assessment]) -> Table {
    let names = group.iter().map(|v| v.name.as_str());
    let head = ["figure", "base"].into_iter().chain(names);
    let mut table = Table::of("", head.map(Into::into).collect(), 1);
    for row in rows(std::iter::once(base).chain(group)) {
        let mut cells = vec![row.compared.to_string(), row.value(&base.shot.figures)];
        cells.extend(group.iter().map(|v| match held(row, base, v) {
            (value, change) if change.is_empty() => value,
            (value, change) => format!("{value} ({change})"),
        }));
        table.cells(cells);
    }
    table
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

/// Figures on their side: name in the list of figures, two lines of head, and what an SI value is multiplied by.
const LYING: [(&str, [&str; 2], f64); 7] = [
    ("peak current", ["peak", "kA"], 1e-3),
    ("arc time", ["arc", "ms"], 1e3),
    ("arc energy", ["arc", "J"], 1.0),
    ("melt, sheet", ["melt", "µm"], 1e6),
    ("fill", ["fill", ""], 1.0),
    ("boiled off", ["boiled", "%"], 100.0),
    ("touchdown speed", ["down at", "m/s"], 1.0),
];

/// Columns before the figures.
const LEAD: usize = 24;

/// Key figures on their side: a few lines a variation, any number of them.
pub fn lying(c: &Comparison) -> Table {
    let layout = format!("{{:<{LEAD}}}{}", "{:>8}".repeat(LYING.len()));
    let mut table = Table::of(layout, Vec::new(), 1);
    let mut line = |lead: String, cells: &mut dyn Iterator<Item = String>| {
        table.cells(std::iter::once(lead).chain(cells));
    };
    let columns = || {
        LYING.iter().filter_map(|(name, _, scale)| {
            let row = compared().find(|row| row.compared == *name)?;
            Some((row, scale))
        })
    };
    for (part, lead) in ["figures", ""].into_iter().enumerate() {
        line(
            lead.into(),
            &mut LYING.iter().map(|c| c.1[part].to_string()),
        );
    }
    for s in std::iter::once(&c.base).chain(&c.variations) {
        for part in wrap(&s.name, 80) {
            line(part, &mut std::iter::empty());
        }
        let mut word = format!("  {}", verdict::full(s).0);
        if word.chars().count() > LEAD {
            line(std::mem::take(&mut word), &mut std::iter::empty());
        }
        let values = columns().map(|(row, scale)| {
            let value = row.of(&s.shot.figures);
            value.map_or("none".into(), |v| significant(v * scale, 3))
        });
        line(word, &mut { values });
        if !std::ptr::eq(s, &c.base) {
            let changes = columns().map(|(row, _)| {
                let change = row.difference(&c.base.shot.figures, &s.shot.figures);
                change.replace(" pts", " pt")
            });
            line("  against the base".into(), &mut { changes });
        }
    }
    table
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
