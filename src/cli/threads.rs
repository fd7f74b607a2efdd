//! The threads that shots are fired on: one a core, or as many as `RAYON_NUM_THREADS` asks for.

use super::outcome::{Trouble, failed};
use rayon::{ThreadPoolBuildError, ThreadPoolBuilder};

/// Most threads, whatever is asked for.
const MOST: usize = 1024;

/// Starts them, so that a system that has none to give is told of before anything is fired.
pub fn start() -> Result<(), Trouble> {
    let asked = std::env::var("RAYON_NUM_THREADS").ok();
    let asked = asked
        .and_then(|text| text.trim().parse::<usize>().ok())
        .unwrap_or(0);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let count = if asked == 0 { cores } else { asked.min(MOST) };
    let told = |e: ThreadPoolBuildError| failed(format!("{count} threads cannot be started: {e}"));
    ThreadPoolBuilder::new()
        .num_threads(count)
        .build_global()
        .map_err(told)
}
