//! What must hold of every shift, over random rigs, paces and breaks.

use crate::common::judge::case;
use crate::common::settings::rig;
use arcplunge_core::Rig;
use arcplunge_core::study::shift::plan::{Break, Plan};
use arcplunge_core::study::shift::run::{Rules, run};
use arcplunge_core::study::shift::shots::Shots;
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};

/// Welds of a shift here.
const WELDS: usize = 30;

/// Overrides of what only a shift knows.
fn shop() -> impl Strategy<Value = Vec<String>> {
    let charger = (10.0..3000.0, 0.5..50.0, any::<bool>(), -20.0..45.0);
    let heat = (1.0..200.0, 0.1..50.0, 1e-5..1e-2, 5.0..100.0);
    (charger, heat).prop_map(
        |((power, current, locked, room), (lug, air, wear, pitch))| {
            let locked = if locked { "yes" } else { "no" };
            vec![
                format!("charger.power={power:.1} W"),
                format!("charger.current={current:.2} A"),
                format!("charger.interlock={locked}"),
                format!("room.temperature={room:.1} degC"),
                format!("thermal.lug_heat={lug:.1} J/K"),
                format!("thermal.can_resistance={air:.2} K/W"),
                format!("wear.coefficient={wear:.2e}"),
                format!("thermal.pitch={pitch:.1} mm"),
            ]
        },
    )
}

/// Energy closes, time goes on, nothing is colder than the room, no bank is charged beyond what is set, and no chuck
/// mends itself.
#[test]
fn conserves_energy_and_order_in_any_shift() {
    let mut runner = TestRunner::new(ProptestConfig {
        cases: 60,
        max_global_rejects: 1 << 16,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(5),
        ..ProptestConfig::default()
    });
    let shifts = (rig(), shop(), 0.5..60.0, 0.0..200.0, 1.0..2000.0);
    let held = runner.run(&shifts, |(mut sets, shop, pace, at, length)| {
        sets.extend(shop);
        let Some(case) = case(&sets) else {
            return Err(TestCaseError::reject("breaks a rule between keys"));
        };
        let plan = Plan::new(WELDS, pace / 60.0, vec![Break { at, length }]).unwrap();
        let rules = Rules {
            wear: true,
            stop: false,
        };
        let mut shots = Shots::new(Rig::new(&case), false);
        let run = run(&case, &plan, rules, &mut shots)
            .map_err(|why| TestCaseError::fail(format!("{why} {sets:?}")))?;
        let gap = run.account.imbalance();
        prop_assert!(gap.abs() < 1e-6, "energy off by {gap} {sets:?}");
        prop_assert_eq!(run.welds.len(), WELDS);
        for pair in run.welds.windows(2) {
            prop_assert!(
                pair[1].time >= pair[0].time + 0.999 / plan.pace,
                "{:?}",
                sets
            );
            prop_assert!(pair[1].grip <= pair[0].grip, "{:?}", sets);
        }
        let room = case.room.temperature - 1e-6;
        for weld in &run.welds {
            let all = [
                weld.conductor,
                weld.jacket,
                weld.joint,
                weld.core,
                weld.junction,
            ];
            prop_assert!(
                all.iter().all(|t| t.is_finite() && *t >= room),
                "{all:?} {sets:?}"
            );
            prop_assert!(
                weld.voltage <= case.bank.voltage * (1.0 + 1e-12),
                "{:?}",
                sets
            );
            prop_assert!(weld.sheet.is_finite() && weld.sheet >= room);
        }
        Ok(())
    });
    held.unwrap_or_else(|why| panic!("{why}"));
}
