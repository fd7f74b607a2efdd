//! How far a shot's figures are from a far finer run, and what a shot costs:
//! `cargo bench --bench convergence`.
//!
//! Over the cases of tests/reference/cases: the march at several tolerances against a second solver, and
//! both methods of the heat on several meshes against their finest; then the median time of a shot,
//! taken in turns so that the machine's other work hits all alike. With `ARCPLUNGE_WRITE_DOCS=1` the
//! picture of the handbook is drawn anew.

mod draw;
mod timing;

use std::path::Path;

use arcplunge_core::case::read;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire_by};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::integrator::{Own, Solver, Tolerance};
use arcplunge_core::simulation::mesh::{Cells, Resolution};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_validation::dop853::Library;
use serde_json::Value;

const HEAT: [&str; 8] = [
    "melt_stud_m",
    "melt_sheet_m",
    "melt_sheet_max_m",
    "squeeze_travel_m",
    "freeze_s",
    "cooling_rate_K_per_s",
    "back_face_K",
    "vapour_share",
];
const MARCH: [&str; 6] = [
    "peak_current_A",
    "ignition_s",
    "touchdown_s",
    "current_end_s",
    "touchdown_speed_m_per_s",
    "arc_energy_J",
];

/// Vapour shares below this are told apart by the meshes only.
const LITTLE_VAPOUR: f64 = 2e-3;

/// A way to fire, with its name.
type Way = (String, Settings);

/// Deviation of one way over all cases and figures: the largest and the mean of each figure.
struct Deviation {
    worst: Vec<f64>,
    mean: Vec<f64>,
}

fn heat(name: &str, resolution: Resolution) -> Way {
    let settings = Settings {
        resolution,
        ..Settings::default()
    };
    (name.into(), settings)
}

fn march(tolerance: f64) -> Way {
    let settings = Settings {
        tolerance: Tolerance::new(tolerance),
        until: Until::Frozen,
        ..Settings::default()
    };
    (format!("{tolerance:.0e}"), settings)
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

fn figures(rigs: &[Rig], settings: &Settings, solver: &impl Solver) -> Vec<Value> {
    let mut work = Workspace::default();
    rigs.iter()
        .map(|rig| {
            let shot = fire_by(solver, rig, settings, &mut work).expect("a shot");
            serde_json::to_value(shot.figures).expect("figures")
        })
        .collect()
}

/// `truth` are the figures of each rig.
fn deviations(rigs: &[Rig], names: &[&str], truth: &[Value], ways: &[Way]) -> Vec<Deviation> {
    let of = |way: &Way| {
        let own = figures(rigs, &way.1, &Own);
        let (worst, mean) = names
            .iter()
            .map(|&name| {
                let all: Vec<f64> = truth
                    .iter()
                    .zip(&own)
                    .filter_map(|(t, o)| Some((t[name].as_f64()?, o[name].as_f64()?)))
                    .filter(|(t, _)| *t != 0.0 && (name != "vapour_share" || *t > LITTLE_VAPOUR))
                    .map(|(t, o)| (o / t - 1.0).abs())
                    .collect();
                let worst = all.iter().copied().fold(0.0, f64::max);
                (worst, all.iter().sum::<f64>() / all.len().max(1) as f64)
            })
            .unzip();
        Deviation { worst, mean }
    };
    ways.iter().map(of).collect()
}

fn print(
    title: &str,
    names: &[&str],
    ways: &[Way],
    found: &[Deviation],
    cell: fn(f64, f64) -> String,
) {
    println!("\n{title}\n\n| | {} |", names.join(" | "));
    println!("|---|{}", "---|".repeat(names.len()));
    for ((name, _), d) in ways.iter().zip(found) {
        let cells: Vec<_> = d
            .worst
            .iter()
            .zip(&d.mean)
            .map(|(w, m)| cell(*w, *m))
            .collect();
        println!("| {name} | {} |", cells.join(" | "));
    }
}

fn main() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/cases");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the cases")
        .map(|e| e.expect("a case").path())
        .collect();
    paths.sort();
    let rig = |path: &Path| Rig::new(&read::read_file(path, &[]).expect("a case").case);
    let rigs: Vec<Rig> = paths.iter().map(|path| rig(path)).collect();

    let tolerances: Vec<Way> = [1e-5, 1e-6, 1e-7, 1e-8, 1e-9].map(march).into();
    let finest = figures(&rigs, &march(1e-12).1, &Library);
    let events = deviations(&rigs, &MARCH, &finest, &tolerances);
    print(
        "Tolerance of the march: largest relative deviation from ode_solvers at 1e-12",
        &MARCH,
        &tolerances,
        &events,
        |worst, _| format!("{worst:.0e}"),
    );

    let (fronts, enthalpy) = (Resolution::fronts(), Resolution::enthalpy());
    let meshes = [
        heat("fronts, coarse", finer(fronts, Cells::Coarse, 0.7, 0.7)),
        heat("fronts", fronts),
        heat("fronts, fine", finer(fronts, Cells::Fine, 2.0, 2.0)),
        heat("enthalpy", enthalpy),
        heat("enthalpy, fine", finer(enthalpy, Cells::Fine, 2.0, 2.0)),
    ];
    let per_cent = |worst: f64, mean: f64| format!("{:.2} ({:.2})", 100.0 * worst, 100.0 * mean);
    let mut melts = Vec::new();
    for (title, finest) in [
        (
            "the fronts at 4 times the cells and 8 times the steps",
            finer(fronts, Cells::Finest, 4.0, 8.0),
        ),
        (
            "the enthalpy method at 4 times the cells and 4 times the steps",
            finer(enthalpy, Cells::Finest, 4.0, 4.0),
        ),
    ] {
        let found = deviations(
            &rigs,
            &HEAT,
            &figures(&rigs, &heat("", finest).1, &Own),
            &meshes,
        );
        let title = format!("Heat: deviation from {title}, per cent, largest (mean)");
        print(&title, &HEAT, &meshes, &found, per_cent);
        melts.push(found);
    }

    let ways: Vec<Way> = tolerances.iter().chain(&meshes).cloned().collect();
    let demonstration = paths
        .iter()
        .position(|p| p.ends_with("demonstration.toml"))
        .expect("the demonstration case");
    let times = timing::print(&rigs, demonstration, &ways);
    if std::env::var_os("ARCPLUNGE_WRITE_DOCS").is_some() {
        let (at_tolerances, on_meshes) = times.split_at(tolerances.len());
        let touchdown = |d: &Deviation| d.worst[2];
        let melt = |d: &Deviation| d.worst[..3].iter().copied().fold(0.0, f64::max);
        draw::draw(
            &at_tolerances
                .iter()
                .copied()
                .zip(events.iter().map(touchdown))
                .collect::<Vec<_>>(),
            &on_meshes[..3]
                .iter()
                .copied()
                .zip(melts[0].iter().map(melt))
                .collect::<Vec<_>>(),
            &on_meshes[3..]
                .iter()
                .copied()
                .zip(melts[1][3..].iter().map(melt))
                .collect::<Vec<_>>(),
        );
    }
}
