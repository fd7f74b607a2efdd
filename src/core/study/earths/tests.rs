use std::f64::consts::PI;

use super::remedies::apply;
use super::*;
use crate::case::keys::set_text;
use crate::simulation::shot::Figures;
use crate::simulation::trace::{Row, trace};

fn case(sets: &[(&str, &str)]) -> Case {
    let mut case = Case::default();
    for (key, text) in sets {
        set_text(&mut case, key, text).unwrap();
    }
    case
}

fn run(case: &Case) -> Blow {
    blow(case, &Settings::default(), &mut Workspace::default()).unwrap()
}

fn single(at: Plane) -> Case {
    let mut case = Case::default();
    case.earths.truncate(1);
    case.earths[0].at = at;
    case
}

fn drift(case: &Case) -> Plane {
    run(case).drift().unwrap()
}

#[test]
fn practice_one_clamp_pushes_the_melt_away_from_itself() {
    for at in [[-0.2, 0.0], [0.1, 0.3], [0.0, -0.05]] {
        let [x, y] = drift(&single(at));
        let (distance, size) = (at[0].hypot(at[1]), x.hypot(y));
        let along = (x * at[0] + y * at[1]) / (distance * size);
        assert!((along + 1.0).abs() < 1e-12, "{along}");
        assert!(size > 1e-6, "{size}");
    }
}

#[test]
fn practice_two_alike_on_opposite_sides_cancel() {
    let blow = run(&Case::default());
    let one = blow.sources[0].drift.unwrap()[0].abs();
    assert!(one > 1e-6);
    assert!(blow.distance().unwrap() < 1e-12 * one);
    assert_eq!((blow.heading(), blow.culprit()), (None, None));
}

#[test]
fn practice_a_worse_clamp_leaves_the_better_one_the_upper_hand() {
    let blow = run(&case(&[("earth.1.clamp", "arcing")]));
    assert!(blow.share(0) > 0.55, "{}", blow.share(0));
    assert_eq!(blow.culprit(), Some(Place::Sheet(0)));
    assert!(
        blow.heading().unwrap().abs() < 1e-9,
        "towards the arcing clamp"
    );
}

#[test]
fn practice_a_far_clamp_pushes_less_as_one_over_its_distance() {
    // Currents change a little with the path in the sheet, so the field per ampere is compared.
    let per_ampere = |d: f64| {
        let blow = run(&single([d, 0.0]));
        blow.sources[0].field[1] / (blow.current_density * PI * blow.face.radius.powi(2))
    };
    let near = per_ampere(0.1);
    for d in [0.2, 0.4, 1.0] {
        assert!((per_ampere(d) * d / (near * 0.1) - 1.0).abs() < 1e-9);
    }
}

/// ∬ i·i_k dt² over rows by trapezoids, the time left as weight.
fn by_rows(rows: &[Row]) -> [f64; MAX_EARTHS + 1] {
    let arc: Vec<&Row> = rows.iter().filter(|r| r.phase == Phase::Arc).collect();
    let end = arc.last().unwrap().time_s;
    let mut sum = [0.0; MAX_EARTHS + 1];
    for pair in arc.windows(2) {
        let half = 0.5 * (pair[1].time_s - pair[0].time_s);
        for row in pair {
            let weight = half * (end - row.time_s) * row.current_A;
            for (sum, own) in sum
                .iter_mut()
                .zip(row.earths_A.iter().chain([&row.current_A]))
            {
                *sum += weight * own;
            }
        }
    }
    sum
}

#[test]
fn closed_form_moments_are_those_of_the_trace() {
    let case = case(&[("earth.1.length", "9 m")]);
    let rig = Rig::new(&case);
    let shot = trace(
        &rig,
        &Settings::default(),
        0.5e-6,
        &mut Workspace::default(),
    )
    .unwrap();
    let found = shot.shot.moments.unwrap();
    for (lane, expected) in by_rows(&shot.rows).into_iter().enumerate() {
        assert!(
            (found[lane] - expected).abs() <= 1e-5 * expected,
            "{lane}: {found:?}"
        );
    }
    assert!(found[0] > 1.2 * found[1] && found[2] == 0.0);
}

#[test]
fn conserves_the_direction_when_all_is_turned() {
    let mut square = case(&[
        ("earth.1.clamp", "worn"),
        ("earth.0.elevation", "20 deg"),
        ("earth.0.azimuth", "30 deg"),
        ("lead.elevation", "40 deg"),
        ("lead.direction", "75 deg"),
    ]);
    square.earths[1].at = [0.1, 0.25];
    let before = drift(&square);
    let (sin, cos) = 1.1f64.sin_cos();
    let turn = |[x, y]: Plane| [cos * x - sin * y, sin * x + cos * y];
    let mut turned = square.clone();
    for earth in &mut turned.earths {
        earth.at = turn(earth.at);
    }
    turned.lead.direction += 1.1;
    let (expected, found) = (turn(before), drift(&turned));
    let size = before[0].hypot(before[1]);
    assert!(size > 1e-6);
    for c in 0..2 {
        assert!((expected[c] - found[c]).abs() < 1e-9 * size);
    }
    // Turning only the clamps is another case.
    turned.lead.direction -= 1.1;
    let other = drift(&turned);
    assert!((expected[0] - other[0]).hypot(expected[1] - other[1]) > 0.05 * size);
}

#[test]
fn conserves_the_shot_whatever_the_leads_do() {
    // Which way a lead runs moves the melt, not the circuit.
    let plain = run(&Case::default());
    let bent = run(&case(&[
        ("lead.elevation", "0 deg"),
        ("earth.0.elevation", "-30 deg"),
    ]));
    let circuit = |b: &Blow| Figures {
        rim_fill_min: None,
        rim_fill_min_at: None,
        welded_share: None,
        ..b.shot.figures
    };
    assert_eq!(circuit(&plain), circuit(&bent));
    assert!(bent.shot.figures.rim_fill_min < plain.shot.figures.rim_fill_min);
    assert!(bent.distance().unwrap() > 1e-6);
}

#[test]
fn practice_remedies_help_and_the_best_comes_first() {
    let case = single([-0.2, 0.0]);
    let before = run(&case);
    let tried = trials(&case, &before).unwrap();
    assert!(matches!(tried[0].remedy, Remedy::Mirrored { .. }));
    assert!(tried[0].blow.distance().unwrap() < 1e-9 * before.distance().unwrap());
    let drifts: Vec<f64> = tried.iter().map(|t| t.blow.distance().unwrap()).collect();
    assert!(
        drifts.windows(2).all(|w| w[0] <= w[1] + NOTHING),
        "{drifts:?}"
    );
    assert!(drifts.iter().all(|d| *d < before.distance().unwrap()));
    let Some(Remedy::Moved { at, .. }) = tried
        .iter()
        .map(|t| t.remedy)
        .find(|r| matches!(r, Remedy::Moved { .. }))
    else {
        panic!("no place tried: {tried:?}");
    };
    assert!((at[0].hypot(at[1]) - 0.4).abs() < 1e-12, "farther off");
}

#[test]
fn a_new_clamp_is_never_as_bad_as_the_one_it_copies() {
    for sets in [
        &[("earth.0.clamp", "loose"), ("earth.1.length", "10 m")][..],
        &[("earth.1.clamp", "arcing"), ("tool.tilt", "2 deg")],
        &[("earth.1.clamp.force", "0 N"), ("earth.0.length", "10 m")],
    ] {
        let case = case(sets);
        let before = run(&case);
        for trial in trials(&case, &before).unwrap() {
            let (Remedy::Mirrored { like, .. } | Remedy::Added { like, .. }) = trial.remedy else {
                continue;
            };
            let with = apply(&case, trial.remedy);
            let new = with.earths.last().unwrap();
            assert!(!is_worn(new), "{trial:?}");
            assert_eq!(new.length, case.earths[like].length);
        }
    }
    let copied = apply(
        &Case::default(),
        Remedy::Mirrored {
            like: 0,
            at: [0.1; 2],
        },
    );
    assert_eq!(copied.earths[2].clamp, Case::default().earths[0].clamp);
}

#[test]
fn nothing_is_tried_without_an_arc_or_a_drift() {
    for sets in [
        &[][..],
        &[("stud.short_resistance", "1 mohm")],
        &[("bank.voltage", "1 V")],
    ] {
        let case = case(sets);
        let blow = run(&case);
        assert!(trials(&case, &blow).unwrap().is_empty());
    }
    let bolted = run(&case(&[
        ("stud.short_resistance", "1 mohm"),
        ("earth.1.clamp", "loose"),
    ]));
    assert_eq!((bolted.drift(), bolted.rim(0.0)), (None, None));
    assert!(bolted.field()[1] != 0.0 && bolted.time.is_some());
}

#[test]
fn the_rim_is_that_of_the_verdict_under_tilt_and_drift() {
    for (tilt, towards) in [("0 deg", "12"), ("1 deg", "12"), ("2 deg", "4")] {
        let mut case = case(&[("tool.tilt", tilt), ("tool.tilt_towards", towards)]);
        case.earths.truncate(1);
        let blow = run(&case);
        let figures = &blow.shot.figures;
        let (least, judged) = (blow.weakest().unwrap(), figures.rim_fill_min.unwrap());
        assert!((least - judged).abs() < 1e-12, "{tilt}: {least} {judged}");
        let angle = blow.weakest_at().unwrap();
        assert!((blow.rim(angle).unwrap() - least).abs() < 1e-6);
        let bare = matches!(blow.bare(), Some(Bare::Within { .. }));
        assert_eq!(bare, judged < 1.0, "{tilt}");
    }
}

#[test]
fn practice_unequal_leads_made_alike_let_two_clamps_cancel() {
    let case = case(&[("earth.1.length", "12 m")]);
    let before = run(&case);
    let found = trials(&case, &before).unwrap();
    let alike = found.iter().find(|t| t.remedy == Remedy::Alike);
    let alike = alike.unwrap_or_else(|| panic!("{found:?}"));
    assert!(before.distance().unwrap() > 10.0 * NOTHING);
    assert!(alike.blow.distance().unwrap() < NOTHING);
    // Leads that are alike are not tried.
    let found = trials(&single([0.2, 0.0]), &run(&single([0.2, 0.0]))).unwrap();
    assert!(found.iter().all(|t| t.remedy != Remedy::Alike));
}

#[test]
fn a_joint_that_is_loose_is_tightened_first_though_the_melt_drifts_more() {
    let mut case = case(&[
        ("earth.0.clamp", "loose"),
        ("earth.1.length", "15 m"),
        ("sheet.thickness", "2 mm"),
    ]);
    let before = run(&case);
    let found = trials(&case, &before).unwrap();
    assert!(!before.is_sound() && found[0].remedy == Remedy::Tight);
    assert!(found[0].blow.is_sound() && found[0].blow.distance() > before.distance());
    // What leaves the weld cold comes behind all that makes it sound.
    let sound: Vec<bool> = found.iter().map(|t| t.blow.is_sound()).collect();
    assert!(sound.contains(&false) && sound.is_sorted_by(|a, b| a >= b));
    // A weld that is sound with the joint is told first what lessens its drift.
    case.earths[1].length = 12.0;
    case.bank.voltage = 125.0;
    let before = run(&case);
    let found = trials(&case, &before).unwrap();
    assert!(before.is_sound() && found[0].remedy != Remedy::Tight);
    assert!(found.iter().any(|t| t.remedy == Remedy::Tight));
    // Where no joint is loose, there is nothing to tighten.
    case.earths[0].clamp = case.earths[1].clamp.clone();
    let found = trials(&case, &run(&case)).unwrap();
    assert!(!found.is_empty() && found.iter().all(|t| t.remedy != Remedy::Tight));
}

#[test]
fn practice_no_remedy_makes_the_melt_drift_against_a_tilt() {
    let mut case = case(&[("tool.tilt", "1 deg")]);
    case.earths.truncate(1);
    let before = run(&case);
    let found = trials(&case, &before).unwrap();
    assert!(!before.is_sound() && found[0].blow.is_sound());
    assert_eq!(found[0].remedy, Remedy::Squared);
    assert!(matches!(found[1].remedy, Remedy::Mirrored { .. }));
    assert!(
        found[1..]
            .iter()
            .all(|t| t.blow.distance() < before.distance())
    );
    // All are fired square: with one more clamp there is nothing left that differs round the rim.
    let fill = |t: &Trial| t.blow.weakest().unwrap() / t.blow.shot.figures.fill_ratio.unwrap();
    assert!((fill(&found[1]) - 1.0).abs() < 1e-9);
}
