use super::*;

#[test]
fn every_fault_can_be_put_on_the_demonstration_case() {
    assert!(faults().len() >= 21);
    for fault in faults() {
        let changed = apply(&Case::default(), &[fault]).unwrap_or_else(|e| panic!("{e}"));
        assert!(changed != Case::default(), "{}", fault.name);
        for text in [&fault.about, &fault.seen, &fault.remedy] {
            assert!(text.is_ascii() && !text.is_empty(), "{text}");
        }
    }
}

#[test]
fn factors_amounts_and_values_do_what_they_say() {
    let base = Case::default();
    let with = |name| apply(&base, &[find(name).unwrap()]).unwrap();
    assert_eq!(with("fired-before-full-charge").bank.voltage, 100.8);
    assert_eq!(with("stiff-slide").tool.friction, 25.0);
    assert_eq!(with("surplus-coiled").lead.turns, 3.0);
    assert!(with("long-leads").earths.iter().all(|e| e.length == 10.0));
    assert_eq!(with("one-earth-lead-off").earths.len(), 1);
    let pair = ["tired-bank", "fired-before-full-charge"].map(|n| find(n).unwrap());
    let both = apply(&base, &pair).unwrap();
    assert_eq!((both.bank.esr, both.bank.voltage), (4e-3, 100.8));
    assert_eq!(with("sheet-too-thin").sheet.thickness, 0.375e-3);
}

#[test]
fn what_cannot_be_is_said_with_its_numbers() {
    let mut thin = Case::default();
    thin.sheet.thickness = 0.5e-3;
    let deep = find("centre-mark-deep").unwrap();
    let error = apply(&thin, &[deep]).unwrap_err().to_string();
    assert!(
        error.contains("centre mark of 0.8 mm") && error.contains("0.5 mm"),
        "{error}"
    );

    let mut one = Case::default();
    one.earths.pop();
    let off = find("one-earth-lead-off").unwrap();
    let error = apply(&one, &[off]).unwrap_err();
    assert!(matches!(error, FaultError::LastEarth { .. }), "{error}");

    let error = apply(&Case::default(), &[deep, deep]).unwrap_err();
    assert!(matches!(error, FaultError::NoChange { .. }), "{error}");

    let mut worse = Case::default();
    worse.joints.tool = crate::case::catalogue::joint("loose");
    worse.joints.tool.resistance = 4e-3;
    let error = apply(&worse, &[find("loose-tool-terminal").unwrap()]).unwrap_err();
    assert!(matches!(error, FaultError::NoChange { .. }), "{error}");

    let error = find("loose-tool-terminl").unwrap_err().to_string();
    assert!(error.contains("`loose-tool-terminal`?"), "{error}");
    assert!(
        find("zzz")
            .unwrap_err()
            .to_string()
            .contains("catalogue faults")
    );
}
