//! The time of a shot, taken in turns.

use std::hint::black_box;
use std::time::Instant;

use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::rig::Rig;

use super::Way;

/// Turns of the timing, and shots of the demonstration case in each.
const TURNS: usize = 100;
const SHOTS: usize = 10;

fn median(times: &mut [f64]) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Prints the table of times; returns the median to freezing of each way [µs].
pub fn print(rigs: &[Rig], demonstration: usize, ways: &[Way]) -> Vec<f64> {
    println!("\nMedian time of a shot, µs\n");
    println!("| | demonstration, to freezing | with late heating | all cases, to freezing |");
    println!("|---|---|---|---|");
    let mut work = Workspace::default();
    let mut clock = |settings: &Settings, rigs: &[Rig], times: usize| {
        let start = Instant::now();
        for rig in rigs.iter().cycle().take(times * rigs.len()) {
            black_box(fire(black_box(rig), settings, &mut work)).expect("a shot");
        }
        start.elapsed().as_secs_f64() * 1e6 / (times * rigs.len()) as f64
    };
    let one = &rigs[demonstration..=demonstration];
    let mut times = vec![[const { Vec::new() }; 3]; ways.len()];
    for _ in 0..TURNS {
        for ((_, settings), times) in ways.iter().zip(&mut times) {
            let until = |until| Settings { until, ..*settings };
            times[0].push(clock(&until(Until::Frozen), one, SHOTS));
            times[1].push(clock(&until(Until::BackFace), one, SHOTS));
            times[2].push(clock(&until(Until::Frozen), rigs, 1));
        }
    }
    let mut out = Vec::new();
    for ((name, _), mut times) in ways.iter().zip(times) {
        let [a, b, c] = [0, 1, 2].map(|k| median(&mut times[k]));
        println!("| {name} | {a:.1} | {b:.1} | {c:.1} |");
        out.push(a);
    }
    out
}
