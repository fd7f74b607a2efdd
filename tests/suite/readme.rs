//! The README shows what the program prints.

use assert_cmd::Command;

/// Blocks of a kind of the README, in order.
fn blocks(kind: &str) -> Vec<String> {
    let readme = include_str!("../../README.md");
    let start = format!("```{kind}\n");
    let mut parts = readme.split(start.as_str());
    parts.next();
    parts
        .filter_map(|part| part.split("```").next())
        .map(String::from)
        .collect()
}

#[test]
fn regress_the_excerpt_is_what_fire_prints() {
    let output = Command::cargo_bin("arcplunge")
        .unwrap()
        .arg("fire")
        .output()
        .unwrap();
    let page = String::from_utf8(output.stdout).unwrap();
    let mut printed = page.lines();
    let shown = &blocks("text")[0];
    assert!(shown.lines().count() > 15);
    for line in shown.lines().filter(|l| l.trim() != "...") {
        assert!(
            printed.any(|l| l == line),
            "not printed, or not in this order: {line}"
        );
    }
}

#[test]
fn regress_the_chart_is_what_chart_prints() {
    let output = Command::cargo_bin("arcplunge")
        .unwrap()
        .args(["chart", "--metal", "mild steel on mild steel"])
        .output()
        .unwrap();
    let page = String::from_utf8(output.stdout).unwrap();
    let shown = &blocks("text")[1];
    assert!(page.contains(shown.as_str()), "not printed:\n{shown}");
}

#[test]
fn regress_the_error_is_what_a_slip_gives() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("bad.toml"),
        "[lead]\nlenght = \"12 m\"\n",
    )
    .unwrap();
    let output = Command::cargo_bin("arcplunge")
        .unwrap()
        .current_dir(folder.path())
        .args(["fire", "bad.toml"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        String::from_utf8(output.stderr).unwrap().trim_end(),
        blocks("text")[2].trim_end()
    );
}

/// What `compare` prints of one change, on one line.
fn compared(change: &[&str]) -> String {
    let mut command = Command::cargo_bin("arcplunge").unwrap();
    let output = command.arg("compare").args(change).output().unwrap();
    let page = String::from_utf8(output.stdout).unwrap();
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What stands between two texts.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let rest = text.split_once(from).expect(from).1;
    rest.split_once(to).expect(to).0
}

#[test]
fn regress_the_figures_of_its_sentences_are_those_of_compare() {
    let readme = include_str!("../../README.md");
    let readme = readme.split_whitespace().collect::<Vec<_>>().join(" ");
    let loose = compared(&["--fault", "loose-tool-terminal"]);
    let heat = between(&loose, "The tool terminal turned ", " of the bank");
    let falls = between(&loose, "Arc energy fell ", " (");
    let turns = compared(&["--variant", "lead.turns=3"]);
    let rises = between(&turns, "loop's inductance changed ", " (");
    for words in [
        format!(
            "the loose tool terminal turns {heat} of the bank, and arc energy falls by {falls}."
        ),
        format!("raise the loop's inductance {rises}."),
    ] {
        assert!(readme.contains(&words), "not said: {words}");
    }
}

#[test]
fn the_case_file_shown_is_a_case() {
    let shown = &blocks("toml")[0];
    assert!(arcplunge_core::case::read::read_text("README.md", shown, &[]).is_ok());
}
