use super::fired::Figure;
use super::parts::{Part, Parts};
use super::plan::{Plan, read_break};
use super::run::{Rules, Run, run};
use super::shots::{Shots, TOLERANCE, error};
use super::weld::Limit;
use super::*;
use crate::case::joint_id::JointId;
use crate::simulation::fire::{Settings, Workspace, fire};

const ALL: Rules = Rules {
    wear: true,
    stop: false,
};

fn plan(welds: usize, per_minute: f64) -> Plan {
    Plan::new(welds, per_minute / 60.0, Vec::new()).unwrap()
}

fn ran(case: &Case, plan: &Plan, exact: bool) -> Run {
    let mut shots = Shots::new(Rig::new(case), exact);
    run(case, plan, ALL, &mut shots).unwrap()
}

fn case(sets: &[(&str, &str)]) -> Case {
    let mut case = Case::default();
    for (key, value) in sets {
        case.set(key, value).unwrap();
    }
    case
}

/// A rig whose leads get hot, whose charger is late and whose chuck wears: everything moves at once.
fn hard() -> Case {
    case(&[
        ("lead.section", "10 mm2"),
        ("lead.length", "6 m"),
        ("bank.voltage", "140 V"),
        ("charger.interlock", "no"),
        ("charger.power", "250 W"),
        ("joints.chuck", "worn"),
        ("joints.chuck.force", "30 N"),
        ("thermal.pitch", "15 mm"),
    ])
}

#[test]
fn the_first_weld_is_that_of_fire() {
    let case = Case::default();
    let shift = ran(&case, &plan(1, 12.0), false);
    let (settings, mut work) = (Settings::frozen(), Workspace::default());
    let shot = fire(&Rig::new(&case), &settings, &mut work).unwrap();
    assert_eq!(shift.welds[0].fill(), shot.figures.fill_ratio);
    assert_eq!(shift.welds[0].verdict(), shot.verdict);
}

#[test]
fn conserves_energy_from_the_mains_to_the_room() {
    let mut paused = plan(400, 20.0);
    paused.breaks = vec![read_break("20min@8min").unwrap()];
    let bolted = case(&[("stud.short_resistance", "1 mohm")]);
    for (case, exact) in [
        (Case::default(), true),
        (Case::default(), false),
        (hard(), true),
        (hard(), false),
        (bolted, false),
    ] {
        let run = ran(&case, &paused, exact);
        let gap = run.account.imbalance();
        assert!(gap.abs() < 1e-6, "{gap}");
        assert!(run.account.mains > 0.0 && run.account.to_room > 0.0);
    }
    // A room that would get a tenth less is noticed.
    let mut account = ran(&Case::default(), &paused, false).account;
    account.to_room *= 0.9;
    assert!(account.imbalance().abs() > 1e-3);
}

#[test]
fn interpolated_welds_lie_within_the_tolerance_of_fired_ones() {
    for (case, welds, pace) in [(Case::default(), 300, 30.0), (hard(), 300, 15.0)] {
        let plan = plan(welds, pace);
        let (exact, quick) = (ran(&case, &plan, true), ran(&case, &plan, false));
        let fired = quick.welds.iter().filter(|w| w.fired).count();
        assert!(fired < welds / 4, "{fired} of {welds} fired");
        let mut steps = 0;
        for (n, (a, b)) in quick.welds.iter().zip(&exact.welds).enumerate() {
            assert_eq!(a.verdict(), b.verdict(), "weld {n}");
            let error = error(&a.shot, &b.shot);
            // Now and then a shot leaves the fronts for the enthalpy method, which agrees with them to 1 % and makes
            // a step that no line through its neighbours has.
            let apart = a.shot.course != b.shot.course;
            steps += usize::from(apart);
            let most = if apart { 0.01 } else { TOLERANCE };
            assert!(error < most, "weld {n}: {error}");
            assert!((a.conductor - b.conductor).abs() < 0.05, "weld {n}");
        }
        assert!(steps < welds / 25, "{steps} of {welds} take another course");
    }
}

#[test]
fn conserves_the_network_is_set_up_anew_often_enough() {
    // A hundred watts or so in the gun lead, cooled for an hour: what the usual share of its film does to it.
    let case = case(&[("lead.section", "10 mm2"), ("bank.voltage", "140 V")]);
    let shot = Shots::new(Rig::new(&case), true)
        .shot(&state::State::fresh(case.room.temperature))
        .unwrap()
        .0;
    let end = |stale: f64| {
        let mut parts = Parts::with_stale(&case, stale);
        let mut t = Vec::new();
        for _ in 0..900 {
            parts.heat(&shot, 0.0);
            parts.rest(2.0);
            t.push(parts.of(Part::GunCopper));
        }
        t
    };
    let (usual, fine) = (end(parts::STALE), end(1e-4));
    let worst = usual.iter().zip(&fine).map(|(a, b)| (a - b).abs());
    let worst = worst.fold(0.0, f64::max);
    assert!(fine[899] > 310.0, "{}", fine[899]);
    assert!(worst < 0.15, "{worst} K");
}

#[test]
fn closed_form_without_an_interlock_the_voltage_is_what_the_charger_gives() {
    // 3 s at 250 W, above the knee of 50 V: ½C(u² − 50²) = P·(t − C·50/I), u from 0.
    let case = hard();
    let run = ran(&case, &plan(3, 20.0), true);
    let knee = 250.0 / 5.0;
    let t = 3.0 - 72e-3 * knee / 5.0;
    let expected = (knee * knee + 2.0 * 250.0 * t / 72e-3_f64).sqrt();
    let found = run.welds[1].voltage;
    assert!(
        (found - expected).abs() < 1e-9 * expected,
        "{found} {expected}"
    );
    assert!(run.welds[0].is_ready && !run.welds[1].is_ready);
}

#[test]
fn an_interlock_holds_the_pace_to_the_charger() {
    let case = case(&[("charger.power", "100 W")]);
    let run = ran(&case, &plan(20, 60.0), false);
    let ready = Charge::of(&case, 0.0).ready;
    assert!(ready > 2.0);
    for pair in run.welds.windows(2) {
        assert!((pair[1].time - pair[0].time - ready).abs() < 1e-9);
        assert!(pair[1].is_ready);
    }
    let found = shift(&case, &plan(20, 60.0), quick()).unwrap();
    assert_eq!(found.fastest.bound, fastest::Bound::Charger);
    assert_eq!(found.fastest.pace, Some(fastest::step_below(1.0 / ready)));
}

/// Whether a shift at a pace \[welds/s\], run by itself, is sound and no part too hot.
fn holds(case: &Case, asked: &Plan, pace: f64) -> bool {
    let run = ran(case, &asked.at_pace(pace), false);
    let fine = |w: &weld::Weld| w.is_sound() && !w.too_hot(&case.limits);
    run.welds.iter().all(fine)
}

#[test]
fn the_fastest_pace_holds_when_it_is_run_and_a_step_more_does_not() {
    // A small set: a long thin lead in a warm workshop, where the wear of the chuck costs the last welds.
    let small = case(&[
        ("bank.capacitance", "90 mF"),
        ("bank.voltage", "140 V"),
        ("lead.length", "8 m"),
        ("lead.section", "25 mm2"),
        ("charger.power", "600 W"),
        ("charger.current", "8 A"),
        ("room.temperature", "30 degC"),
        ("stud.size", "M6"),
    ]);
    let mut paused = plan(900, 15.0);
    paused.breaks = vec![read_break("20min@30min").unwrap()];
    let warm = case(&[("bank.voltage", "117 V"), ("lead.section", "16 mm2")]);
    for (case, plan) in [(&small, paused.clone()), (&warm, plan(400, 25.0))] {
        let found = shift(case, &plan, quick()).unwrap().fastest;
        let pace = found.pace.unwrap();
        assert!(matches!(found.bound, fastest::Bound::Weld(_)), "{found:?}");
        assert!(holds(case, &plan, pace), "{found:?}");
        assert!(!holds(case, &plan, 1.011 * pace), "{found:?}");
    }
    // What a search without wear takes for sound.
    assert!(!holds(&small, &paused, 0.169756));
}

#[test]
fn where_wear_decides_no_pace_is_slow_enough() {
    let mut case = Case::default();
    case.wear.allowance = 0.01e-6;
    let found = shift(&case, &plan(200, 12.0), quick()).unwrap();
    let (slow, weld) = found.fastest.even_at.unwrap();
    assert_eq!(found.fastest.pace, None);
    let chuck = reason::Reason::Joint(JointId::Chuck);
    assert_eq!(found.fastest.bound, fastest::Bound::Weld(chuck));
    assert!(slow < 1.0 / 60.0 && weld > 0 && weld < 100, "{weld}");
    let run = ran(&case, &plan(weld + 1, 60.0 * slow), false);
    assert!(!run.welds[weld].is_sound() && run.welds[weld - 1].is_sound());
}

fn quick() -> Extent<'static> {
    Extent {
        scatter: None,
        band: false,
    }
}

#[test]
fn the_part_that_gets_too_hot_limits_the_pace() {
    let mut case = case(&[
        ("charger.power", "5 kW"),
        ("charger.current", "100 A"),
        ("lead.section", "50 mm2"),
    ]);
    let limit = |case: &Case| shift(case, &plan(4000, 12.0), quick()).unwrap().fastest;
    case.thermal.core_resistance = 3.0;
    let found = limit(&case);
    assert_eq!(found.bound, fastest::Bound::Part(Limit::Core));
    let pace = found.pace.unwrap();
    // A hair slower holds, a hair faster does not.
    for (factor, holds) in [(1.0, true), (1.02, false)] {
        let run = ran(&case, &plan(4000, 60.0 * pace * factor), false);
        let bad = run.welds.iter().any(|w| w.too_hot(&case.limits));
        assert_eq!(!bad, holds, "{factor}");
    }
}

#[test]
fn warm_leads_are_told_as_the_reason() {
    let case = case(&[
        ("bank.voltage", "117 V"),
        ("lead.section", "16 mm2"),
        ("charger.power", "2 kW"),
        ("charger.current", "40 A"),
    ]);
    let found = shift(&case, &plan(400, 25.0), quick()).unwrap();
    let (n, why) = found.first_bad.unwrap();
    assert!(n > 5, "{n}");
    assert_eq!(why, reason::Reason::Leads);
    let slower = found.fastest.pace.unwrap();
    assert!(slower < 25.0 / 60.0);
    assert_eq!(
        found.fastest.bound,
        fastest::Bound::Weld(reason::Reason::Leads)
    );
}

#[test]
fn closed_form_the_chuck_parts_when_its_life_is_over() {
    let mut case = Case::default();
    case.wear.coefficient = 5e-3;
    let run = ran(&case, &plan(400, 30.0), false);
    let parts = |w: &weld::Weld| w.shot.has_parted(JointId::Chuck);
    let n = run.welds.iter().position(parts).unwrap();
    let peak = run.welds[n - 1].shot.figure(Figure::Peak);
    let life = life::chuck(&case, peak).unwrap();
    assert!((life.median - n as f64).abs() < 2.5, "{n} {life:?}");
    assert!((life.high / life.low - 9.0).abs() < 1e-9);
    // From then on the arc takes the rest within few welds.
    assert!(
        run.welds[n + 20..]
            .iter()
            .all(|w| w.grip < 1e-9 && !w.is_sound())
    );
}

#[test]
fn a_warm_sheet_melts_deeper() {
    let case = Case::default();
    let mut shots = Shots::new(Rig::new(&case), true);
    let melt = |t: f64, shots: &mut Shots| {
        let state = state::State::fresh(t);
        shots.shot(&state).unwrap().0.figure(Figure::SheetMelt)
    };
    let [cold, warm, hot] = [293.15, 313.15, 393.15].map(|t| melt(t, &mut shots));
    assert!(warm > cold && hot > warm);
    // Twenty kelvin of 1500: a few per cent at most, and nothing jumps as the sheet leaves the stud's temperature.
    assert!(warm / cold < 1.04, "{cold} {warm}");
    let hair = melt(293.151, &mut shots);
    assert!((hair / cold - 1.0).abs() < 1e-4, "{cold} {hair}");
}

#[test]
fn the_heat_balance_of_a_weld_on_a_warm_sheet_closes() {
    for method in ["front", "enthalpy"] {
        let mut rig = Rig::new(&Case::default());
        state::State::fresh(393.15).put_on(&mut rig);
        let mut settings = Settings::frozen();
        if method == "enthalpy" {
            settings.resolution = crate::simulation::mesh::Resolution::enthalpy();
        }
        let shot = fire(&rig, &settings, &mut Workspace::default()).unwrap();
        let gap = shot.effort.heat_imbalance.abs();
        assert!(gap < 1e-9, "{method}: {gap}");
    }
}

#[test]
fn a_shift_that_nobody_waits_for_is_given_up() {
    let (case, plan) = (Case::default(), plan(400, 25.0));
    let cancelled = std::sync::atomic::AtomicBool::new(false);
    let found = shift_until(&case, &plan, quick(), &cancelled)
        .unwrap()
        .unwrap();
    assert_eq!(found.run.welds.len(), 400);
    cancelled.store(true, std::sync::atomic::Ordering::Relaxed);
    assert!(
        shift_until(&case, &plan, quick(), &cancelled)
            .unwrap()
            .is_none()
    );
    let mut shots = Shots::new(Rig::new(&case), false).until(&cancelled);
    let rules = run::Rules {
        wear: true,
        stop: false,
    };
    let run = run::run(&case, &plan, rules, &mut shots).unwrap();
    assert_eq!(run.welds.len(), 1, "it ends after the weld it is at");
}

#[test]
fn the_bank_needs_more_voltage_as_it_ages() {
    let mut case = Case::default();
    case.wear.life = 3600.0 * 100.0;
    let found = shift(&case, &plan(50, 12.0), quick()).unwrap();
    let volts: Vec<_> = found.bank.iter().filter_map(|aged| aged.voltage).collect();
    assert!(
        volts.len() >= 2 && volts.windows(2).all(|w| w[1] > w[0]),
        "{volts:?}"
    );
    assert!(volts[0] > case.bank.voltage);
    let again = case.clone();
    let aged = found.bank[1];
    let mut old = again;
    old.bank.capacitance = aged.capacitance;
    old.bank.esr = aged.esr;
    old.bank.voltage = aged.voltage.unwrap();
    let fill = |case: &Case| {
        let shot = fire(
            &Rig::new(case),
            &Settings::frozen(),
            &mut Workspace::default(),
        );
        shot.unwrap().figures.fill_ratio.unwrap()
    };
    assert!((fill(&old) / fill(&case) - 1.0).abs() < 0.01);
}

#[test]
fn an_aged_bank_is_set_where_the_fill_comes_back() {
    let aged = |sets: &[(&str, &str)]| {
        let mut case = case(sets);
        case.set("wear.life", "100 h").unwrap();
        let run = ran(&case, &plan(20, 12.0), false);
        life::bank(&case, &run).unwrap()
    };
    // At half as much again the melt boils off and the fill is less: what brings it back lies below.
    let found = aged(&[("bank.voltage", "126 V")]);
    let volts = found[0].voltage.unwrap();
    assert!(volts > 126.0 && volts < 140.0, "{volts}");
    let fill = |voltage: f64, capacitance: f64, esr: f64| {
        let mut case = Case::default();
        (case.bank.voltage, case.bank.capacitance) = (voltage, capacitance);
        case.bank.esr = esr;
        let shot = fire(
            &Rig::new(&case),
            &Settings::frozen(),
            &mut Workspace::default(),
        );
        shot.unwrap().figures.fill_ratio.unwrap()
    };
    let bank = Case::default().bank;
    let new = fill(126.0, bank.capacitance, bank.esr);
    let brought = fill(volts, found[0].capacitance, found[0].esr);
    assert!((brought / new - 1.0).abs() < 2e-3, "{brought} {new}");
    // Not beyond what the bank may be set to.
    let free = aged(&[]).first().unwrap().voltage.unwrap();
    let held = aged(&[("bank.voltage_max", "112 V")]);
    assert!(free > 112.0 && held.iter().all(|aged| aged.voltage.is_none()));
}
