//! A long hunt for cases that break the solver, to be run on purpose:
//! `HUNT_CASES=100000 cargo test --release --test hunt -- --ignored --nocapture`.

#[path = "common/mod.rs"]
mod common;

use std::collections::BTreeMap;
use std::time::Duration;

use arcplunge::case::read::read_text;
use arcplunge::case::template::template;
use common::judge::{case, judge};
use common::settings::{Sets, rig};
use proptest::prelude::Rng;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// What is wrong with a case, numbers left out so that like failures fall together.
fn kind(sets: &[String], slow: Duration) -> Option<(String, String)> {
    let case = case(sets)?;
    let text = judge(&case, slow).err()?;
    let kind: String = text
        .chars()
        .filter(|c| !c.is_ascii_digit() && !"+-.".contains(*c))
        .take(24)
        .collect();
    Some((kind, text))
}

/// Leaves out every override that is not needed for the same kind of failure.
fn shrink(sets: &Sets, wanted: &str, slow: Duration) -> Sets {
    let mut left = sets.clone();
    loop {
        let before = left.len();
        let mut n = left.len();
        while n > 0 {
            n -= 1;
            let mut fewer = left.clone();
            fewer.remove(n);
            if kind(&fewer, slow).is_some_and(|(k, _)| k == wanted) {
                left = fewer;
            }
        }
        if left.len() == before {
            return left;
        }
    }
}

#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_for_cases_that_break_the_solver() {
    let read = |name: &str, or: u64| {
        std::env::var(name)
            .ok()
            .and_then(|v| v.parse().ok())
            .unwrap_or(or)
    };
    let (cases, seed) = (read("HUNT_CASES", 2000), read("HUNT_SEED", 1));
    let slow = Duration::from_millis(read("HUNT_SLOW_MS", 50));
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let strategy = rig();
    std::panic::set_hook(Box::new(|_| ()));
    let mut found: BTreeMap<String, usize> = BTreeMap::new();
    let mut valid = 0;
    for _ in 0..cases {
        let sets = strategy
            .new_tree(&mut runner)
            .expect("a strategy without filters")
            .current();
        valid += usize::from(case(&sets).is_some());
        let Some((kind_of, text)) = kind(&sets, slow) else {
            continue;
        };
        let count = found.entry(kind_of.clone()).or_default();
        *count += 1;
        if *count <= 2 {
            let small = shrink(&sets, &kind_of, slow);
            let line: Vec<String> = small.iter().map(|s| format!("--set '{s}'")).collect();
            let text = kind(&small, slow).map_or(text, |k| k.1);
            println!("{text}\n    fire {}", line.join(" "));
        }
    }
    println!("{valid} valid of {cases} cases; failures: {found:#?}");
    let _ = std::panic::take_hook();
    assert!(found.is_empty(), "{} kinds of failure", found.len());
}

/// The template with some of its numbers, words and lines changed at random.
fn damaged(rng: &mut TestRng) -> String {
    let mut lines: Vec<String> = template().lines().map(str::to_string).collect();
    for _ in 0..1 + rng.next_u32() % 6 {
        let at = rng.next_u32() as usize % lines.len();
        let other = rng.next_u32() as usize % lines.len();
        match rng.next_u32() % 10 {
            0 => {
                lines.remove(at);
            }
            1 => lines.insert(other, lines[at].clone()),
            2 => {
                let end = (0..=lines[at].len().min(1 + other))
                    .rev()
                    .find(|&n| lines[at].is_char_boundary(n));
                lines[at].truncate(end.unwrap_or(0));
            }
            3 => lines[at] = lines[at].trim_start_matches("# ").to_string(),
            _ => lines[at] = scaled(&lines[at], rng),
        }
    }
    lines.join("\n")
}

/// The line with its first number replaced.
fn scaled(line: &str, rng: &mut TestRng) -> String {
    let Some(equals) = line.find('=') else {
        return line.to_string();
    };
    let Some(start) = line[equals..]
        .find(|c: char| c.is_ascii_digit())
        .map(|n| n + equals)
    else {
        return line.to_string();
    };
    let end = line[start..]
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .map_or(line.len(), |n| n + start);
    let old: f64 = line[start..end].parse().unwrap_or(1.0);
    let power = f64::from(rng.next_u32() % 4001) / 1000.0 - 2.0;
    let new = match rng.next_u32() % 12 {
        0 => "0".to_string(),
        1 => "-1".to_string(),
        2 => "1e308".to_string(),
        3 => "nan".to_string(),
        _ => format!("{:.4}", old.max(0.1) * 10f64.powf(power)),
    };
    format!("{}{new}{}", &line[..start], &line[end..])
}

#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_for_files_that_break_reader_or_solver() {
    let read = |name: &str, or: u64| {
        std::env::var(name)
            .ok()
            .and_then(|v| v.parse().ok())
            .unwrap_or(or)
    };
    let (cases, seed) = (read("HUNT_CASES", 2000), read("HUNT_SEED", 1));
    let slow = Duration::from_millis(read("HUNT_SLOW_MS", 50));
    let mut bytes = [1; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let mut rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let (mut valid, mut failed) = (0, 0);
    for _ in 0..cases {
        let text = damaged(&mut rng);
        match read_text("weld.toml", &text, &[]) {
            Ok(resolved) => {
                valid += 1;
                if let Err(why) = judge(&resolved.case, slow) {
                    failed += 1;
                    let template = template();
                    let changed: Vec<&str> = text
                        .lines()
                        .filter(|l| !template.lines().any(|t| t == *l))
                        .collect();
                    println!("{why}\n    {}", changed.join("\n    "));
                }
            }
            Err(told) => assert!(
                !told.problems.is_empty() && told.render(true).contains("error"),
                "{text}"
            ),
        }
    }
    println!("{valid} valid of {cases} files, {failed} failures");
    assert_eq!(failed, 0);
}
