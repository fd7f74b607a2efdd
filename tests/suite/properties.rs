//! What must hold of every shot, over random rigs. `PROPTEST_CASES=100000` makes a long run of it.

use std::cell::Cell;
use std::fmt::Debug;

use crate::common::judge::{MOST_WORK, case, judge};
use crate::common::settings::rig;
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};

/// Holds a property of `count` random rigs, the same ones each time unless a long run is asked for.
fn every<T: Debug>(
    rigs: impl Strategy<Value = T>,
    seed: u64,
    count: u32,
    property: impl Fn(T) -> Result<(), TestCaseError>,
) {
    let mut runner = TestRunner::new(ProptestConfig {
        cases: count,
        max_global_rejects: 1 << 20,
        failure_persistence: None,
        rng_seed: match std::env::var_os("PROPTEST_CASES") {
            Some(_) => ProptestConfig::default().rng_seed,
            None => RngSeed::Fixed(seed),
        },
        ..ProptestConfig::default()
    });
    let ran = runner.run(&rigs, property);
    ran.unwrap_or_else(|why| panic!("{why}"));
}

fn cases() -> u32 {
    let given = std::env::var("PROPTEST_CASES").ok();
    given.map_or(400, |n| n.parse().expect("a count"))
}

fn refused() -> TestCaseError {
    TestCaseError::reject("breaks a rule between keys")
}

fn count(one: &Cell<u32>, there: bool) {
    one.set(one.get() + u32::from(there));
}

/// No panic, no failure of the solver, events and phases in order, figures finite, balance closed,
/// rows in order; the same bits again from a used workspace. See `common::judge`.
#[test]
fn conserves_energy_charge_and_order_in_any_rig() {
    let [arced, landed, froze] = [const { Cell::new(0) }; 3];
    every(rig(), 1, cases(), |sets| {
        let case = case(&sets).ok_or_else(refused)?;
        let judged = judge(&case, MOST_WORK).map_err(|why| {
            let line: String = sets.iter().map(|s| format!(" --set '{s}'")).collect();
            TestCaseError::fail(format!("{why}\narcplunge fire{line}"))
        });
        let figures = judged?.figures;
        count(&arced, figures.ignition_s.is_some());
        count(&landed, figures.touchdown_s.is_some());
        count(&froze, figures.freeze_s.is_some());
        Ok(())
    });
    let (arced, landed, froze) = (arced.get(), landed.get(), froze.get());
    let enough = [arced, landed, froze].iter().all(|n| 10 * n > cases());
    assert!(enough, "{arced} arced, {landed} landed, {froze} froze");
}

mod told {
    use std::cell::Cell;

    use arcplunge_core::simulation::fire::{Settings, Workspace};
    use arcplunge_core::study::card::{Asked, card};
    use arcplunge_core::study::earths::blow;
    use arcplunge_report::document::Document;
    use arcplunge_report::{card as cards, earths};
    use proptest::prelude::*;

    use super::{cases, count, every, refused};
    use crate::common::judge::case;
    use crate::common::settings::rig;
    use arcplunge_core::case::tolerance::Tolerances;

    /// A page of 80 columns and a drawing, with no number that is none.
    fn readable(page: &Document, svg: &str) -> Result<(), TestCaseError> {
        let page = page.text(false);
        let widest = page.lines().map(|l| l.chars().count()).max();
        prop_assert!(widest.is_some_and(|w| w <= 80), "{page}");
        prop_assert!(!page.contains("NaN") && !page.contains("inf "), "{page}");
        prop_assert!(!svg.contains("NaN") && roxmltree::Document::parse(svg).is_ok());
        Ok(())
    }

    /// Whatever the rig: finite figures, a page of 80 columns, JSON, a drawing.
    #[test]
    fn the_blow_of_any_rig_can_be_told() {
        let blown = Cell::new(0);
        let rigs = (rig(), -90.0..90.0_f64, -180.0..180.0_f64);
        every(rigs, 2, cases() / 4, |(sets, rise, turn)| {
            let leads = [
                format!("earth.0.elevation={rise} deg"),
                format!("earth.0.azimuth={turn} deg"),
            ];
            let case = case(&[&sets[..], &leads].concat()).ok_or_else(refused)?;
            let blow = blow(&case, &Settings::default(), &mut Workspace::default()).unwrap();
            prop_assert!(blow.field().iter().all(|b| b.is_finite()));
            prop_assert!(blow.distance().is_none_or(f64::is_finite));
            let arced = blow.shot.figures.arc_time_s.is_some_and(|t| t > 0.0);
            prop_assert!(!arced || blow.drift().is_some(), "an arc without a drift");
            count(&blown, blow.distance().is_some_and(|d| d > 0.0));
            prop_assert!(
                blow.weakest()
                    .is_none_or(|fill| fill.is_finite() && fill >= 0.0)
            );
            earths::json(&case, &blow, &[]).unwrap();
            let page = earths::document(&case, &blow, &[]);
            readable(&page, &earths::svg(&case, &blow))
        });
        let blown = blown.get();
        assert!(10 * blown > cases() / 4, "only {blown} arcs were blown");
    }

    /// Whatever the rig: what a change of it does is of the same weld, a test pulls no harder than stud, weld and sheet
    /// bear, and the sheet can be read.
    #[test]
    fn the_card_of_any_rig_can_be_told() {
        let [tested, seen] = [const { Cell::new(0) }; 2];
        every(rig(), 3, cases() / 10, |sets| {
            let case = case(&sets).ok_or_else(refused)?;
            if case.stud.short_resistance.is_some() {
                return Err(refused());
            }
            let asked = Asked {
                as_set: true,
                ..Asked::usual(&case)
            };
            let card = card(&case, &Tolerances::default(), &asked).unwrap();
            prop_assert_eq!(&card.weld.case, &case);
            prop_assert_eq!(card.joints.len(), 3 + 2 * case.earths.len());
            for look in &card.looks {
                prop_assert_eq!(look.blow.shot.verdict, Some(look.verdict));
            }
            if let Some(screw) = card.screw {
                prop_assert!(screw.force > 0.0 && screw.force <= screw.thread_force);
                prop_assert!(screw.force < screw.breaks.1 && screw.torque > 0.0);
            }
            count(&tested, card.screw.is_some());
            count(&seen, !card.looks.is_empty());
            cards::csv(std::io::sink(), &card).unwrap();
            cards::json(&card).unwrap();
            readable(&cards::document(&card, &case, true), &cards::svg(&card))
        });
        let (tested, seen) = (tested.get(), seen.get());
        let enough = [tested, seen].iter().all(|n| 100 * n > cases());
        assert!(enough, "{tested} tested, {seen} with welds to look at");
    }
}

mod determinism {
    use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
    use arcplunge_core::simulation::rig::Rig;
    use arcplunge_core::simulation::shot::Shot;
    use proptest::strategy::{Strategy, ValueTree};
    use proptest::test_runner::TestRunner;

    use crate::common::judge::case;
    use crate::common::settings::rig;

    /// Every bit of a shot, as far as it is seen; `Debug` prints floats so that they read back.
    fn bits(rig: &Rig, work: &mut Workspace) -> String {
        let shot: Shot = fire(rig, &Settings::default(), work).expect("a shot");
        format!("{shot:?}")
    }

    #[test]
    fn regress_the_same_bits_on_any_thread_and_in_any_order() {
        let mut runner = TestRunner::deterministic();
        let strategy = rig();
        let mut rigs = Vec::new();
        while rigs.len() < 60 {
            let sets = strategy
                .new_tree(&mut runner)
                .expect("no filters")
                .current();
            rigs.extend(case(&sets).map(|c| Rig::new(&c)));
        }
        let alone: Vec<String> = rigs
            .iter()
            .map(|r| bits(r, &mut Workspace::default()))
            .collect();
        let run = |thread: usize| {
            let mut work = Workspace::default();
            let mut got = vec![String::new(); rigs.len()];
            for n in 0..rigs.len() {
                // Each thread goes its own way through the rigs, one workspace for all of them.
                let n = (n * (2 * thread + 7) + thread) % rigs.len();
                got[n] = bits(&rigs[n], &mut work);
            }
            for n in 0..rigs.len() {
                if got[n].is_empty() {
                    got[n] = bits(&rigs[n], &mut work);
                }
            }
            got
        };
        let all: Vec<Vec<String>> = std::thread::scope(|scope| {
            let threads: Vec<_> = (0..4)
                .map(|n| {
                    scope.spawn({
                        let run = &run;
                        move || run(n)
                    })
                })
                .collect();
            threads
                .into_iter()
                .map(|t| t.join().expect("no panic"))
                .collect()
        });
        assert!(all.iter().all(|got| *got == alone));
        let distinct: std::collections::BTreeSet<&String> = alone.iter().collect();
        assert!(distinct.len() > 50, "the comparison can fail");
    }
}
