use super::*;
use crate::case::read::Text;

fn design(table: &str) -> Result<Design, DesignError> {
    Design::read(
        table.as_bytes(),
        Case::default(),
        Settings::default(),
        |sets| {
            let resolved = Text::default().read(sets);
            resolved
                .map(|resolved| resolved.case)
                .map_err(|d| d.render(false))
        },
    )
}

#[test]
fn units_stand_in_the_head_or_in_the_cell() {
    let d = design(
        "bank.voltage [V],tool.spring_force,bank.esr_ohm,stud.cone (deg)\r\n\
         104,80 N,3.3e-3,3\r\n113.5,0.09 kN,0.0041,2.5\r\n",
    )
    .unwrap();
    let names: Vec<String> = d.columns.iter().map(Column::name).collect();
    assert_eq!(
        names,
        [
            "bank.voltage_V",
            "tool.spring_force_N",
            "bank.esr_ohm",
            "stud.cone_rad"
        ]
    );
    let cells: Vec<Cell> = d.cells(1).collect();
    let cone = 2.5f64.to_radians();
    assert_eq!(cells[..3], [113.5, 90.0, 0.0041].map(Cell::Number));
    assert!(matches!(cells[3], Cell::Number(c) if (c - cone).abs() < 1e-15));
}

#[test]
fn a_row_is_the_case_with_its_cells() {
    let d = design("stud.size,joints.tool,bank.voltage [V]\nM5,loose,104\nM6,tight,130\n").unwrap();
    let mut work = Workspace::default();
    let sets = ["stud.size=M6", "joints.tool=tight", "bank.voltage=130 V"].map(String::from);
    let case = Text::default().read(&sets).unwrap().case;
    let plain = Outcome::of(&case, [], &d.settings, &mut work);
    assert!(plain.figures().is_some());
    assert_eq!(d.row(1, &mut work).outcome, plain);
    assert_ne!(d.row(0, &mut work).outcome, plain);
    assert_eq!(d.cells(0).next(), Some(Cell::Word("M5")));
}

#[test]
fn results_are_passed_over_and_rows_out_of_bounds_are_told() {
    let d =
        design("shot,bank.voltage_V,peak_current_A,verdict,note\n0,112,5000,sound,\n1,1e6,,,x\n")
            .unwrap();
    assert_eq!(d.passed, ["shot", "peak_current_A", "verdict", "note"]);
    let mut work = Workspace::default();
    assert!(d.row(0, &mut work).outcome.figures().is_some());
    assert!(
        matches!(d.row(1, &mut work).outcome, Outcome::None(why) if why.contains("bank.voltage"))
    );
}

#[test]
fn what_is_no_design_says_where_and_why() {
    for (table, said) in [
        ("bank.volts\n1 V\n", "line 1, bank.volts: unknown key"),
        (
            "bank.voltage\n104\n",
            "line 2, bank.voltage: `104` has no unit",
        ),
        ("bank.voltage [A]\n104\n", "line 1, bank.voltage [A]"),
        (
            "bank.voltage [V]\n104\nx\n",
            "line 3, bank.voltage: `x V` is not a number",
        ),
        ("bank.voltage [V]\n\"\"\n", "line 2, bank.voltage"),
        ("bank.voltage [V]\nnan\n", "line 2, bank.voltage"),
        ("bank.esr_ohm\ninf\n", "line 2, bank.esr"),
        ("bank.voltage_V,bank.voltage\n1,1 V\n", "given twice"),
        (
            "bank.voltage_V,bank.esr_ohm\n1\n",
            "line 2: 1 cells, expected 2",
        ),
        ("stud.size\nM55\n", "line 2: "),
        (
            "bank.voltage [V];tool.spring_force\n104;80 N\n",
            "separated by commas",
        ),
        ("bank.voltage_V\n", "no rows"),
        ("verdict\nsound\n", "no column is a key"),
        ("", "no column is a key"),
    ] {
        let error = design(table).unwrap_err().to_string();
        assert!(error.contains(said), "{table:?}: {error}");
    }
    assert_eq!(
        design("bank.voltge\n1 V\n").unwrap_err().nearest.as_deref(),
        Some("bank.voltage")
    );
}
