//! The shots of benches/python/compare.py without Python: `cargo bench --bench python -- ROWS THREADS`.
//!
//! Writes the microseconds a shot of a batch takes, and of a single one.

use std::hint::black_box;
use std::time::Instant;

use arcplunge_core::Case;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::study::batch::in_order;
use arcplunge_core::study::design::Design;

/// Single shots that are timed.
const SINGLE: usize = 2000;

fn main() {
    let mut numbers = std::env::args().filter_map(|text| text.parse::<usize>().ok());
    let rows = numbers.next().unwrap_or(20_000);
    let threads = numbers.next().unwrap_or(1);
    let spread = |low: f64, width: f64, step: f64| -> Vec<f64> {
        let value = |k: usize| low + width * (k as f64 * step).fract();
        (0..rows).map(value).collect()
    };
    let volts = spread(90.0, 40.0, 0.618_033_988_75);
    let force = spread(60.0, 50.0, 0.754_877_666_25);
    let columns = [
        ("bank.voltage", volts.as_slice()),
        ("tool.spring_force", &force),
    ];
    let settings = Settings::default();
    let design = Design::of_numbers(Case::default(), settings, &columns).expect("a design");
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads");
    let start = Instant::now();
    let fill: f64 = pool.install(|| {
        in_order(0..rows, |work, row| design.row(row, work).outcome)
            .filter_map(|outcome| outcome.figures()?.fill_ratio)
            .sum()
    });
    let many = start.elapsed().as_secs_f64() * 1e6 / rows as f64;
    let (case, mut work) = (Case::default(), Workspace::default());
    let mut single = || {
        let shot = fire(&Rig::new(black_box(&case)), &settings, &mut work);
        black_box(shot.expect("a shot"));
    };
    (0..SINGLE / 10).for_each(|_| single());
    let start = Instant::now();
    (0..SINGLE).for_each(|_| single());
    let one = start.elapsed().as_secs_f64() * 1e6 / SINGLE as f64;
    println!("{many:.3} {one:.3} {:.9}", fill / rows as f64);
}
