//! `calibrate --keep`: samples that are gone on with.

use serde_json::Value;

use super::{QUICK, few, run};
use crate::tool::without_command;

#[test]
fn kept_samples_are_gone_on_with_to_the_same_bits() {
    let bench = few();
    let json =
        |more: &[&str]| without_command(&run(&bench, &[&["--json", "-"], more].concat()).done());
    let whole = json(&[]);
    let kept = ["--keep", "samples.json"];
    let file = bench.path().join("samples.json");
    assert_eq!(json(&kept), whole);
    // The samples are the posterior's by now; another question of the same ones needs no more moves.
    assert_eq!(json(&kept), whole);
    let text = bench.read("samples.json");
    let mut part: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(part["samples"]["left"], 0);
    let asked = json(&["--keep", "samples.json", "--next", "1"]);
    assert_eq!(asked["window"], whole["window"]);
    assert!(asked["next"]["welds"].as_array().unwrap().len() == 1);
    let refused = |more: &[&str], words: &str| {
        let ran = run(&bench, more);
        assert!(ran.code == 2 && ran.err.contains(words), "{}", ran.err);
    };
    let other = |more: [&str; 2], words: &str| refused(&[&kept[..], &more].concat(), words);
    other(["--seed", "2"], "of another study\n  seed: 1 there, 2 now");
    other(
        ["--set", "lead.length=7 m"],
        "lead.length: 5.0 there, 7.0 now",
    );
    // Neither a name nor what is asked changes them.
    for more in [["--set", "title=mine"], ["--vary", "tool.spring_force"]] {
        let ran = run(&bench, &[&kept[..], &more].concat());
        assert_eq!(
            (ran.code, bench.read("samples.json")),
            (0, text.clone()),
            "{}",
            ran.err
        );
    }
    part["samples"]["cloud"]["particles"][20]["scores"][0] = 1.0.into();
    let write = |text: &str| std::fs::write(&file, text).unwrap();
    write(&part.to_string());
    refused(&kept, "samples_sha256 is not the hash of its samples");
    for text in ["", "{}", "1", "{\"study\": {}, \"samples\": {}}"] {
        write(text);
        refused(&kept, "no samples of a calibration");
    }
    refused(&["--keep", "welds.csv"], "is the test welds");
    refused(&["--keep", "-"], "is no plain file");
    refused(&["--keep", "."], "is no plain file");
}

#[cfg(unix)]
#[test]
fn a_killed_calibration_goes_on_from_the_samples_it_kept() {
    let bench = few();
    let more = [
        "--particles",
        "128",
        "--json",
        "-",
        "--keep",
        "samples.json",
    ];
    let mut arguments = QUICK.to_vec();
    arguments.retain(|word| !["--particles", "64"].contains(word));
    arguments.extend(more);
    let child = bench.command(&arguments);
    let program = child.get_program().to_owned();
    let mut child = std::process::Command::new(program)
        .args(child.get_args())
        .current_dir(bench.path())
        .stdout(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let file = bench.path().join("samples.json");
    while !file.exists() && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let kept: Value = serde_json::from_str(&bench.read("samples.json")).unwrap();
    assert_eq!(
        kept["samples"]["powers"].as_array().unwrap().len(),
        1,
        "ended too late to tell"
    );
    let gone_on = without_command(&bench.run(&arguments).done());
    std::fs::remove_file(&file).unwrap();
    assert_eq!(gone_on, without_command(&bench.run(&arguments).done()));
}
