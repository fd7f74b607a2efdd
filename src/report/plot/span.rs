//! How much of a shot a plot shows: the weld, not the long tail of a current that does nothing more.

use arcplunge_core::simulation::events::EventName;
use arcplunge_core::simulation::trace::Trace;

/// A tail is shown whole if it is not longer than this many times what comes before it.
const TAIL: f64 = 1.0;
/// The same where no arc burned: the tail is all there is to see.
const ARCLESS_TAIL: f64 = 5.0;
/// Freezing is shown whole up to this many times the time before it.
const FREEZING: f64 = 5.0;
/// Of a tail too long to be shown, this many times what comes before it.
const CUT: f64 = 0.35;
/// Paper after the last event, as a share of the time up to it.
const MARGIN: f64 = 0.035;

/// The range of time shown \[s\].
pub fn shown(trace: &Trace) -> (f64, f64) {
    let record = trace.rows.last().map_or(0.0, |r| r.time_s);
    let f = &trace.shot.figures;
    let event = |name: EventName| {
        let mut of_name = trace.shot.events.iter().filter(|e| e.name == name);
        of_name.next().map(|e| e.time_s)
    };
    let busy = [
        f.time_of_peak_s,
        f.pip_touch_s,
        f.pip_yield_s,
        f.ignition_s,
        f.touchdown_s,
        event(EventName::ArcOut),
        event(EventName::Stub),
        event(EventName::DiodeConducts),
    ];
    let mut end = busy.into_iter().flatten().fold(0.0, f64::max);
    if end <= 0.0 {
        return (0.0, if record > 0.0 { record } else { 1e-3 });
    }
    let tail = match f.ignition_s {
        None => ARCLESS_TAIL,
        Some(_) => TAIL,
    };
    let mut cut = false;
    let tails = [
        (f.freeze_s, 1.0 + FREEZING),
        (f.current_end_s, 1.0 + tail),
        (
            Some(record).filter(|_| f.current_end_s.is_none()),
            1.0 + tail,
        ),
    ];
    for (at, most) in tails {
        match at {
            Some(t) if t <= end * most => end = end.max(t),
            Some(_) => cut = true,
            None => {}
        }
    }
    (0.0, end * (1.0 + if cut { CUT } else { MARGIN }))
}
