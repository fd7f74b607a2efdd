//! Joints over a shot: when they melt, set and part, and what they take.

use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::physics::joint::{ARC_VOLTAGE, MELTING_VOLTAGE, parting_current};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Row, Trace, trace};
use arcplunge_validation::inductance::of_lengths;
use proptest::prelude::*;

use crate::common::judge::{MOST_WORK, case, judge};

fn fired(sets: &[&str]) -> (Rig, Trace) {
    let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
    let rig = Rig::new(&case(&sets).expect("a case"));
    let traced = trace(&rig, &Settings::default(), 1e-6, &mut Workspace::default());
    (rig, traced.expect("a shot"))
}

fn current(row: &Row, id: JointId) -> f64 {
    id.earth().map_or(row.current_A, |k| row.earths_A[k])
}

/// The current of a joint at a time at which something happens.
fn at(traced: &Trace, id: JointId, time: Option<f64>) -> f64 {
    let row = traced.rows.iter().find(|row| Some(row.time_s) == time);
    current(row.unwrap_or_else(|| panic!("no row at {time:?}")), id)
}

#[test]
fn closed_form_a_joint_melts_and_parts_at_its_currents() {
    let (rig, traced) = fired(&["joints.tool=loose"]);
    let joint = &traced.shot.joints[JointId::Tool];
    let contact = rig.circuit.joints[JointId::Tool];
    let melts = at(&traced, JointId::Tool, joint.melts_s);
    assert!((melts - MELTING_VOLTAGE / contact.resistance).abs() < 1e-6 * melts);
    let parts = at(&traced, JointId::Tool, joint.parts_s);
    assert!((parts - parting_current(contact.force)).abs() < 1e-6 * parts);
    assert!((parts - 3352.0).abs() < 0.1, "{parts}");
    assert!(joint.parts_s < traced.shot.figures.ignition_s);
    assert_eq!(joint.sets_s, None);
}

#[test]
fn closed_form_a_molten_joint_keeps_its_widest_spot() {
    let (rig, traced) = fired(&["stud.short_resistance=1 mohm", "joints.bank=0.4 mohm"]);
    let joint = &traced.shot.joints[JointId::Bank];
    let peak = traced.shot.figures.peak_current_A.expect("a current");
    let sets = joint.sets_s.expect("it sets");
    let time = traced.shot.figures.time_of_peak_s.expect("a peak");
    assert!((sets - time).abs() < 1e-9);
    let law = |row: &Row| {
        let cold = rig.circuit.joints[JointId::Bank].resistance * row.current_A;
        let set = MELTING_VOLTAGE / peak * row.current_A;
        if row.time_s <= sets {
            cold.min(MELTING_VOLTAGE)
        } else {
            set
        }
    };
    let off = |row: &Row| (row.joints_V[JointId::Bank] - law(row)).abs();
    let worst = traced.rows.iter().map(off).fold(0.0, f64::max);
    assert!(worst < 1e-6, "{worst} V");
}

#[test]
fn conserves_the_joules_of_each_joint() {
    let (rig, traced) = fired(&[
        "joints.bank=0.4 mohm",
        "joints.tool={ resistance = \"0.3 mohm\", force = \"12 N\", drop = \"9 V\" }",
        "earth.0.clamp=loose",
        "earth.0.length=7 m",
        "earth.1.clamp={ resistance = \"0.5 mohm\", drop = \"2 V\" }",
    ]);
    let mut took = 0;
    for id in JointId::all(rig.circuit.earths) {
        let power = |row: &Row| row.joints_V[id] * current(row, id);
        let pairs = traced.rows.windows(2);
        let joules: f64 = pairs
            .map(|w| 0.5 * (power(&w[0]) + power(&w[1])) * (w[1].time_s - w[0].time_s))
            .sum();
        let energy = traced.shot.joints[id].energy;
        assert!(
            (joules - energy).abs() < 1e-4 * energy + 1e-6,
            "{id}: {joules} {energy}"
        );
        took += usize::from(energy > 1.0);
    }
    assert!(took >= 3, "only {took} joints took a joule");
    assert!(
        traced.shot.imbalance() < 1e-8,
        "{:e}",
        traced.shot.imbalance()
    );
}

#[test]
fn regress_a_resistance_alone_never_parts_and_a_drop_alone_is_apart() {
    let (_, alone) = fired(&["joints.chuck=2 mohm"]);
    assert_eq!(alone.shot.joints[JointId::Chuck].parts_s, None);
    assert!(alone.shot.joints[JointId::Chuck].melts_s.is_some());
    let (_, apart) = fired(&["joints.chuck={ resistance = \"2 mohm\", drop = \"13 V\" }"]);
    let (_, arcing) = fired(&["joints.chuck=arcing"]);
    let joint = |t: &Trace| t.shot.joints[JointId::Chuck];
    assert_eq!(joint(&apart), joint(&arcing));
    let charge: f64 = joint(&arcing).energy / ARC_VOLTAGE;
    assert!(charge > 4.0 && joint(&arcing).parts_s.is_none());
}

#[test]
fn closed_form_a_clamp_that_shares_stays_below_its_force() {
    let (_, shared) = fired(&["earth.0.clamp=loose"]);
    assert_eq!(shared.shot.joints[JointId::Clamp(0)].parts_s, None);
    let (_, alone) = fired(&["earth.0.clamp=loose", "earth.1.length=15 m"]);
    assert!(alone.shot.joints[JointId::Clamp(0)].parts_s.is_some());
}

/// Joints no rig should have, alone and together.
#[test]
fn conserves_everything_with_hostile_joints() {
    let hostile: [&[&str]; 7] = [
        &[
            "joints.bank=arcing",
            "joints.tool=arcing",
            "joints.chuck=arcing",
        ],
        &[
            "earth.0.clamp=arcing",
            "earth.0.terminal=arcing",
            "earth.1.clamp=arcing",
        ],
        &["joints.tool={ resistance = \"1 ohm\", force = \"0.01 N\", drop = \"0 V\" }"],
        &["joints.tool={ resistance = \"0 mohm\", force = \"10 N\", drop = \"90 V\" }"],
        &[
            "earth.0.clamp={ resistance = \"0.02 mohm\", force = \"1 N\", drop = \"1 V\" }",
            "earth.1.clamp={ resistance = \"20 mohm\", force = \"2 N\", drop = \"40 V\" }",
        ],
        &[
            "earth.2.clamp=arcing",
            "earth.3.clamp={ resistance = \"0.1 mohm\", force = \"0.2 N\" }",
            "earth.1.length=1 m",
            "joints.bank=worn",
        ],
        &[
            "bank.esr=0 mohm",
            "bank.diode_drop=0 V",
            "joints.chuck=0.07 mohm",
            "earth.1.clamp=arcing",
        ],
    ];
    for sets in hostile {
        for short in [&[][..], &["stud.short_resistance=1 mohm"]] {
            let sets: Vec<String> = sets.iter().chain(short).map(ToString::to_string).collect();
            let case = case(&sets).unwrap_or_else(|| panic!("{sets:?} is refused"));
            judge(&case, MOST_WORK).unwrap_or_else(|why| panic!("{sets:?}: {why}"));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 20_000,
        failure_persistence: None,
        rng_seed: proptest::test_runner::RngSeed::Fixed(7),
        ..ProptestConfig::default()
    })]

    /// A longer lead never lowers the loop's inductance.
    #[test]
    fn conserves_the_order_of_inductances(
        gun in 0.3..40.0_f64, a in 0.3..40.0_f64, b in 0.3..40.0_f64, more in 1e-3..10.0_f64,
    ) {
        let now = of_lengths(gun, [a, b]);
        prop_assert!(of_lengths(gun + more, [a, b]) > now);
        prop_assert!(of_lengths(gun, [a + more, b]) >= now);
        prop_assert!(of_lengths(gun, [a, b + more]) >= now);
    }
}

#[test]
fn regress_a_joint_is_the_same_by_name_wherever_it_is_told() {
    let mut case = Case::default();
    case.set("earth.1.clamp.force", "3 N").expect("a key");
    assert_eq!(Rig::new(&case).circuit.joints[JointId::Clamp(1)].force, 3.0);
    assert_eq!(
        JointId::Clamp(1).of(&case).map(|j| j.force),
        Some(Some(3.0))
    );
}
