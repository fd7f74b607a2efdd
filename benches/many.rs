//! Many shots at once: `cargo bench --bench many`.
//!
//! Shots a second on one thread and on all, and the process's memory while ever more shots stream
//! through. `MANY_SHOTS=1000000` goes on to a million.

use std::time::Instant;

use arcplunge_core::case::Case;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::batch::fire_all;

/// Cases over a range of voltages and spring forces, so that no shot is like the one before.
fn cases(n: usize) -> impl Iterator<Item = Case> {
    let base = Case::default();
    (0..n).map(move |k| {
        let mut case = base.clone();
        case.bank.voltage = 90.0 + 40.0 * ((k as f64) * 0.618_033_988_75).fract();
        case.tool.spring_force = 60.0 + 50.0 * ((k as f64) * 0.754_877_666_25).fract();
        case
    })
}

/// Fires `n` cases; time a shot [µs].
fn run(n: usize, threads: usize) -> f64 {
    let settings = Settings::frozen();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads");
    let start = Instant::now();
    let sound = pool.install(|| {
        fire_all(cases(n), settings)
            .filter(|shot| shot.as_ref().is_ok_and(|s| s.figures.touchdown_s.is_some()))
            .count()
    });
    let time = start.elapsed().as_secs_f64() * 1e6 / n as f64;
    assert!(sound > n / 2);
    time
}

/// Largest resident memory so far [MB], where the system tells.
fn memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

fn main() {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    println!("\n| shots | threads | µs a shot | shots a second | speed-up | memory, MB |");
    println!("|---|---|---|---|---|---|");
    let most = std::env::var("MANY_SHOTS")
        .ok()
        .and_then(|n| n.parse().ok());
    let row = |n: usize, threads: usize, time: f64, alone: f64| {
        let memory = memory().map_or("–".into(), |m| format!("{m:.1}"));
        println!(
            "| {n} | {threads} | {time:.1} | {:.0} | {:.2} | {memory} |",
            1e6 / time,
            alone / time
        );
    };
    run(1000, cores); // warm
    let mut n = 1000;
    while n <= most.unwrap_or(10_000) {
        // In turns where that is cheap: the other work of the machine then hits both alike.
        let turns = (100_000 / n).clamp(1, 5);
        let mut times = [f64::MAX; 2];
        for _ in 0..turns {
            for (time, threads) in times.iter_mut().zip([1, cores]) {
                *time = time.min(run(n, threads));
            }
        }
        row(n, 1, times[0], times[0]);
        row(n, cores, times[1], times[0]);
        n *= 10;
    }
}
