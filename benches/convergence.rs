//! How far the heat's figures are from a far finer run, and what a shot costs:
//! `cargo bench --bench convergence`.
//!
//! For both methods, over the cases of tests/reference/cases: the largest and the mean deviation of
//! each figure from the finest run of the fronts and of the enthalpy method, and the median time of
//! a shot to freezing, taken in turns so that the machine's other work hits all alike.

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use arcplunge::case::read;
use arcplunge::cycle::fire::{Settings, Workspace, fire};
use arcplunge::cycle::heating::Until;
use arcplunge::cycle::mesh::{Cells, Resolution};
use arcplunge::cycle::rig::Rig;
use serde_json::Value;

const FIGURES: [&str; 8] = [
    "melt_stud_m",
    "melt_sheet_m",
    "melt_sheet_max_m",
    "closed_m",
    "freeze_s",
    "cooling_rate_K_per_s",
    "back_face_K",
    "vapour_share",
];

/// Vapour shares below this are told apart by the meshes only.
const LITTLE_VAPOUR: f64 = 2e-3;

/// Turns of the timing.
const TURNS: usize = 60;

fn settings(resolution: Resolution, until: Until) -> Settings {
    Settings {
        resolution,
        until,
        ..Settings::default()
    }
}

/// Cells divided by `cells` in width and steps by `steps` in length.
fn finer(r: Resolution, cells: Cells, by: f64, steps: f64) -> Resolution {
    Resolution {
        cells,
        first_cell: r.first_cell / by,
        arc_steps: (r.arc_steps as f64 * steps) as usize,
        contact_step: r.contact_step / steps,
        growth: r.growth.powf(1.0 / steps),
        longest: r.longest / steps,
        late_growth: r.late_growth.powf(1.0 / steps),
        ..r
    }
}

fn figures(rig: &Rig, resolution: Resolution) -> Value {
    let settings = settings(resolution, Until::BackFace);
    let shot = fire(rig, &settings, &mut Workspace::default()).expect("a shot");
    if shot.effort.heat_imbalance > 1e-9 {
        println!(
            "IMB {:e} {} {}",
            shot.effort.heat_imbalance, shot.effort.heat_steps, shot.effort.heat_solves
        );
    }
    serde_json::to_value(shot.figures).expect("figures")
}

fn table(title: &str, rigs: &[(String, Rig)], finest: Resolution, rows: &[(&str, Resolution)]) {
    println!("\nDeviation from {title}, per cent: largest (mean)\n");
    println!("| | {} |", FIGURES.join(" | "));
    println!("|---|{}", "---|".repeat(FIGURES.len()));
    let truth: Vec<Value> = rigs.iter().map(|(_, r)| figures(r, finest)).collect();
    let detail = std::env::var_os("CONVERGENCE_DETAIL").is_some();
    for (name, resolution) in rows {
        let mut cells = Vec::new();
        let own: Vec<Value> = rigs.iter().map(|(_, r)| figures(r, *resolution)).collect();
        for figure in FIGURES {
            let mut worst = 0.0f64;
            let (mut sum, mut n) = (0.0, 0);
            for ((t, o), (case, _)) in truth.iter().zip(&own).zip(rigs) {
                let (Some(t), Some(o)) = (t[figure].as_f64(), o[figure].as_f64()) else {
                    continue;
                };
                if t == 0.0 || (figure == "vapour_share" && t < LITTLE_VAPOUR) {
                    continue;
                }
                let deviation = 100.0 * (o / t - 1.0);
                if detail {
                    println!("  {name} {case} {figure} {t:.6e} {o:.6e} {deviation:+.3}");
                }
                worst = worst.max(deviation.abs());
                sum += deviation.abs();
                n += 1;
            }
            cells.push(format!("{worst:.3} ({:.3})", sum / f64::from(n.max(1))));
        }
        println!("| {name} | {} |", cells.join(" | "));
    }
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn timing(rigs: &[(String, Rig)], rows: &[(&str, Resolution)]) {
    println!("\nMedian time of a shot, µs: demonstration case, and mean of all cases\n");
    println!("| | to freezing | all cases | with late heating | steps | solves |");
    println!("|---|---|---|---|---|---|");
    let mut work = Workspace::default();
    let runs: Vec<(Settings, Settings)> = rows
        .iter()
        .map(|(_, r)| (settings(*r, Until::Frozen), settings(*r, Until::BackFace)))
        .collect();
    let demonstration = &rigs
        .iter()
        .find(|(n, _)| n == "demonstration")
        .expect("the case")
        .1;
    let mut times = vec![[const { Vec::new() }; 3]; rows.len()];
    for _ in 0..TURNS {
        for (k, (frozen, late)) in runs.iter().enumerate() {
            let mut clock = |settings: &Settings, rigs: &mut dyn Iterator<Item = &Rig>, n: f64| {
                let start = Instant::now();
                for rig in rigs {
                    black_box(fire(black_box(rig), settings, &mut work)).expect("a shot");
                }
                start.elapsed().as_secs_f64() * 1e6 / n
            };
            times[k][0].push(clock(
                frozen,
                &mut std::iter::repeat_n(demonstration, 20),
                20.0,
            ));
            let all = rigs.len() as f64;
            times[k][1].push(clock(frozen, &mut rigs.iter().map(|r| &r.1), all));
            times[k][2].push(clock(
                late,
                &mut std::iter::repeat_n(demonstration, 20),
                20.0,
            ));
        }
    }
    for ((name, _), ((frozen, _), times)) in rows.iter().zip(runs.iter().zip(times)) {
        let effort = fire(demonstration, frozen, &mut work)
            .expect("a shot")
            .effort;
        let [a, b, c] = times.map(median);
        println!(
            "| {name} | {a:.1} | {b:.1} | {c:.1} | {} | {} |",
            effort.heat_steps, effort.heat_solves
        );
    }
}

fn main() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/cases");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the cases")
        .map(|e| e.expect("a case").path())
        .collect();
    paths.sort();
    let rigs: Vec<(String, Rig)> = paths
        .iter()
        .map(|path| {
            let case = read::read_file(path, &[]).expect("a case").case;
            let name = path.file_stem().expect("a name").to_string_lossy();
            (name.into_owned(), Rig::new(&case))
        })
        .collect();
    let (fronts, enthalpy) = (Resolution::fronts(), Resolution::enthalpy());
    let rows = [
        ("fronts", fronts),
        ("fronts, coarse", finer(fronts, Cells::Coarse, 0.7, 0.7)),
        ("fronts, fine", finer(fronts, Cells::Fine, 2.0, 2.0)),
        ("enthalpy", enthalpy),
        ("enthalpy, fine", finer(enthalpy, Cells::Fine, 2.0, 2.0)),
    ];
    table(
        "the fronts at 4 times the cells and 8 times the steps",
        &rigs,
        finer(fronts, Cells::Finest, 4.0, 8.0),
        &rows,
    );
    table(
        "the enthalpy method at 4 times the cells and 4 times the steps",
        &rigs,
        finer(enthalpy, Cells::Finest, 4.0, 4.0),
        &rows,
    );
    if std::env::var_os("NO_TIMING").is_none() {
        timing(&rigs, &rows);
    }
}
