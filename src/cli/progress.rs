//! Long work: a progress bar on a terminal, and Ctrl-C that ends it in good order.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};

/// Size of a file from which on reading it takes long enough to be shown \[bytes\].
const LARGE: u64 = 4 << 20;

static STOPPED: AtomicBool = AtomicBool::new(false);
static LISTENING: OnceLock<()> = OnceLock::new();

/// Does `first` on the first Ctrl-C. A second one ends the program at once, should the first not be heard.
///
/// # Errors
/// When the system gives no handler.
pub fn hear(first: impl Fn() + Send + 'static) -> Result<(), ctrlc::Error> {
    ctrlc::set_handler(move || {
        if STOPPED.swap(true, Ordering::SeqCst) {
            std::process::exit(130);
        }
        first();
    })
}

/// A bar on standard error, if that is a terminal, for a file of this size \[bytes\]; hidden for a small one.
pub fn reading(size: u64) -> ProgressBar {
    if size < LARGE {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(size), ProgressDrawTarget::stderr());
    let style = "reading {bar:30} {bytes} of {total_bytes}, {eta} left";
    if let Ok(style) = ProgressStyle::with_template(style) {
        bar.set_style(style.progress_chars("█▌ "));
    }
    bar
}

/// Work of a known length.
pub struct Watch {
    bar: ProgressBar,
}

impl Watch {
    /// Shows `total` steps of `what` on standard error, if that is a terminal, `done` of them done.
    pub fn new(what: &'static str, total: usize, done: usize) -> Watch {
        LISTENING.get_or_init(|| {
            let _ = hear(|| ());
        });
        let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr());
        let style = ProgressStyle::with_template(
            "{msg} {bar:30} {human_pos} of {human_len}{rate}, {eta} left",
        );
        if let Ok(style) = style {
            let rate = |state: &ProgressState, out: &mut dyn std::fmt::Write| {
                let _ = out.write_str(&rate(state.per_sec()));
            };
            bar.set_style(style.progress_chars("█▌ ").with_key("rate", rate));
        }
        bar.set_message(what);
        bar.set_position(done as u64);
        bar.reset_eta();
        Watch { bar }
    }

    /// One step is done.
    pub fn step(&self) {
        self.bar.inc(1);
    }

    /// Whether Ctrl-C was pressed.
    pub fn stopped(&self) -> bool {
        STOPPED.load(Ordering::SeqCst)
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

/// Steps a second as a whole number; none of steps that take longer than that.
fn rate(per_second: f64) -> String {
    if per_second >= 1.0 && per_second.is_finite() {
        format!(", {per_second:.0} a second")
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::rate;

    #[test]
    fn rates_are_whole_numbers() {
        assert_eq!(rate(1234.5678), ", 1235 a second");
        assert_eq!(rate(0.3), "");
        assert_eq!(rate(f64::INFINITY), "");
    }
}
