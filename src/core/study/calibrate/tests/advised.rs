//! Whether advised test welds find the setting sooner than as many anywhere: rigs made up from the prior, welded on paper.

use chacha20::ChaCha8Rng;
use chacha20::rand_core::SeedableRng;

use super::ranks::{drawn, rigs, seen_all, welded, welds_at};
use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace};
use crate::study::calibrate::Problem;
use crate::study::calibrate::found::{Asked, Found, calibrate};
use crate::study::calibrate::predicted::Predicted;
use crate::study::calibrate::sampler::Effort;
use crate::study::calibrate::settings::{Ends, Windows, middle};
use crate::study::calibrate::spreads::Spreads;
use crate::study::calibrate::weld::Seen;
use crate::study::points::uniform;
use crate::study::range::Vary;

/// Welds after which the setting is asked for.
const COUNTS: [usize; 4] = [0, 6, 12, 24];

/// Welds advised at a time.
const AT_A_TIME: usize = 6;

/// A setting found \[V\], and after how many welds.
type Settled = (f64, usize);

/// The true window of a rig, and the settings found after each count.
type Course = (Ends, Vec<Settled>);

fn vary() -> Vary {
    Vary::read(&Case::default(), "bank.voltage=60..160V", 2).unwrap()
}

/// What is seen at a glance: rim and spatter.
fn at_a_glance(seen: Seen) -> Seen {
    Seen {
        arc_time: None,
        ..seen
    }
}

/// The welds made so far: voltage, and what was seen.
fn problem(made: &[(f64, Seen)]) -> Problem {
    // The spreads are there before any weld is.
    Problem {
        spreads: Spreads::of([at_a_glance(seen_all())].iter()),
        ..welds_at(made)
    }
}

fn found(made: &[(f64, Seen)], next: usize, seed: u64) -> Option<Found> {
    let asked = Asked {
        vary: vec![vary()],
        step: 1.0,
        next,
        effort: Effort {
            particles: 64,
            seed,
        },
        kept: None,
    };
    calibrate(problem(made), asked, |_| true).ok()
}

/// A rig that is known, and its window.
struct Rig {
    truth: Vec<f64>,
    window: Ends,
    random: ChaCha8Rng,
}

impl Rig {
    /// One of the prior; `None` where its weld is sound nowhere.
    fn new(number: u64) -> Option<Rig> {
        let blank = problem(&[]);
        let mut random = ChaCha8Rng::seed_from_u64(5000 + number);
        let truth: Vec<f64> = (0..blank.dimensions())
            .map(|_| drawn(&mut random))
            .collect();
        let windows = Windows::of(&blank.base, &blank.unknowns, &vary(), &[&truth]);
        Some(Rig {
            truth,
            window: windows.windows[0]?,
            random,
        })
    }

    /// What is seen on a weld at this voltage.
    fn weld(&mut self, volts: f64) -> Option<Seen> {
        let blank = problem(&[]);
        let case = blank
            .unknowns
            .set([(&vary(), volts)], &blank.base, &self.truth)?;
        let predicted = Predicted::of(&case, &Settings::frozen(), &mut Workspace::default())?;
        let seen = welded(&blank, &predicted, &self.truth, &mut self.random);
        Some(at_a_glance(seen))
    }

    /// The voltages to weld at next, on the dial's steps; none where the advice is that it is enough.
    fn next(&mut self, made: &[(f64, Seen)], advised: bool, seed: u64) -> Option<Vec<f64>> {
        let range = vary();
        if !advised {
            let anywhere = range.from + (range.to - range.from) * uniform(&mut self.random);
            return Some(vec![anywhere.round()]);
        }
        let advice = found(made, AT_A_TIME, seed)?.advice?;
        Some(advice.next.iter().map(|n| n.values[0].round()).collect())
    }

    /// The setting found after each count of welds, with the welds made by then.
    fn settings(&mut self, advised: bool, seed: u64) -> Option<Vec<Settled>> {
        let (mut made, mut enough) = (Vec::new(), false);
        let mut out = Vec::new();
        for count in COUNTS {
            while made.len() < count && !enough {
                let next = self.next(&made, advised, seed)?;
                enough = next.is_empty();
                for volts in next {
                    let seen = self.weld(volts)?;
                    made.push((volts, seen));
                }
            }
            let (setting, _) = found(&made, 0, seed)?.after.best()?;
            out.push((setting, made.len()));
        }
        Some(out)
    }
}

/// The long run of docs/validation.md:
/// `RIGS=60 cargo test --release -p arcplunge-core advised -- --ignored --nocapture`.
#[test]
#[ignore = "takes half an hour"]
fn advised_welds_find_the_window_sooner() {
    let mut found: [Vec<Course>; 2] = Default::default();
    for number in 0..rigs(60) {
        let Some(window) = Rig::new(number).map(|rig| rig.window) else {
            println!("rig {number}: sound nowhere");
            continue;
        };
        for (kind, advised) in [false, true].into_iter().enumerate() {
            let settings = Rig::new(number).and_then(|mut rig| rig.settings(advised, number));
            found[kind].extend(settings.map(|settings| (window, settings)));
        }
        if (number + 1) % 10 == 0 {
            tell("anywhere", &found[0]);
            tell("advised", &found[1]);
        }
    }
}

fn tell(name: &str, found: &[Course]) {
    let rigs = found.len() as f64;
    for (k, count) in COUNTS.into_iter().enumerate() {
        let at = |(window, settings): &Course| (*window, settings[k]);
        let sound =
            |([low, high], (setting, _)): &(Ends, Settled)| (*low..=*high).contains(setting);
        let inside = found.iter().map(at).filter(sound).count() as f64 / rigs;
        let off = |(window, (setting, _)): (Ends, Settled)| (setting - middle(window)).abs();
        let mut offs: Vec<f64> = found.iter().map(at).map(off).collect();
        offs.sort_by(f64::total_cmp);
        let welds = found.iter().map(|(_, s)| s[k].1 as f64).sum::<f64>() / rigs;
        let root = (offs.iter().map(|x| x * x).sum::<f64>() / rigs).sqrt();
        println!(
            "{name}, {rigs} rigs, {count} welds (made {welds:.1}): in the window {:.1} %, off its middle {:.1} V (median), {root:.1} V (rms)",
            100.0 * inside,
            offs[offs.len() / 2],
        );
    }
}
