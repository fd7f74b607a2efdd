//! A shot from trigger to freezing, timed for benches/peers/run:
//! `cargo bench --bench peers -- CASE.toml SHOTS [enthalpy]`.
//!
//! Prints the figures and the seconds of processor time of each shot as JSON. The first shot warms up and does not
//! count. `enthalpy` takes the method that the peers take. Without arguments it fires the demonstration case.

use std::hint::black_box;
use std::path::Path;

use arcplunge_core::case::{Case, read};
use arcplunge_core::simulation::discharge::discharge;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::mesh::Resolution;
use arcplunge_core::simulation::rig::Rig;
use rustix::time::{ClockId, clock_gettime};
use serde_json::json;

fn main() {
    // Cargo adds an argument of its own.
    let mut arguments = std::env::args().skip(1).filter(|a| a != "--bench");
    let case = match arguments.next() {
        Some(path) => {
            read::read_file(Path::new(&path), &[])
                .unwrap_or_else(|e| panic!("{}", e.render(false)))
                .case
        }
        None => Case::default(),
    };
    let shots: usize = arguments
        .next()
        .map_or(100, |n| n.parse().expect("a number of shots"));

    let rig = Rig::new(&case);
    let settings = Settings {
        until: Until::Frozen,
        resolution: match arguments.next().as_deref() {
            None => Resolution::default(),
            Some("enthalpy") => Resolution::enthalpy(),
            Some(other) => panic!("no method {other}"),
        },
        ..Settings::default()
    };
    let mut work = Workspace::default();
    let warm = fire(&rig, &settings, &mut work).expect("a shot");
    let seconds: Vec<f64> = (0..shots)
        .map(|_| {
            let start = now();
            black_box(fire(black_box(&rig), &settings, &mut work)).expect("a shot");
            now() - start
        })
        .collect();
    let alone: Vec<f64> = (0..shots)
        .map(|_| {
            let start = now();
            discharge(
                black_box(&rig),
                settings.tolerance,
                &mut work.discharge,
                None,
            )
            .expect("a discharge");
            now() - start
        })
        .collect();
    println!(
        "{}",
        json!({"figures": warm.figures, "effort": warm.effort, "shot_s": seconds, "march_s": alone})
    );
}

/// Processor time: other work on the machine does not count.
fn now() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    time.tv_sec as f64 + 1e-9 * time.tv_nsec as f64
}
