use super::*;
use crate::simulation::verdict::Verdict;
use crate::study::band::SHOTS;

fn ranges(base: &Case) -> [Vary; 2] {
    ["bank.voltage=28..224V", "tool.spring_force=20..160N"]
        .map(|text| Vary::read(base, text, 2).unwrap())
}

/// A chart of these jobs over those ranges.
fn charted(base: &Case, jobs: Vec<Job>, one_spring: bool) -> Chart {
    chart(plan(base, jobs, one_spring), || true).unwrap()
}

fn plan(base: &Case, jobs: Vec<Job>, one_spring: bool) -> Plan<'_> {
    Plan {
        base,
        faults: &[],
        ranges: ranges(base),
        jobs,
        one_spring,
        tolerances: usual(),
    }
}

fn usual() -> &'static Tolerances {
    static USUAL: std::sync::LazyLock<Tolerances> = std::sync::LazyLock::new(Tolerances::default);
    &USUAL
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
    let chart = charted(&base, jobs, false);
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
        hard.chance
            .is_some_and(|chance| chance.sound < chance.shots && chance.shots == SHOTS),
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
        let chart = charted(base, jobs, false);
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
    assert!(chart(plan(&base, jobs(), false), || false).is_none());
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let chart = pool.unwrap().install(|| charted(&base, jobs(), false));
        format!("{:?}", chart.lines)
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

#[test]
fn the_setting_is_the_pair_of_the_dial_but_for_rounding() {
    let base = Case::default();
    let chart = charted(&base, vec![job("M5", "mild steel")], false);
    let Answer::Sound(s) = &chart.lines[0].answer else {
        panic!("{:?}", chart.lines[0]);
    };
    let pair = Dial::new(base.clone(), ranges(&base).to_vec())
        .pair()
        .unwrap();
    assert_eq!([s.voltage, s.force], pair.at.map(f64::round));
    assert!(
        (s.margin - pair.margin).abs() < 0.5 / s.force,
        "{s:?} {pair:?}"
    );
    assert!(
        s.chance
            .is_some_and(|chance| chance.sound > 0 && chance.shots == SHOTS)
    );
}

#[test]
fn forces_rise_and_fall_smoothly_from_size_to_size_and_one_spring_serves_all() {
    let base = Case::default();
    let jobs = || {
        ["M3", "M4", "M5", "M6"]
            .map(|size| job(size, "mild steel"))
            .to_vec()
    };
    let own = charted(&base, jobs(), false);
    let setting = |line: &Line| match &line.answer {
        Answer::Sound(s) => (**s).clone(),
        other => panic!("{other:?}"),
    };
    let own: Vec<Setting> = own.lines.iter().map(setting).collect();
    for two in own.windows(2) {
        let ratio = two[1].force / two[0].force;
        assert!((1.0 / 1.4..1.4).contains(&ratio), "{two:?}");
        assert!(two[1].voltage > two[0].voltage, "{two:?}");
    }
    let one = charted(&base, jobs(), true);
    let force = one.one_spring.unwrap();
    for (line, own) in one.lines.iter().zip(&own) {
        let s = setting(line);
        assert_eq!(s.force, force);
        assert!(
            s.margin > 0.0 && s.margin < own.margin / 0.79,
            "{s:?} {own:?}"
        );
        assert_eq!(line.own.as_deref(), Some(own));
        let case = case(&base, &line.job).unwrap();
        let dial = Dial::new(case, ranges(&base).to_vec());
        assert_eq!(
            dial.fire(&[s.voltage, force]).verdict(),
            Some(Verdict::Sound)
        );
    }
    // No other force leaves the worst off of them more.
    let least = |lines: &[Line]| {
        let margins = lines.iter().map(|l| setting(l).margin);
        margins.fold(f64::INFINITY, f64::min)
    };
    let best = least(&one.lines);
    for other in [0.8 * force, 1.25 * force] {
        let mut ranges = ranges(&base);
        (ranges[1].from, ranges[1].to) = (other, other * 1.000_001);
        let plan = Plan {
            ranges,
            ..plan(&base, jobs(), true)
        };
        let chart = chart(plan, || true).unwrap();
        let sound = chart
            .lines
            .iter()
            .all(|l| matches!(l.answer, Answer::Sound(_)));
        assert!(!sound || least(&chart.lines) < best + 0.01, "{other}");
    }
}
