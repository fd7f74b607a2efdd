//! The threads that shots are fired on: one a core, or as many as `RAYON_NUM_THREADS` asks for.

use super::outcome::{Trouble, failed};
use rayon::ThreadPoolBuilder;

/// Most threads, whatever is asked for.
const MOST: usize = 1024;
/// Stack of a thread \[bytes\].
const STACK: usize = 2 << 20;
/// Left to the program and its work \[bytes\].
#[cfg(target_os = "linux")]
const RESERVE: usize = 8 << 20;
/// Address space that the system's allocator takes for a thread where it can get it \[bytes\], and most such heaps a
/// core: glibc's HEAP_MAX_SIZE and arena limit.
#[cfg(target_os = "linux")]
const HEAP: usize = 64 << 20;
#[cfg(target_os = "linux")]
const HEAPS: usize = 8;

/// Starts them, so that a system that has none to give is told of before anything is fired.
pub fn start() -> Result<(), Trouble> {
    let asked = std::env::var("RAYON_NUM_THREADS").ok();
    let asked = asked
        .and_then(|text| text.trim().parse::<usize>().ok())
        .unwrap_or(0);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let count = if asked == 0 { cores } else { asked.min(MOST) };
    let told = |why: String| failed(format!("{count} threads cannot be started: {why}"));
    room_for(count, cores).map_err(told)?;
    ThreadPoolBuilder::new()
        .num_threads(count)
        .stack_size(STACK)
        .build_global()
        .map_err(|e| told(e.to_string()))
}

/// Whether they fit into the address space the system allows: a thread that finds no memory as it starts ends the whole
/// program. Those of a thread a core get by with their stacks, as they always did; more of them, asked for, begin to
/// compete with the heaps that the allocator takes for each.
#[cfg(target_os = "linux")]
fn room_for(count: usize, cores: usize) -> Result<(), String> {
    use rustix::process::{Resource, getrlimit};
    let heaps = match count > cores {
        true => count.min(HEAPS * cores) + 1,
        false => 0,
    };
    let needed = (count * STACK + heaps * HEAP + RESERVE) as u64;
    match getrlimit(Resource::As).current {
        Some(allowed) if allowed < needed => Err(format!(
            "their stacks and heaps take {} MB, and the limit of address space is {} MB",
            needed / 1_000_000,
            allowed / 1_000_000
        )),
        _ => Ok(()),
    }
}

/// The limit is not asked for.
#[cfg(not(target_os = "linux"))]
fn room_for(_: usize, _: usize) -> Result<(), String> {
    Ok(())
}
