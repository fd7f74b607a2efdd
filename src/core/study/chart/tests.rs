use super::*;
use crate::study::band::SHOTS;

fn ranges(base: &Case) -> [Vary; 2] {
    ["bank.voltage=28..224V", "tool.spring_force=20..160N"]
        .map(|text| Vary::read(base, text, 2).unwrap())
}

fn job(size: &str, metal: &str) -> Job {
    Job {
        size: size.into(),
        stud_metal: metal.into(),
        sheet_metal: metal.into(),
        method: Method::Contact,
    }
}

#[test]
fn a_setting_is_sound_and_its_window_ends_where_it_says() {
    let base = Case::default();
    let jobs = vec![job("M3", "mild steel"), job("M8", "copper")];
    let chart = chart(&base, &[], ranges(&base), jobs, || true).unwrap();
    let Answer::Sound(s) = &chart.lines[0].answer else {
        panic!("{:?}", chart.lines[0]);
    };
    let case = case(&base, &chart.lines[0].job).unwrap();
    let dial = Dial::new(case, chart.ranges.to_vec());
    let verdict = |volts: f64| dial.fire(&[volts, s.force]).verdict();
    assert_eq!(verdict(s.voltage), Some(Verdict::Sound));
    for (inside, outside) in [
        (s.voltages.low, s.voltages.low * (1.0 - 1e-6)),
        (s.voltages.high, s.voltages.high * (1.0 + 1e-6)),
    ] {
        assert_eq!(verdict(inside), Some(Verdict::Sound));
        assert_ne!(verdict(outside), Some(Verdict::Sound));
    }
    assert_eq!(s.voltage.fract(), 0.0, "whole volts");
    assert_eq!(s.force.fract(), 0.0, "whole newtons");
    let Answer::Nowhere(hard) = &chart.lines[1].answer else {
        panic!("{:?}", chart.lines[1]);
    };
    assert!(
        hard.spread
            .is_some_and(|(sound, shots)| sound < shots && shots == SHOTS),
        "{hard:?}"
    );
}

#[test]
fn a_larger_bank_is_named_where_it_does_and_it_does() {
    // A cone that M5 fills with a fifth more, and one that it does not fill with twice as much.
    let mut base = Case::default();
    base.stud.cone = 5f64.to_radians();
    let run = |base: &Case| {
        let jobs = vec![job("M5", "mild steel")];
        let chart = chart(base, &[], ranges(base), jobs, || true).unwrap();
        match chart.lines.into_iter().next().unwrap().answer {
            Answer::Nowhere(hard) => *hard,
            other => panic!("{other:?}"),
        }
    };
    let larger = run(&base).larger.unwrap();
    let (set, times) = (&larger.setting, larger.capacitance / base.bank.capacitance);
    assert!((1.05..=2.01).contains(&times), "{times}");
    let mut case = case(&base, &job("M5", "mild steel")).unwrap();
    case.bank.capacitance = larger.capacitance;
    let dial = Dial::new(case, ranges(&base).to_vec());
    assert_eq!(
        dial.fire(&[set.voltage, set.force]).verdict(),
        Some(Verdict::Sound)
    );
    base.stud.cone = 14f64.to_radians();
    assert_eq!(run(&base).larger, None);
}

#[test]
fn a_stopped_chart_is_none_and_threads_do_not_matter() {
    let base = Case::default();
    let jobs = || vec![job("M3", "mild steel"), job("M4", "brass 63/37")];
    assert!(chart(&base, &[], ranges(&base), jobs(), || false).is_none());
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let chart = pool
            .unwrap()
            .install(|| chart(&base, &[], ranges(&base), jobs(), || true));
        format!("{:?}", chart.unwrap().lines)
    };
    assert_eq!(run(1), run(3));
}

#[test]
fn the_case_keeps_its_own_metals_and_stud() {
    let mut base = Case::default();
    base.stud.size = OWN.into();
    base.stud.flange = 6.1e-3;
    base.stud.metal.density = 7000.0;
    base.sheet.metal.name = "our plate".into();
    assert!(sizes(&base).contains(&OWN.to_string()));
    assert_eq!(pairs(&base)[0].1, "our plate");
    let own = case(&base, &job(OWN, "mild steel")).unwrap();
    assert_eq!((own.stud.flange, own.stud.metal.density), (6.1e-3, 7000.0));
    assert_eq!(
        case(&base, &job("M3", "our plate")).unwrap().stud.flange,
        4.5e-3
    );
    assert!(case(&base, &job("M7", "mild steel")).is_none());
}
