//! What must hold of every shot, over random rigs. `PROPTEST_CASES=100000` makes a long run of it.

use std::time::Duration;

use crate::common::judge::{case, judge};
use crate::common::settings::rig;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// A shot may take this long, on a slow machine and without optimisation too.
const LONGEST: Duration = Duration::from_secs(1);

proptest! {
    #![proptest_config(ProptestConfig {
        cases: cases(),
        max_global_rejects: 1 << 20,
        failure_persistence: None,
        // The same cases each time, unless a long run is asked for.
        rng_seed: match std::env::var_os("PROPTEST_CASES") {
            Some(_) => ProptestConfig::default().rng_seed,
            None => RngSeed::Fixed(1),
        },
        ..ProptestConfig::default()
    })]

    /// No panic, no failure of the solver, events and phases in order, figures finite, balance closed,
    /// rows in order; the same bits again from a used workspace. See `common::judge`.
    #[test]
    fn conserves_energy_charge_and_order_in_any_rig(sets in rig()) {
        let Some(case) = case(&sets) else {
            return Err(TestCaseError::reject("breaks a rule between keys"));
        };
        if let Err(why) = judge(&case, LONGEST) {
            let line: String = sets.iter().map(|s| format!(" --set '{s}'")).collect();
            prop_assert!(false, "{why}\narcplunge fire{line}");
        }
    }
}

fn cases() -> u32 {
    let given = std::env::var("PROPTEST_CASES").ok();
    given.and_then(|n| n.parse().ok()).unwrap_or(400)
}

mod blow {
    use arcplunge_core::simulation::fire::{Settings, Workspace};
    use arcplunge_core::study::earths::blow;
    use arcplunge_report::earths::{document, json, svg};
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use crate::common::judge::case;
    use crate::common::settings::rig;

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: super::cases() / 4,
            max_global_rejects: 1 << 20,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(2),
            ..ProptestConfig::default()
        })]

        /// Whatever the rig: finite figures, a page of 80 columns, JSON, a drawing.
        #[test]
        fn the_blow_of_any_rig_can_be_told(
            sets in rig(),
            rise in -90.0..90.0_f64,
            turn in -180.0..180.0_f64,
        ) {
            let leads = [format!("earth.0.elevation={rise} deg"), format!("earth.0.bend={turn} deg")];
            let Some(case) = case(&[&sets[..], &leads].concat()) else {
                return Err(TestCaseError::reject("breaks a rule between keys"));
            };
            let blow = blow(&case, &Settings::default(), &mut Workspace::default()).unwrap();
            prop_assert!(blow.field().iter().all(|b| b.is_finite()));
            prop_assert!(blow.distance().is_none_or(f64::is_finite));
            let arced = blow.shot.figures.arc_time_s.is_some_and(|t| t > 0.0);
            prop_assert!(!arced || blow.drift().is_some(), "an arc without a drift");
            prop_assert!(blow.weakest().is_none_or(|fill| fill.is_finite() && fill >= 0.0));
            let page = document(&case, &blow, &[]).text(false);
            let widest = page.lines().map(|l| l.chars().count()).max();
            prop_assert!(widest <= Some(80), "{page}");
            prop_assert!(!page.contains("NaN") && !page.contains("inf "), "{page}");
            json(&case, &blow, &[]).unwrap();
            let svg = svg(&case, &blow);
            prop_assert!(!svg.contains("NaN") && roxmltree::Document::parse(&svg).is_ok());
        }
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
