//! Scales and marks in a file and in overrides.

use super::{bad, good, titles};
use crate::case::Case;
use crate::case::keys::set_number;
use crate::case::read::read_text;
use crate::case::show::{show, to_toml};

const SCALE: &str = "[tool]\nscale = [[1, \"40 N\"], [5, \"120 N\"]]\n";

#[test]
fn a_mark_is_the_number_measured_there() {
    let read = good(&format!("{SCALE}spring_mark = 3\n"), &[]);
    assert_eq!(read.case.tool.spring_force, 80.0);
    assert_eq!(read.origins.of("tool.spring_force").to_string(), "line 3");
    // In any order, and for the bank as well.
    let text = "[bank]\nvoltage_mark = 4\nscale = [[1, \"60 V\"], [10, \"150 V\"]]\n";
    assert_eq!(good(text, &[]).case.bank.voltage, 90.0);
}

#[test]
fn an_override_takes_the_place_of_what_the_file_says() {
    let force = format!("{SCALE}spring_force = \"70 N\"\n");
    let mark = format!("{SCALE}spring_mark = 3\n");
    for (text, set, expected) in [
        (&force, "tool.spring_mark=2", 60.0),
        (&mark, "tool.spring_force=95 N", 95.0),
        (&mark, "tool.spring_mark=4.5", 110.0),
        (&mark, "tool.scale=[[0, \"10 N\"], [6, \"70 N\"]]", 40.0),
    ] {
        assert_eq!(good(text, &[set]).case.tool.spring_force, expected, "{set}");
    }
    let both = good(
        "",
        &[
            "tool.scale=[[1, \"40 N\"], [5, \"120 N\"]]",
            "tool.spring_mark=5",
        ],
    );
    assert_eq!(both.case.tool.spring_force, 120.0);
}

#[test]
fn regress_a_case_with_a_scale_shows_and_reads_back() {
    let read = good(&format!("{SCALE}spring_mark = 3\n"), &[]);
    let shown = show(&read);
    assert!(
        shown.contains("scale = [[1, \"40 N\"], [5, \"120 N\"]]"),
        "{shown}"
    );
    assert!(shown.contains("# line 3: mark 3"), "{shown}");
    assert!(!shown.contains("spring_mark"), "{shown}");
    for text in [shown, to_toml(&read.case)] {
        let again = read_text("shown.toml", &text, &[]).unwrap();
        assert_eq!(again.case, read.case);
    }
    let off = good(SCALE, &["tool.spring_force=130 N"]);
    assert!(show(&off).contains("outside the scale"));
}

#[test]
fn wrong_scales_and_marks_are_told() {
    let one = |text: &str| titles(text, &[]).join("; ");
    for (text, expected) in [
        (
            "[tool]\nspring_mark = 3\n".to_string(),
            "`tool.spring_mark` needs `tool.scale`: the values measured at the marks",
        ),
        (
            format!("{SCALE}spring_mark = 6\n"),
            "`tool.spring_mark`: mark 6 is outside the scale, 1 to 5",
        ),
        (
            format!("{SCALE}spring_mark = 3\nspring_force = \"80 N\"\n"),
            "`tool.spring_force` and `tool.spring_mark` set the same value; give only one of them",
        ),
        (
            "[tool]\nscale = [[1, \"40 N\"]]\n".into(),
            "`tool.scale`: a scale takes at least 2 pairs of mark and value; found 1",
        ),
        (
            "[tool]\nscale = [[1, \"40 N\"], [1, \"50 N\"]]\n".into(),
            "`tool.scale`: pair 2: its mark is not above the previous one; marks must rise",
        ),
        (
            "[tool]\nscale = [[1, \"40 N\"], [2, \"30 N\"]]\nspring_mark = 1\n".into(),
            "`tool.scale`: pair 2: its value is not above the previous one; values must rise with the marks",
        ),
        (
            "[tool]\nscale = [[1, 40], [2, \"50 N\"]]\n".into(),
            "`tool.scale`: `40` has no unit; expected a force such as \"80 N\"",
        ),
        (
            "[tool]\nscale = [[1, \"40 V\"], [2, \"50 V\"]]\n".into(),
            "`tool.scale`: `V` is a unit of voltage; expected a force such as \"80 N\"",
        ),
        (
            "[tool]\nscale = [[\"1\", \"40 N\"], [2, \"50 N\"]]\n".into(),
            "`tool.scale` cannot be a text; expected a mark, a bare number",
        ),
        (
            "[tool]\nscale = \"40 N\"\n".into(),
            "`tool.scale`: expected pairs of mark and force, such as [[1, \"40 N\"], [5, \"120 N\"]], or \"none\"",
        ),
    ] {
        assert_eq!(one(&text), expected, "{text}");
    }
    let told = bad("[tool]\nscale = [[1, \"40 N\"], [2, \"30 N\"]]\n", &[]);
    assert!(told.contains("case.toml:2:23"), "{told}");
    let told = bad("[tool]\nspring_mark = 3\n", &[]);
    assert!(
        told.contains("help: give `tool.scale`, such as [[1,"),
        "{told}"
    );
}

#[test]
fn a_mark_is_set_by_address_too() {
    let mut case = good(SCALE, &[]).case;
    set_number(&mut case, "tool.spring_mark", 2.0).unwrap();
    assert_eq!(case.tool.spring_force, 60.0);
    let error = set_number(&mut case, "tool.spring_mark", 9.0).unwrap_err();
    assert!(error.to_string().contains("outside the scale"), "{error}");
    let error = set_number(&mut Case::default(), "bank.voltage_mark", 4.0).unwrap_err();
    assert!(error.to_string().contains("needs `bank.scale`"), "{error}");
}
