//! Memory a shot asks for once its workspace is warm: a study fires millions of them on all cores, and
//! the allocator is shared.

use allocation_counter::measure;
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::simulation::discharge::{Discharge, discharge};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::heating::heat;
use arcplunge_core::simulation::rig::Rig;

/// Parts of one metal, and of two.
fn rigs() -> [Rig; 2] {
    let mut pair = Case::default();
    pair.stud.metal = catalogue::metal("brass 63/37");
    [Rig::new(&Case::default()), Rig::new(&pair)]
}

#[test]
fn regress_the_heat_of_a_warm_shot_allocates_nothing() {
    for rig in rigs() {
        let settings = Settings::default();
        let mut found = Discharge::default();
        discharge(&rig, settings.tolerance, &mut found, None).expect("a discharge");
        let mut melt = Vec::new();
        let mut run = || {
            let heating = heat(
                &rig,
                &found.arc,
                true,
                settings.until,
                &settings.resolution,
                &mut melt,
            );
            assert!(heating.frozen.is_some());
        };
        run();
        assert_eq!(measure(run).count_total, 0);
    }
}

#[test]
fn regress_a_warm_shot_allocates_nothing() {
    for rig in rigs() {
        let mut work = Workspace::default();
        let mut run = || {
            std::hint::black_box(fire(&rig, &Settings::default(), &mut work)).expect("a shot");
        };
        run();
        let found = measure(run);
        assert_eq!(found.count_total, 0, "{found:?}");
        assert_eq!(found.bytes_current, 0, "{found:?}");
    }
}
