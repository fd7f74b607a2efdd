//! A long hunt for cases that break reader or solver, to be run on purpose, on all cores:
//!
//! ```text
//! HUNT_CASES=1000000 cargo test --release --test suite hunt -- --ignored --nocapture --test-threads=1
//! ```
//!
//! `HUNT_SEED` draws other cases, `HUNT_WORK` says how much work a shot may take (`common::judge::work`). Progress goes to
//! standard error; each kind of failure is counted, and its first ones are printed as the command line
//! that repeats them, reduced to what the failure needs.

use std::hint::black_box;
use std::path::PathBuf;
use std::thread;
use std::time::Duration;

use crate::common::judge::{case, fine_enthalpy, judge, work};
use crate::common::settings::{Sets, rig};
use crate::common::sweep::{Hunt, Outcome, kind, sweep};
use allocation_counter::measure;
use arcplunge_core::case::Case;
use arcplunge_core::case::read::read_text;
use arcplunge_core::case::template::template;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::mesh::Resolution;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::trace::{each_row, usual_interval};
use arcplunge_core::study::assessment::{Depth, assess};
use proptest::prelude::Rng;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, TestRng, TestRunner};
use rayon::ThreadPoolBuilder;
use rustix::time::{ClockId, clock_gettime};

/// Melt by which the two ways to solve the heat may differ: over the largest melt, of which a weak
/// arc may have let most freeze again, and [m] (a cell of the enthalpy method in a shallow melt).
const APART: (f64, f64) = (0.05, 1e-6);

/// Leaves out every part that is not needed for the same kind of failure.
fn shrink<T: Clone>(parts: &[T], fails: impl Fn(&[T]) -> bool) -> Vec<T> {
    let mut left = parts.to_vec();
    loop {
        let before = left.len();
        let mut n = left.len();
        while n > 0 {
            n -= 1;
            let mut fewer = left.clone();
            fewer.remove(n);
            if fails(&fewer) {
                left = fewer;
            }
        }
        if left.len() == before {
            return left;
        }
    }
}

fn outcome(case: &Case, most: u64) -> Outcome {
    match judge(case, most).and_then(|shot| agrees(case, &shot).map(|()| work(&shot))) {
        Ok(work) => Outcome::Good(vec![work]),
        Err(text) => Outcome::Bad(text),
    }
}

/// Holds the melt by fronts against the melt by enthalpy; where they differ, against a far finer one,
/// as the usual mesh is coarse for little melt that freezes under the arc.
fn agrees(case: &Case, shot: &Shot) -> Result<(), String> {
    let usual = by_enthalpy(case, Resolution::enthalpy())?;
    agrees_with(case, shot, &usual)
        .or_else(|_| agrees_with(case, shot, &by_enthalpy(case, fine_enthalpy())?))
}

/// The shot by the enthalpy method, all of whose steps have settled.
fn by_enthalpy(case: &Case, resolution: Resolution) -> Result<Shot, String> {
    let settings = Settings {
        resolution,
        ..Settings::default()
    };
    let shot = fire(&Rig::new(case), &settings, &mut Workspace::default())
        .map_err(|e| format!("march: {e}"))?;
    match shot.effort.heat_unsettled {
        0 => Ok(shot),
        n => Err(format!("unsettled: {n} steps by enthalpy")),
    }
}

fn agrees_with(case: &Case, shot: &Shot, other: &Shot) -> Result<(), String> {
    let melts = |s: &Shot| [s.figures.melt_stud_m, s.figures.melt_sheet_m];
    for (name, (a, b)) in ["stud", "sheet"]
        .iter()
        .zip(melts(shot).into_iter().zip(melts(other)))
    {
        let (a, b) = (a.unwrap_or(0.0), b.unwrap_or(0.0));
        let largest = other.figures.melt_sheet_max_m.unwrap_or(0.0).max(a).max(b);
        if (a - b).abs() > APART.0 * largest + APART.1 {
            return Err(format!(
                "melt differs: {name}, {a:e} m by fronts, {b:e} m by enthalpy"
            ));
        }
    }
    // Where no limit is near, the verdicts are the same.
    let clear = |s: &Shot| {
        let f = &s.figures;
        let depth = case.model.burn_share * case.sheet.thickness;
        let far = |value: Option<f64>, limit: f64| {
            value.is_none_or(|v| (v - limit).abs() > 2.0 * APART.0 * limit)
        };
        far(f.fill_ratio, 1.0)
            && far(f.vapour_share, case.model.hot_share)
            && far(f.melt_sheet_max_m, depth)
    };
    if shot.verdict != other.verdict && clear(shot) && clear(other) {
        return Err(format!(
            "verdicts differ: {:?} by fronts, {:?} by enthalpy, fill {:?} and {:?}",
            shot.verdict, other.verdict, shot.figures.fill_ratio, other.figures.fill_ratio
        ));
    }
    Ok(())
}

#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_for_cases_that_break_the_solver() {
    let hunt = Hunt::from_env();
    let judged = |sets: &Sets| case(sets).map_or(Outcome::Refused, |c| outcome(&c, hunt.work));
    sweep(
        "rigs",
        &["work of a shot"],
        hunt,
        rigs,
        judged,
        |sets, wanted| {
            let small = wanted.map_or(sets.clone(), |wanted| {
                shrink(sets, |fewer| {
                    matches!(judged(&fewer.to_vec()), Outcome::Bad(text) if kind(&text) == wanted)
                })
            });
            command(&small)
        },
    );
}

/// Rigs drawn over all keys and bounds.
fn rigs(rng: TestRng, count: u64) -> Vec<Sets> {
    let strategy = rig();
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let mut draw = || {
        strategy
            .new_tree(&mut runner)
            .expect("no filters")
            .current()
    };
    (0..count).map(|_| draw()).collect()
}

fn command(sets: &[String]) -> String {
    let line: String = sets.iter().map(|s| format!(" --set '{s}'")).collect();
    format!("arcplunge fire{line}")
}

/// Memory that the assessment of a valid case needs at most \[bytes\].
const MOST_MEMORY: u64 = 100_000_000;

/// Time of one core that it needs at most; twice that is a failure, as machines differ.
const MOST_TIME: Duration = Duration::from_secs(2);

/// Assesses a case in full, with its curves as `fire --csv` has them, on one thread: its time and its memory.
fn cost(case: &Case) -> Result<Vec<u64>, String> {
    let start = thread_time();
    let mut failed = None;
    let memory = measure(|| {
        let all = assess(case.clone(), Vec::new(), Depth::FULL).and_then(|weld| {
            let (rig, shot) = (&weld.rig, &weld.shot);
            let every = usual_interval(shot.length());
            let (settings, mut work) = (Settings::default(), Workspace::default());
            each_row(rig, &settings, shot, every, &mut work, &mut |row| {
                black_box(row);
            })
        });
        failed = all.err();
    });
    let (time, bytes) = (thread_time() - start, memory.bytes_max);
    match failed {
        Some(e) => Err(format!("march: {e}")),
        None if bytes > MOST_MEMORY => Err(format!("memory: {bytes} bytes")),
        None if time > 2 * MOST_TIME => Err(format!("time: {time:?}")),
        None => Ok(vec![time.as_millis() as u64, bytes / 1000]),
    }
}

/// Time this thread has had of its core.
fn thread_time() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec as u64, now.tv_nsec as u32)
}

#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_for_cases_that_take_long_or_much_memory() {
    // A pool of one thread, and one to wait for it: what is measured is that thread's alone.
    let alone = |case: &Case| {
        let pool = ThreadPoolBuilder::new().num_threads(1).build();
        pool.map_err(|e| e.to_string())?.install(|| cost(case))
    };
    let judged = |sets: &Sets| {
        let Some(case) = case(sets) else {
            return Outcome::Refused;
        };
        let waits = thread::scope(|scope| scope.spawn(|| alone(&case)).join());
        match waits.unwrap_or_else(|_| Err("panic".into())) {
            Ok(taken) => Outcome::Good(taken),
            Err(text) => Outcome::Bad(text),
        }
    };
    sweep(
        "costs",
        &["ms of a core", "kB at once"],
        Hunt::from_env(),
        rigs,
        judged,
        |sets, _| command(sets),
    );
}

#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_for_files_that_break_reader_or_solver() {
    let hunt = Hunt::from_env();
    let judged = |text: &String| match read_text("weld.toml", text, &[]) {
        Ok(resolved) => outcome(&resolved.case, hunt.work),
        Err(told) if !told.problems.is_empty() && told.render(true).contains("error") => {
            Outcome::Refused
        }
        Err(_) => Outcome::Bad("refused without a reason".into()),
    };
    sweep(
        "files",
        &["work of a shot"],
        hunt,
        |mut rng, count| (0..count).map(|_| damaged(&mut rng)).collect(),
        judged,
        |text, wanted| {
            let lines: Vec<&str> = text.lines().collect();
            let small = wanted.map_or(lines.clone(), |wanted| {
                shrink(&lines, |fewer| {
                    matches!(judged(&fewer.join("\n")), Outcome::Bad(text) if kind(&text) == wanted)
                })
            });
            if wanted.is_none() {
                let template = template();
                let changed = small.iter().filter(|l| !template.lines().any(|t| t == **l));
                let changed: Vec<&str> = changed.copied().collect();
                return format!(
                    "the template less some lines, with\n    {}",
                    changed.join("\n    ")
                );
            }
            let name = small
                .join("\n")
                .bytes()
                .fold(7_u64, |h, b| h.wrapping_mul(31) + u64::from(b));
            let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name:016x}.toml"));
            std::fs::write(&path, small.join("\n")).expect("a file");
            format!(
                "arcplunge fire {}\n    {}",
                path.display(),
                small.join("\n    ")
            )
        },
    );
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
