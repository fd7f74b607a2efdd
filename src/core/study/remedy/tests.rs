use super::*;
use crate::study::band::band;
use crate::study::dial::Dial;
use crate::study::dial::asked::asked;

fn remedies(case: &Case, shot: &Shot) -> Remedies {
    super::remedies(case, shot, &mut Allowance::beside(&shot.effort))
}

fn shot(case: &Case) -> Shot {
    fire(
        &Rig::new(case),
        &Settings::default(),
        &mut Workspace::default(),
    )
    .unwrap()
}

#[test]
fn practice_a_cold_weld_gets_sound_by_more_voltage() {
    let mut case = Case::default();
    case.bank.voltage = 95.0;
    let before = shot(&case);
    assert_eq!(before.verdict, Some(Verdict::Cold));
    let found = remedies(&case, &before).tried;
    let voltage = found.iter().find(|s| s.key == "bank.voltage").unwrap();
    let (low, high) = voltage.sound.unwrap();
    assert!(low > 95.0, "{voltage:?}");
    // What it says holds when fired, and no more than rounding to three digits beyond it.
    for (volts, sound) in [
        (low, true),
        (high, true),
        (0.985 * low, false),
        (1.015 * high, false),
    ] {
        case.bank.voltage = volts;
        assert_eq!(
            shot(&case).verdict == Some(Verdict::Sound),
            sound,
            "{volts} V"
        );
    }
}

#[test]
fn practice_a_far_voltage_is_found_as_a_dial_finds_it() {
    for volts in [55.0, 400.0] {
        let mut case = Case::default();
        case.bank.voltage = volts;
        let tried = remedies(&case, &shot(&case)).tried;
        let (low, high) = tried[0].sound.unwrap();
        let vary = asked(&case, "bank.voltage").unwrap();
        let window = Dial::new(case, vec![vary]).window(0, None).unwrap();
        for (found, dialled) in [(low, window.low), (high, window.high)] {
            assert!((found / dialled - 1.0).abs() < 0.01, "{tried:?} {window:?}");
        }
    }
}

#[test]
fn practice_half_the_leads_mend_a_weld_at_their_end() {
    let mut case = Case::default();
    case.lead.length = 15.0;
    let before = shot(&case);
    assert_eq!(before.verdict, Some(Verdict::Cold));
    assert!(remedies(&case, &before).shorter_leads);
}

#[test]
fn practice_tight_joints_mend_a_weld_through_loose_ones() {
    let mut case = Case::default();
    case.joints.tool = catalogue::joint("loose");
    case.joints.bank = catalogue::joint("loose");
    let before = shot(&case);
    assert_eq!(before.verdict, Some(Verdict::Cold));
    assert!(remedies(&case, &before).tight_joints);
}

#[test]
fn a_burning_joint_is_mended_and_not_made_up_for() {
    let mut case = Case::default();
    case.joints.tool = catalogue::joint("loose");
    let found = remedies(&case, &shot(&case));
    assert!(found.tight_joints && found.tried.is_empty(), "{found:?}");
    // One that burns where tight joints are not enough leaves the settings to be tried.
    case.bank.voltage = 80.0;
    let found = remedies(&case, &shot(&case));
    assert!(!found.tight_joints && !found.tried.is_empty(), "{found:?}");
}

#[test]
fn a_setting_is_as_sure_as_the_band_in_the_middle_of_its_window() {
    let mut case = Case::default();
    case.bank.voltage = 95.0;
    let found = remedies(&case, &shot(&case)).tried;
    for tried in found.iter().filter(|t| t.sound.is_some()) {
        let middle = tried.middle.unwrap();
        let mut set = case.clone();
        let address = find(tried.key).unwrap();
        address.set_number(&mut set, middle.value).unwrap();
        let band = band(&set, &shot(&set)).unwrap().unwrap();
        let sound = band.verdicts.iter().find(|(v, _)| *v == Verdict::Sound);
        assert_eq!(
            (middle.sound, middle.shots),
            (sound.map_or(0, |(_, n)| *n), band.shots),
            "{tried:?}"
        );
    }
    let middle = |sound| Middle {
        value: 1.0,
        sound,
        shots: 128,
    };
    assert!(middle(12).is_hardly_sound() && !middle(13).is_hardly_sound());
}

#[test]
fn no_more_is_tried_than_the_bank_may_have() {
    let mut case = Case::default();
    case.bank.voltage = 95.0;
    case.bank.voltage_max = Some(98.0);
    let tried = remedies(&case, &shot(&case)).tried;
    let voltage = tried.iter().find(|t| t.key == "bank.voltage").unwrap();
    assert_eq!(voltage.range.1, 98.0, "{voltage:?}");
    assert_eq!(voltage.sound, None);
    // A weak spring helps no more than the tool can be set to.
    let weak = |least: Option<f64>| {
        let mut case = Case::default();
        (case.tool.spring_force, case.tool.spring_min) = (200.0, least);
        let tried = remedies(&case, &shot(&case)).tried;
        let spring = tried.iter().find(|t| t.key == "tool.spring_force");
        spring.and_then(|t| t.sound).map(|sound| sound.0)
    };
    let free = weak(None).unwrap();
    let least = (1.1 * free).round();
    assert_eq!(weak(Some(least)), Some(least));
}

#[test]
fn practice_a_sound_weld_needs_nothing() {
    let case = Case::default();
    assert_eq!(remedies(&case, &shot(&case)), Remedies::default());
}

#[test]
fn closed_form_the_nearest_run_of_sound_values() {
    let run = |s: [u8; 7]| nearest(7, &s.map(|s| s == 1), 3);
    assert_eq!(run([0; 7]), None);
    assert_eq!(run([1, 1, 0, 0, 0, 0, 0]), Some((0, 1)));
    assert_eq!(run([1, 0, 0, 0, 0, 1, 1]), Some((5, 6)));
    assert_eq!(run([1, 1, 1, 1, 1, 0, 1]), Some((0, 4)));
}
