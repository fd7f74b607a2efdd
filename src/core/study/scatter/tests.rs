use super::blocks::Blocks;
use super::draw::draws;
use super::*;
use crate::case::read::demonstration;
use crate::study::points::Sampling;
use crate::study::quantiles::Sketch;

fn scatter(sets: &[&str], shots: usize, sampling: Sampling) -> Scatter {
    let sets: Vec<String> = sets.iter().map(|s| s.to_string()).collect();
    let resolved = demonstration(&sets).unwrap();
    let all = resolved.tolerances.of(&resolved.case).into_iter();
    let draws = all.map(|t| Draw::new(&resolved.case, t).unwrap()).collect();
    Scatter {
        base: resolved.case,
        draws,
        dependence: None,
        points: Points { sampling, seed: 4 },
        shots,
        settings: Settings::frozen(),
    }
}

#[test]
fn the_bank_scatters_beyond_what_it_may_be_set_to() {
    let s = scatter(&["bank.voltage_max=112V"], 64, Sampling::Sobol);
    let none = s.rows(0).filter(|r| matches!(r.outcome, Outcome::None(_)));
    assert_eq!(none.count(), 0);
}

#[test]
fn same_bits_for_any_number_of_threads_and_any_start() {
    for sampling in [Sampling::Sobol, Sampling::Random] {
        let s = scatter(&[], 600, sampling);
        let run = |threads: usize, first: usize| -> Vec<Row> {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.unwrap().install(|| s.rows(first).collect())
        };
        let one = run(1, 0);
        assert_eq!(one.len(), 600);
        assert!(one == run(3, 0), "the shots differ with the threads");
        assert!(one[431..] == run(2, 431), "the shots differ with the start");
        assert!(one.iter().enumerate().all(|(k, row)| row.shot == k));
    }
}

#[test]
fn closed_form_the_energy_of_a_voltage_that_scatters() {
    // Mean of ½C(V + w·x)², x even in (−1, 1): ½C(V² + w²/3).
    let sets = [
        "stud.short_resistance=1mohm",
        "tolerance.others=none",
        "tolerance.bank.voltage={ spread = \"10 V\", shape = \"uniform\" }",
    ];
    let s = scatter(&sets, 2048, Sampling::Sobol);
    let mut energy = Sketch::default();
    for row in s.rows(0) {
        energy.add(row.outcome.figures().unwrap().stored_energy_J);
    }
    let expected = 0.5 * 72e-3 * (112.0f64.powi(2) + 100.0 / 3.0);
    let off = energy.mean().unwrap() / expected - 1.0;
    // 2048 cells, a scrambled point in each: the error falls with n to the power 3/2.
    assert!(off.abs() < 1e-5, "{off}");
    let unscattered = 0.5 * 72e-3 * 112.0f64.powi(2);
    assert!(
        (unscattered / expected - 1.0).abs() > 1e-3,
        "the check can fail"
    );
    // Its ends: ½C(V ± w)².
    let (low, high) = (
        0.5 * 72e-3 * 102.0f64.powi(2),
        0.5 * 72e-3 * 122.0f64.powi(2),
    );
    assert!((energy.least().unwrap() / low - 1.0).abs() < 2e-4);
    assert!((energy.most().unwrap() / high - 1.0).abs() < 2e-4);
}

#[test]
fn values_that_make_no_case_are_told_not_fired() {
    let sets = [
        "tolerance.others=none",
        "tolerance.arc.to_stud={ spread = 0.38, shape = \"uniform\" }",
    ];
    let s = scatter(&sets, 64, Sampling::Sobol);
    let rows: Vec<Row> = s.rows(0).collect();
    let none = rows
        .iter()
        .filter(|r| matches!(&r.outcome, Outcome::None(why) if why.contains("power")));
    // Shares above 0.62: 0.14 of a range of 0.76.
    let none = none.count();
    assert!((11..=12).contains(&none), "{none}");
}

#[test]
fn the_spread_of_the_models_constants_is_that_of_the_band() {
    use crate::simulation::fire::{Workspace, fire};
    use crate::simulation::rig::Rig;
    use crate::study::band::band;
    let mut s = scatter(&[], 1000, Sampling::Sobol);
    let model = demonstration(&[]).unwrap().tolerances.of_model(&s.base);
    s.draws = model
        .into_iter()
        .map(|t| Draw::new(&s.base, t).unwrap())
        .collect();
    let mut fill = Sketch::default();
    s.rows(0)
        .for_each(|r| fill.add(r.outcome.figures().unwrap().fill_ratio.unwrap()));
    let shot = fire(&Rig::new(&s.base), &s.settings, &mut Workspace::default()).unwrap();
    let [low, high] = band(&s.base, &shot).unwrap().unwrap().fill_ratio.unwrap();
    // The band has 128 shots only: its percentiles are six shots from the ends.
    let width = high - low;
    let quantile = |share| fill.quantile(share).unwrap().value;
    assert!((quantile(0.05) - low).abs() < 0.1 * width);
    assert!((quantile(0.95) - high).abs() < 0.1 * width);
}

#[test]
fn a_key_that_scatters_and_is_not_well_known_is_drawn_once_with_both() {
    let cone = |sets: &[&str]| {
        let sets: Vec<String> = sets.iter().map(|s| s.to_string()).collect();
        let resolved = demonstration(&sets).unwrap();
        let all = draws(&resolved.case, &resolved.tolerances, true).unwrap();
        let mut cones = all
            .iter()
            .filter(|d| d.address().to_string() == "stud.cone");
        let cone = cones.next().unwrap();
        assert!(cones.next().is_none());
        cone.tolerance.spread.amount.of(cone.value)
    };
    let (alone, both) = (cone(&[]), cone(&[r#"uncertainty.stud.cone="0.3 deg""#]));
    let expected = alone.hypot(0.3_f64.to_radians());
    assert!(
        alone > 0.0 && (both - expected).abs() < 1e-12,
        "{both} {expected}"
    );
}

#[test]
fn shares_of_studs_in_boxes_know_how_few_boxes_there_were() {
    let boxes = |batch: Option<usize>, studs: u64| {
        let mut blocks = Blocks::new(batch);
        // Every tenth box of 500 is bad all through.
        (0..studs).for_each(|k| blocks.take(Some((k / 500).is_multiple_of(10))));
        blocks.share().map(|share| [share.low, share.high])
    };
    let [low, high] = boxes(Some(500), 20_000).unwrap();
    assert!(low < 0.08 && high > 0.12, "{low} {high}");
    let [low, high] = boxes(Some(500), 1000).unwrap();
    assert!(low < 0.1 && high > 0.6, "{low} {high}");
    assert_eq!(boxes(None, 1000), None);
}

#[test]
fn a_box_is_the_unit_of_a_share_however_small_it_is() {
    let mut blocks = Blocks::new(Some(100));
    // Twenty boxes of 100: eight of them cold all through.
    (0..2000).for_each(|k| blocks.take(Some((k / 100) % 5 < 2)));
    let share = blocks.share().unwrap();
    // 0.4 ± 2.093 · √(0.24 / 19).
    assert!((share.low - 0.1648).abs() < 1e-3, "{share:?}");
    assert!((share.high - 0.6352).abs() < 1e-3, "{share:?}");
    // None of twenty units: Wilson's, z²/(20 + z²).
    let mut blocks = Blocks::new(Some(100));
    (0..2000).for_each(|_| blocks.take(Some(false)));
    let share = blocks.share().unwrap();
    assert!(share.low == 0.0 && (share.high - 0.1611).abs() < 1e-3);
}
