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

#[test]
fn the_case_file_shown_is_a_case() {
    let shown = &blocks("toml")[0];
    assert!(arcplunge_core::case::read::read_text("README.md", shown, &[]).is_ok());
}
