//! A long hunt for cases that break the solver, to be run on purpose:
//! `HUNT_CASES=100000 cargo test --release --test hunt -- --ignored --nocapture`.

#[path = "common/mod.rs"]
mod common;

use std::collections::BTreeMap;
use std::time::Duration;

use common::judge::{case, judge};
use common::settings::{Sets, rig};
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
