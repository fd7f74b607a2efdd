use super::*;
use crate::case::catalogue::OWN;
use crate::simulation::holds::Part;
use crate::simulation::verdict::Verdict;

fn asked() -> Asked {
    Asked::usual(&Case::default())
}

fn of(sets: &[(&str, &str)], asked: &Asked) -> Card {
    let mut case = Case::default();
    for (key, value) in sets {
        case.set(key, value).unwrap();
    }
    card(&case, &Tolerances::default(), asked).unwrap()
}

#[test]
fn every_joint_costs_joules_when_loose_and_the_reserve_falls() {
    let card = of(&[], &asked());
    assert_eq!(card.weld.shot.verdict, Some(Verdict::Sound));
    assert_eq!(card.joints.len(), 7);
    let reserve = card.weld.shot.reserve().unwrap();
    for loose in &card.joints {
        assert!(card.taken(loose).unwrap() > 0.0, "{loose:?}");
        // A loose clamp leaves the current to the other lead: it may part and cost little.
        let left = loose.shot.as_ref().unwrap().reserve();
        assert!(left.is_none_or(|left| left < reserve), "{loose:?}");
    }
    // One that is as bad already is not made worse, nor better.
    let sets = [("joints.tool", "arcing"), ("joints.bank", "2 mohm")];
    let card = of(
        &sets,
        &Asked {
            as_set: true,
            ..asked()
        },
    );
    assert_eq!(card.joints[0].shot, None);
    // One that arcs resists nothing, yet is worse than worn or loose.
    let shot = |card: &Card, joint: JointId| {
        let tried = card.joints.iter().find(|t| t.what.joint == joint);
        tried.unwrap().shot.clone()
    };
    assert_eq!(shot(&card, JointId::Tool), None);
    let sets = [
        ("joints.chuck", "arcing"),
        ("earth.0.clamp", "arcing"),
        ("joints.tool.force", "2 N"),
        ("joints.tool.resistance", "0 mohm"),
    ];
    let as_set = Asked {
        as_set: true,
        ..asked()
    };
    let card = of(&sets, &as_set);
    for joint in [JointId::Chuck, JointId::Clamp(0), JointId::Tool] {
        assert_eq!(shot(&card, joint), None, "{joint}");
    }
    assert!(shot(&card, JointId::Bank).is_some());
}

#[test]
fn the_card_is_of_the_setting_that_the_chart_gives() {
    let card = of(&[], &asked());
    let Some(Answer::Sound(setting)) = &card.answer else {
        panic!("{:?}", card.answer);
    };
    assert_eq!(card.weld.case.bank.voltage, setting.voltage);
    assert_eq!(card.weld.case.tool.spring_force, setting.force);
    let kept = of(
        &[],
        &Asked {
            as_set: true,
            ..asked()
        },
    );
    assert!(kept.answer.is_none());
    assert_eq!(kept.weld.case, Case::default());
}

#[test]
fn a_deeper_mark_takes_more_of_the_fill_and_the_setting_makes_up_for_it() {
    let with = |depth: f64| {
        of(
            &[],
            &Asked {
                mark: CentreMark::new(depth, 90f64.to_radians()),
                ..asked()
            },
        )
    };
    let fill = |shot: &Shot| shot.figures.rim_fill_min.unwrap();
    let [shallow, deep] = [with(0.2e-3), with(0.6e-3)];
    let lost = |card: &Card| fill(&card.mark.without) - fill(card.mark.with.as_ref().unwrap());
    assert!(lost(&shallow) > 0.0 && lost(&deep) > lost(&shallow));
    assert!(matches!(&deep.mark.answer, Some(Answer::Sound(_))));
    // Deeper than the sheet: no such case.
    let through = with(5e-3);
    assert!(through.mark.with.is_none() && through.mark.answer.is_none());
}

#[test]
fn looks_have_the_verdict_they_are_shown_for() {
    let card = of(&[], &asked());
    let seen: Vec<Verdict> = card.looks.iter().map(|look| look.verdict).collect();
    assert_eq!(seen[0], Verdict::Sound);
    assert!(seen.contains(&Verdict::Cold) && seen.contains(&Verdict::OneSided));
    for look in &card.looks {
        assert_eq!(look.blow.shot.verdict, Some(look.verdict));
        assert!(look.case.check().is_ok());
    }
}

#[test]
fn the_test_force_is_never_above_what_the_least_part_bears() {
    for sets in [
        &[][..],
        &[("sheet.thickness", "0.6 mm")],
        &[("stud.metal", "stainless 18/8"), ("stud.size", "M8")],
        &[("stud.size", "M3")],
    ] {
        let card = of(sets, &asked());
        let screw = card.screw.expect("a thread");
        let (_, breaks) = screw.breaks;
        assert!(screw.force <= 0.7 * breaks + 1e-9, "{sets:?} {screw:?}");
        assert!(screw.torque > 0.0);
    }
    // A thin sheet gives way before the stud's thread.
    let thin = of(&[("sheet.thickness", "0.6 mm")], &asked());
    assert_eq!(thin.screw.unwrap().limit, Part::Sheet);
    let mut own = Case::default();
    own.stud.size = OWN.into();
    let own = card(&own, &Tolerances::default(), &asked()).unwrap();
    assert_eq!(own.screw, None, "{}", own.weld.case.stud.size);
}

#[test]
fn a_template_that_fits_tightly_lets_the_tool_lean_less() {
    let card = of(&[], &asked());
    let t = &card.template;
    assert!(t.tilt > 0.0 && t.tilt < 0.2 / 10.0);
    assert!((t.hole - 25.2e-3).abs() < 1e-12);
    let tight = of(
        &[],
        &Asked {
            clearance: 0.1e-3,
            ..asked()
        },
    );
    assert!(tight.template.tilt < t.tilt && tight.template.thickness < t.thickness);
}

#[test]
fn welds_to_look_at_are_fired_as_they_are_told() {
    let sets = [
        ("tool.method", "gap"),
        ("stud.metal", "aluminium"),
        ("sheet.metal", "aluminium"),
    ];
    let card = of(&sets, &asked());
    let Some(Answer::Sound(setting)) = &card.answer else {
        panic!("{:?}", card.answer);
    };
    let window = &setting.voltages;
    for look in &card.looks {
        let volts = look.case.bank.voltage;
        assert_eq!(volts, crate::case::quantity::to_digits(volts, 3));
        let told = (window.low.ceil()..=window.high.floor()).contains(&volts);
        let tilted = look.case.tool.tilt > 0.0;
        assert_eq!(told, tilted || look.verdict == Verdict::Sound, "{volts} V");
    }
}

#[test]
fn no_weld_to_look_at_is_above_the_voltages_searched() {
    // An M8 on this bank is sound up to where the search ends: a hot one lies beyond.
    let large = of(&[("stud.size", "M8")], &asked());
    let volts = |card: &Card| {
        card.looks
            .iter()
            .map(|look| look.case.bank.voltage)
            .fold(0.0, f64::max)
    };
    assert!(volts(&large) <= large.highest, "{}", large.highest);
    assert!(large.looks.iter().all(|look| look.verdict != Verdict::Hot));
    // Where the bank is known to bear more, the weld is looked for up to that.
    let known = of(
        &[("stud.size", "M8"), ("bank.voltage_max", "300 V")],
        &asked(),
    );
    assert_eq!(known.highest, 300.0);
    assert!(volts(&known) > large.highest);
}
