//! Files as scopes write them, and files that are broken.

use super::oscilloscope_csv::{Scope, ScopeError, decode, read};
use super::trace::trace;

#[test]
fn a_scope_file_is_read_as_it_comes() {
    let rows = |sep: &str, comma: bool| -> String {
        let line = |k: i32| {
            let cells = [f64::from(k) * 1e-6, 0.25 * f64::from(k), -1.5];
            let text: Vec<String> = cells.iter().map(|x| format!("{x:.7}")).collect();
            let text = text.join(sep);
            if comma { text.replace('.', ",") } else { text }
        };
        (0..40).map(|k| line(k) + "\r\n").collect()
    };
    for (head, sep, comma, names) in [
        ("", ",", false, 0),
        (
            "Model,X1\r\nRecord Length,40\r\nSample Interval,1e-6\r\n\r\nTIME,CH1,CH2\r\n",
            ",",
            false,
            3,
        ),
        ("x-axis,1,2\r\nsecond,Volt,Volt\r\n", ",", false, 3),
        ("Zeit;Kanal A;Kanal B\r\n(ms);(V);(V)\r\n\r\n", ";", true, 3),
        ("\u{feff}\"t\";\"i\";\"u\"\r\n", ";", false, 3),
        ("# remark, with a comma\r\n", "\t", false, 0),
        ("time current voltage\r\n", " ", false, 3),
        ("Zeit Strom Spannung\r\n", "  ", true, 3),
    ] {
        let table = read(&format!("{head}{}", rows(sep, comma))).unwrap();
        assert_eq!(table.columns.len(), 3, "{head:?}");
        assert_eq!(table.columns[0].len(), 40, "{head:?}");
        assert_eq!(
            (table.columns[1][4], table.columns[2][39]),
            (1.0, -1.5),
            "{head:?}"
        );
        assert_eq!(table.names.len(), names, "{head:?} {:?}", table.names);
    }
    let table = read(&format!(
        "Zeit;Kanal A;Kanal B\n(ms);(V);(V)\n{}",
        rows(";", true)
    ))
    .unwrap();
    assert_eq!(table.names[1], "Kanal A");
    assert_eq!((table.column("kanal a"), table.column("2")), (Ok(1), Ok(1)));
    let error = table.column("Zeitt").unwrap_err();
    assert!(
        error.nearest().is_some() && error.to_string().contains("2 (Kanal A)"),
        "{error}"
    );
}

#[test]
fn a_broken_scope_file_says_where() {
    assert_eq!(read("no,numbers\nhere,at all\n"), Err(ScopeError::NoRows));
    assert_eq!(read(""), Err(ScopeError::NoRows));
    assert_eq!(read("1,2\n3,4\n"), Err(ScopeError::TooFew(2)));
    let good: String = (0..20).map(|k| format!("{k},{k}\n")).collect();
    let Err(ScopeError::Row { line, wanted, .. }) = read(&format!("t,i\n{good}x,y\n{good}")) else {
        panic!("a broken row passed");
    };
    assert_eq!((line, wanted), (22, 2));
    let table = read(&format!("t,i\n{good}{good}")).unwrap();
    assert!(matches!(
        trace(&table, 0, 1, 1.0),
        Err(ScopeError::Time { line: 22, .. })
    ));
    assert_eq!(trace(&table, 1, 1, 1.0), Err(ScopeError::Same(2)));
}

#[test]
fn an_offset_before_the_rise_is_taken_off() {
    let text: String = (0..400)
        .map(|k| {
            format!(
                "{},{}\n",
                k as f64 * 1e-5,
                if k < 100 { 0.02 } else { 0.02 + 0.5 }
            )
        })
        .collect();
    let trace = trace(&read(&text).unwrap(), 0, 1, 10_000.0).unwrap();
    assert_eq!(trace.clipped, 0);
    assert!((trace.offset - 200.0).abs() < 1e-9 && trace.quiet.unwrap().noise == 0.0);
    assert!((trace.current[300] - 5000.0).abs() < 1e-9);
}

#[test]
fn a_value_that_is_missing_is_told_with_its_line_and_column() {
    let good: String = (0..20).map(|k| format!("{k},{k},{k}\n")).collect();
    for (broken, column) in [
        ("20,20,\n", 3),
        ("20,20\n", 3),
        ("20,,20\n", 2),
        (",20,20\n", 1),
    ] {
        // Twice as many good rows after it as before it.
        let error = read(&format!("t,i,u\n{good}{broken}{good}{good}")).unwrap_err();
        assert!(
            matches!(error, ScopeError::Row { line: 22, column: Some(k), .. } if k == column),
            "{broken}: {error:?}"
        );
        assert!(
            error
                .to_string()
                .contains(&format!("missing in column {column}"))
        );
        let error = read(&format!("{good}{broken}")).unwrap_err();
        assert!(
            matches!(error, ScopeError::Row { line: 21, .. }),
            "{error:?}"
        );
    }
    // One separator too many at the end of each row is none.
    let table = read(&good.replace('\n', ",\n")).unwrap();
    assert_eq!((table.columns.len(), table.lines.len()), (3, 20));
    // Lines are those of the file, blank ones counted.
    let table = read("t,i\n\n1,1\n\n2,2\n1,3\n4,4\n5,5\n6,6\n7,7\n8,8\n").unwrap();
    assert!(matches!(
        trace(&table, 0, 1, 1.0),
        Err(ScopeError::Time { line: 6, .. })
    ));
}

#[test]
fn lines_and_letters_of_other_machines_are_read() {
    let rows: String = (0..20).map(|k| format!("{k},{k}\n")).collect();
    let text = format!("Zeit in µs,Strom\n{rows}");
    let plain = read(&text).unwrap();
    assert_eq!(read(&text.replace('\n', "\r")).unwrap(), plain);
    let wide = |mark: [u8; 2], order: fn(u16) -> [u8; 2]| -> Vec<u8> {
        let units = text.encode_utf16().flat_map(order);
        mark.into_iter().chain(units).collect()
    };
    assert_eq!(decode(&wide([0xff, 0xfe], u16::to_le_bytes)), text);
    assert_eq!(decode(&wide([0xfe, 0xff], u16::to_be_bytes)), text);
    assert_eq!(decode(text.as_bytes()), text);
    assert_eq!(read(&format!("{text}\nEnd of record\n\n")).unwrap(), plain);
    assert!(read(&format!("{text}\nEnd of record\n1,2\n")).is_err());
}

#[test]
fn columns_of_words_are_passed_over_and_equal_times_merged() {
    let row = |k: usize| format!("{}e-6,{},{}\n", k / 2, ["fuse", "arc"][k / 20], 2 * k);
    let rows: String = (0..40).map(row).collect();
    let table = read(&format!("time_s,phase,current_A\n{rows}")).unwrap();
    assert_eq!(table.words, [false, true, false]);
    assert_eq!(table.column("current_A"), Ok(2));
    let said = table.column("2").unwrap_err().to_string();
    assert!(
        said.contains("text") && said.contains("3 (current_A)") && !said.contains("phase)"),
        "{said}"
    );
    let trace = trace(&table, 0, 2, 1.0).unwrap();
    assert_eq!((trace.merged, trace.time.len()), (20, 20));
    assert_eq!((trace.time[3], trace.current[3]), (3e-6, 13.0));
    // Another separator, a comma for the decimals, and a word that is missing.
    let other = rows
        .replace(',', ";")
        .replace("e-6", ",5")
        .replacen("arc", "", 1);
    let table = read(&format!("Zeit;Phase;Strom\n{other}")).unwrap();
    assert_eq!((table.columns[0][39], table.words[1]), (19.5, true));
    // A number that is missing is one all the same, and words among the remarks make no table.
    let error = read(&format!("{rows}20e-6,arc,\n{rows}")).unwrap_err();
    assert!(
        matches!(
            error,
            ScopeError::Row {
                line: 41,
                column: Some(3),
                ..
            }
        ),
        "{error:?}"
    );
    assert_eq!(read("a,1,2\nb,3,4\n"), Err(ScopeError::TooFew(2)));
}

#[test]
fn a_noisy_top_that_is_cut_off_is_left_out() {
    use proptest::prelude::Rng;
    use proptest::test_runner::{RngAlgorithm, TestRng};
    let text = |full: f64, noise: f64| -> String {
        let mut rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
        let mut even = move || f64::from(rng.next_u32()) / 4_294_967_296.0 - 0.5;
        let mut normal = move || (0..12).map(|_| even()).sum::<f64>();
        let mut row = |k: i32| {
            let wave = (f64::from(k - 300) * 0.003).clamp(0.0, 3.1).sin();
            let cut = (6000.0 * wave + 30.0 * normal()).min(full);
            format!("{k}e-6,{}\n", cut + noise * normal())
        };
        (0..1800).map(&mut row).collect()
    };
    for noise in [2.0, 10.0, 30.0] {
        let cut = trace(&read(&text(4500.0, noise)).unwrap(), 0, 1, 1.0).unwrap();
        assert!(
            (400..520).contains(&cut.clipped),
            "{noise}: {}",
            cut.clipped
        );
        // The control: a top with room is round.
        let whole = trace(&read(&text(9000.0, noise)).unwrap(), 0, 1, 1.0).unwrap();
        assert_eq!(whole.clipped, 0, "{noise}");
    }
}

#[test]
fn a_top_that_is_cut_off_is_left_out() {
    // Own traces of 8 bits: a half wave whose top is beyond full scale, and one with room.
    let text = |full: f64| -> String {
        let wave = |k: i32| (f64::from(k - 100) * 0.005).max(0.0).sin().max(0.0);
        let row = |k: i32| format!("{k}e-6,{}\n", (200.0 * wave(k)).round().min(full));
        (0..600).map(row).collect()
    };
    let cut = trace(&read(&text(150.0)).unwrap(), 0, 1, 30.0).unwrap();
    assert!(
        cut.clipped > 50 && cut.time.len() + cut.clipped == 600,
        "{}",
        cut.clipped
    );
    assert!(cut.current.iter().all(|i| *i < 4500.0));
    let whole = trace(&read(&text(250.0)).unwrap(), 0, 1, 30.0).unwrap();
    assert_eq!((whole.clipped, whole.time.len()), (0, 600));
    assert_eq!(whole.quiet.unwrap().noise, 0.0);
}

#[test]
fn notes_beside_the_first_rows_are_passed_over() {
    // As some scopes write it: notes in the first three columns, the rows in the next two, from the first line on.
    let notes = [
        "\"Record Length\",2.500000e+03,Points",
        "\"Sample Interval\",4.000000e-06,s",
        "\"Trigger Point\",2.0e+02,\"Samples\"",
        "\"Source\",\"CH1\",",
        "\"Note\",\"gun, lead\",",
        "\"Vertical Scale\",5.0e-02,",
    ];
    let rows: String = (0..300)
        .map(|k| {
            format!(
                "{},{:.6},{:.5},\n",
                notes.get(k).unwrap_or(&",,"),
                k as f64 * 4e-6,
                0.01 * k as f64
            )
        })
        .collect();
    let table = read(&rows).unwrap();
    assert_eq!(
        (table.beside.as_slice(), table.columns[3].len()),
        (&[0, 1, 2][..], 300)
    );
    assert_eq!((table.columns[3][1], table.columns[4][299]), (4e-6, 2.99));
    let scope = Scope::open(rows.as_bytes()).unwrap();
    assert_eq!(
        (scope.column(None, 0), scope.column(None, 1)),
        (Ok(3), Ok(4))
    );
    assert!(scope.column(Some("2"), 0).is_err());
}

#[test]
fn marks_for_over_range_are_left_out_and_counted() {
    for (mark, of) in [
        ("inf", ','),
        ("-INF", ','),
        ("***", ','),
        ("9.9E+37", ','),
        ("NaN", ','),
        ("9,91E+37", ';'),
        ("OL", ';'),
    ] {
        let row = |k: usize| {
            let value = if (150..170).contains(&k) {
                mark.to_string()
            } else {
                format!("{}", k % 7)
            };
            format!("{k}e-6{of}{value}\n")
        };
        let rows: String = (0..400).map(row).collect();
        let rows = if of == ';' {
            rows.replace("e-6", ",5")
        } else {
            rows
        };
        let trace = trace(&read(&rows).unwrap(), 0, 1, 1.0).unwrap();
        assert_eq!((trace.over_range, trace.time.len()), (20, 380), "{mark}");
        assert!(trace.current.iter().all(|i| i.is_finite()));
    }
}

#[test]
fn thousands_in_quotes_are_numbers() {
    let rows = |one: &dyn Fn(usize) -> String| -> String { (0..40).map(one).collect() };
    let quoted = rows(&|k| format!("{k}e-6,\"{},{:03}.5\"\n", 1 + k, k));
    let table = read(&quoted).unwrap();
    assert_eq!((table.thousands, table.columns[1][3]), (40, 4003.5));
    let other = rows(&|k| format!("{k},5;{}.{:03},5\n", 1 + k, k));
    assert_eq!(read(&other).unwrap().columns[1][3], 4003.5);
    // Decimal commas in quotes, between commas.
    let commas = rows(&|k| format!("\"{k},5\",\"0,{k}\"\n"));
    assert_eq!(read(&commas).unwrap().columns[0][3], 3.5);
    // The control: three digits behind a comma are decimals where nothing else is said.
    let plain = rows(&|k| format!("{k},125;1,{:03}\n", k));
    assert_eq!(read(&plain).unwrap().columns[0][3], 3.125);
}

#[test]
fn a_record_of_many_rows_becomes_means_with_their_own_noise() {
    use proptest::prelude::Rng;
    use proptest::test_runner::{RngAlgorithm, TestRng};
    let mut rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[5; 32]);
    let mut even = move || f64::from(rng.next_u32()) / 4_294_967_296.0 - 0.5;
    let mut normal = move || (0..12).map(|_| even()).sum::<f64>();
    let rows: String = (0..200_000)
        .map(|k| {
            let wave = (f64::from(k - 60_000) / 20_000.0).clamp(0.0, 3.1).sin();
            format!("{k}e-8,{}\n", 5000.0 * wave + 40.0 * normal())
        })
        .collect();
    let trace = trace(&read(&rows).unwrap(), 0, 1, 1.0).unwrap();
    assert!(
        trace.averaged > 10 && trace.time.len() < 12_000,
        "{}",
        trace.averaged
    );
    // The mean of n independent rows has a noise of 40 A/√n.
    let wanted = 40.0 / (trace.averaged as f64).sqrt();
    assert!(
        (trace.quiet.unwrap().noise / wanted - 1.0).abs() < 0.1,
        "{:?}",
        trace.quiet
    );
    assert!((trace.peak - 5000.0).abs() < 4.0 * wanted && (trace.rise - 6e-4).abs() < 5e-6);
}

#[test]
fn closed_form_the_step_of_a_digitizer_is_seen() {
    // A uniform error over one step: q/√12 (Bennett 1948, Spectra of quantized signals, Bell Syst. Tech. J. 27, 446).
    let row = |k: usize| {
        format!(
            "{k}e-6,{}\n",
            (200.0 * (k as f64 * 0.005).sin().max(0.0)).round()
        )
    };
    let text: String = (0..600).map(row).collect();
    let trace = trace(&read(&text).unwrap(), 0, 1, 30.0).unwrap();
    assert_eq!(trace.quantum, 30.0);
    assert!((trace.row_quantum() - 30.0 / 12f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_time_that_is_no_number_is_told_with_its_line() {
    let row = |k: usize| format!("{k}e-5,{}", 10 * k);
    for (line, text) in [(7, "NaN"), (7, "inf"), (20, "inf")] {
        let mut rows: Vec<String> = (0..20).map(row).collect();
        rows[line - 1] = format!("{text},10");
        let table = read(&rows.join("\n")).unwrap();
        assert_eq!(trace(&table, 0, 1, 1.0), Err(ScopeError::NoTime(line)));
    }
}
