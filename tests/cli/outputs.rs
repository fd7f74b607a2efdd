//! Results in files: whole or not at all, and in nobody's way.

use std::fs;
use std::process::{Command, Stdio};

use super::tool::{Bench, without_command};

#[test]
fn results_go_to_their_files_and_the_page_to_standard_output() {
    let bench = Bench::new();
    let page = bench
        .run(&["fire", "--no-band", "--json", "r.json", "--csv", "r.csv"])
        .done();
    assert_eq!(page, bench.run(&["fire", "--no-band"]).done());
    assert_eq!(bench.names(), ["r.csv", "r.csv.meta.json", "r.json"]);
    let json = bench.run(&["fire", "--no-band", "--json", "-"]).done();
    assert_eq!(
        without_command(&bench.read("r.json")),
        without_command(&json)
    );
    let csv = bench.run(&["fire", "--no-band", "--csv", "-"]).done();
    assert_eq!(bench.read("r.csv"), csv);
}

#[test]
fn one_result_to_standard_output_and_one_to_a_file() {
    let bench = Bench::new();
    let json = bench
        .run(&["fire", "--no-band", "--json", "-", "--csv", "r.csv"])
        .done();
    assert!(json.starts_with('{') && json.ends_with("}\n"), "{json}");
    assert_eq!(bench.names(), ["r.csv", "r.csv.meta.json"]);
}

#[test]
fn what_cannot_be_written_leaves_nothing_behind() {
    let bench = Bench::new();
    fs::create_dir(bench.path().join("folder")).expect("a folder");
    for place in ["folder", "nowhere/r", "folder/../nowhere/r"] {
        for result in ["--json", "--csv"] {
            let said = bench.run(&["fire", "--no-band", result, place]).failed(1);
            assert!(said.contains("cannot write"), "{said}");
            assert!(
                !said.contains(".arcplunge-"),
                "the temporary file is nobody's business: {said}"
            );
        }
    }
    // A good place beside a bad one is not used either.
    bench
        .run(&["fire", "--csv", "good.csv", "--json", "nowhere/r"])
        .failed(1);
    bench
        .run(&["fire", "--json", "good.json", "--csv", "folder"])
        .failed(1);
    assert_eq!(bench.names(), ["folder"]);
    assert_eq!(
        fs::read_dir(bench.path().join("folder"))
            .expect("a folder")
            .count(),
        0
    );
}

#[test]
fn a_wrong_case_leaves_an_old_result_alone() {
    let bench = Bench::new()
        .with("r.json", "old")
        .with("weld.toml", "x = 1");
    bench
        .run(&["fire", "weld.toml", "--json", "r.json"])
        .failed(2);
    assert_eq!(bench.read("r.json"), "old");
    bench.run(&["fire", "--no-band", "--json", "r.json"]).done();
    assert!(bench.read("r.json").starts_with('{'));
    assert_eq!(bench.names(), ["r.json", "weld.toml"]);
}

#[test]
fn a_result_does_not_replace_its_own_case_file() {
    let bench = Bench::new().with("weld.toml", "");
    for result in ["--json", "--csv"] {
        bench
            .run(&["fire", "weld.toml", result, "./weld.toml"])
            .failed(2);
    }
    assert_eq!(bench.read("weld.toml"), "");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use crate::tool::skip;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;
    use std::process::Output;

    #[test]
    fn a_read_only_file_stays_as_it_is() {
        let bench = Bench::new().with("r.json", "mine");
        let path = bench.path().join("r.json");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).expect("rights");
        bench
            .run(&["fire", "--no-band", "--json", "r.json"])
            .failed(1);
        assert_eq!(bench.read("r.json"), "mine");
        assert_eq!(bench.names(), ["r.json"]);
    }

    /// A user of no rights, by custom.
    const NOBODY: u32 = 65534;

    /// The program as someone who may not write everywhere: instead of the superuser as nobody, from a copy
    /// that nobody can reach.
    fn unprivileged(bench: &Bench, arguments: &[&str], superuser: bool) -> std::io::Result<Output> {
        let program = bench.path().join("program");
        fs::copy(assert_cmd::cargo::cargo_bin!("arcplunge"), &program)?;
        for reached in [bench.path(), &program] {
            fs::set_permissions(reached, fs::Permissions::from_mode(0o755))?;
        }
        let mut command = Command::new(&program);
        command.args(arguments).current_dir(bench.path());
        if superuser {
            command.uid(NOBODY).gid(NOBODY);
        }
        command.output()
    }

    #[test]
    fn a_read_only_folder_is_told() {
        let bench = Bench::new();
        let folder = bench.path().join("locked");
        fs::create_dir(&folder).expect("a folder");
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o555)).expect("rights");
        let probe = folder.join("probe");
        let superuser = fs::write(&probe, "").is_ok() && fs::remove_file(&probe).is_ok();
        let fire = ["fire", "--no-band", "--json", "locked/r.json"];
        match unprivileged(&bench, &fire, superuser) {
            Ok(ran) => {
                let said = String::from_utf8_lossy(&ran.stderr).into_owned();
                assert_eq!(ran.status.code(), Some(1), "{said}");
                assert!(said.contains("cannot write"), "{said}");
                assert_eq!(fs::read_dir(&folder).expect("a folder").count(), 0);
            }
            Err(why) => skip(&format!("nobody cannot run the program: {why}")),
        }
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).expect("rights");
    }

    #[test]
    fn a_link_stays_a_link_and_rights_stay_as_they_are() {
        let bench = Bench::new().with("target.json", "old");
        let (target, link) = (
            bench.path().join("target.json"),
            bench.path().join("link.json"),
        );
        fs::set_permissions(&target, fs::Permissions::from_mode(0o640)).expect("rights");
        symlink("target.json", &link).expect("a link");
        bench
            .run(&["fire", "--no-band", "--json", "link.json"])
            .done();
        assert!(fs::symlink_metadata(&link).expect("the link").is_symlink());
        assert!(bench.read("target.json").starts_with('{'));
        let mode = fs::metadata(&target)
            .expect("the target")
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o640);
        assert_eq!(bench.names(), ["link.json", "target.json"]);
    }

    #[test]
    fn a_named_pipe_is_written_through() {
        let bench = Bench::new();
        let made = Command::new("mkfifo")
            .arg("pipe")
            .current_dir(bench.path())
            .status();
        if !made.is_ok_and(|s| s.success()) {
            return skip("there is no `mkfifo`");
        }
        let reader = Command::new("cat")
            .arg("pipe")
            .current_dir(bench.path())
            .stdout(Stdio::piped())
            .spawn()
            .expect("cat");
        bench.run(&["fire", "--no-band", "--json", "pipe"]).done();
        let read = reader.wait_with_output().expect("cat ends");
        assert!(read.stdout.starts_with(b"{"));
        assert_eq!(bench.names(), ["pipe"]);
    }
}
