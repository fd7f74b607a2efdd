//! Published whole welds beside what this program makes of them.

use super::document::{Block, Document, Tone};
use arcplunge_validation::measured::{Outcome, Row};

/// Columns at which names and words stand on a terminal.
const COLUMNS: [usize; 2] = [2, 12];

/// The experiments one by one, with the counts at the end.
pub fn document(rows: &[Row]) -> Document {
    let mut document = Document::default();
    let b = &mut document.blocks;
    for row in rows {
        b.named(
            format!("{} ({})", row.source, row.known),
            (row.outcome.name().to_string(), tone(row.outcome)),
        );
        let words = [
            ("states", row.states),
            ("assumed", row.assumed),
            ("gives", row.gives.as_str()),
            ("remark", row.remark.as_str()),
        ];
        let pairs = words.map(|(name, words)| ([name; 2], words.to_string()));
        b.0.push(Block::Pairs(COLUMNS, pairs.into()));
        b.gap();
    }
    b.say(summary(rows));
    document
}

/// The experiments as a JSON array.
///
/// # Errors
/// None that is known: all values are text.
pub fn json(rows: &[Row]) -> serde_json::Result<String> {
    serde_json::to_string_pretty(rows)
}

/// How many are met, in a sentence.
pub fn summary(rows: &[Row]) -> String {
    let count = |outcome| rows.iter().filter(|row| row.outcome == outcome).count();
    format!(
        "{} experiments: {} hits, {} misses, {} open. No source gives every input of a shot: what is assumed decides too.",
        rows.len(),
        count(Outcome::Hit),
        count(Outcome::Miss),
        count(Outcome::Open),
    )
}

fn tone(outcome: Outcome) -> Tone {
    match outcome {
        Outcome::Hit => Tone::Good,
        Outcome::Miss => Tone::Wrong,
        Outcome::Open => Tone::Amber,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_validation::measured::rows;

    #[test]
    fn regress_every_experiment_is_told_within_80_columns() {
        let rows = rows();
        let text = document(&rows).text(false);
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        assert_eq!(text.matches("\n  assumed   ").count(), rows.len());
        for outcome in [Outcome::Hit, Outcome::Miss, Outcome::Open] {
            let told = format!(": {}\n", outcome.name());
            let count = rows.iter().filter(|row| row.outcome == outcome).count();
            assert!(count > 0);
            assert_eq!(text.matches(&told).count(), count, "{text}");
        }
    }
}
