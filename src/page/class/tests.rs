//! A class as phones meet it.

use std::net::IpAddr;
use std::time::Duration;

use super::*;
use crate::lessons::built_in;

fn class() -> Class {
    Class::new("http://192.168.1.5:7412/", Reach::Network).unwrap()
}

const FROM: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 168, 1, 9));

fn run<T>(work: impl Future<Output = T>) -> T {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    runtime.unwrap().block_on(work)
}

fn joined(class: &Class) -> String {
    run(class.join(class.code(), FROM)).unwrap()
}

fn told(class: &Class, token: &str, after: u64) -> serde_json::Value {
    run(class.follow(token, after, Duration::ZERO, built_in())).unwrap()
}

#[test]
fn the_code_stands_behind_the_link_where_no_server_sees_it() {
    let class = class();
    let invitation = class.invitation();
    assert_eq!(invitation.link, "http://192.168.1.5:7412/");
    let whole = format!("{}#{}", class.link(), class.code());
    let shown = serde_json::to_string(&invitation.qr).unwrap();
    assert_eq!(shown, serde_json::to_string(&qr::picture(&whole)).unwrap());
}

#[test]
fn a_wrong_code_gives_no_place_and_is_counted() {
    let class = class();
    assert_eq!(run(class.join("", FROM)), Err(Refusal::WrongCode));
    assert_eq!(class.seen(built_in()).wrong, 1);
    assert_eq!(class.seen(built_in()).phones, 0);
    // The right one waits for the wrong one before it, and is let in.
    assert!(run(class.join(class.code(), FROM)).is_ok());
    assert_eq!(class.seen(built_in()).phones, 1);
}

#[test]
fn a_try_that_is_given_up_does_not_block_its_address() {
    let class = class();
    run(async {
        let _ = class.join("", FROM).await;
        let waits = class.join("", FROM);
        let _ = tokio::time::timeout(Duration::from_millis(1), waits).await;
    });
    // It was not looked at, so it is not counted.
    assert_eq!(class.seen(built_in()).wrong, 1);
    assert!(run(class.join(class.code(), FROM)).is_ok());
}

#[test]
fn without_a_place_nothing_is_told_and_nothing_done() {
    let class = class();
    class.publish("lesson=0", built_in()).unwrap();
    joined(&class);
    for token in ["", "x", &"0".repeat(32)] {
        let followed = run(class.follow(token, 0, Duration::ZERO, built_in()));
        assert_eq!(followed.unwrap_err(), Refusal::Unknown);
        assert_eq!(class.shown(token).unwrap_err(), Refusal::Unknown);
        let voted = class.vote(token, 0, 0, built_in());
        assert_eq!(voted.unwrap_err(), Refusal::Unknown);
        let tried = class.begin_trial(token, "lead.length");
        assert_eq!(tried.unwrap_err(), Refusal::Unknown);
    }
    let all: usize = class.seen(built_in()).votes.unwrap().iter().sum();
    assert_eq!(all, 0);
}

#[test]
fn votes_are_for_the_open_question_until_it_is_answered() {
    let class = class();
    let (a, b) = (joined(&class), joined(&class));
    let vote = |token, at, choice| class.vote(token, at, choice, built_in());
    assert_eq!(vote(&a, 0, 0), Err(Refusal::Late));
    class.publish("lesson=1", built_in()).unwrap();
    assert_eq!(vote(&a, 0, 0), Err(Refusal::Late));
    let choices = built_in()[1].choices.len();
    assert_eq!(vote(&a, 1, choices), Err(Refusal::Late));
    assert_eq!((vote(&a, 1, 0), vote(&b, 1, 1)), (Ok(()), Ok(())));
    assert_eq!(vote(&a, 1, 1), Ok(()));
    assert_eq!(told(&class, &a, 0)["told"]["vote"], 1);
    let seen = || class.seen(built_in()).votes.unwrap();
    assert_eq!(seen()[..2], [0, 2]);
    class.publish("lesson=1&chosen=0", built_in()).unwrap();
    assert_eq!(vote(&a, 1, 0), Err(Refusal::Late));
    assert_eq!(seen()[..2], [0, 2]);
    class.publish("lesson=2", built_in()).unwrap();
    assert_eq!(seen().iter().sum::<usize>(), 0);
}

#[test]
fn only_the_control_offered_is_tried_five_times_a_second() {
    let class = class();
    let token = joined(&class);
    let begin = |key| class.begin_trial(&token, key).map(|trial| trial.key);
    assert_eq!(begin("lead.length"), Err(Refusal::Late));
    class.publish("control=lead.length", built_in()).unwrap();
    assert_eq!(begin("bank.voltage"), Err(Refusal::Late));
    let tried: Vec<_> = (0..9).map(|_| begin("lead.length")).collect();
    assert_eq!(tried.iter().filter(|t| t.is_ok()).count(), 5);
    assert_eq!(tried[8], Err(Refusal::TooMany));
    // One at a time, should the first take long.
    let other = joined(&class);
    let held = class.begin_trial(&other, "lead.length").unwrap();
    let second = class.begin_trial(&other, "lead.length");
    assert_eq!(second.unwrap_err(), Refusal::TooMany);
    drop(held);
    assert!(class.begin_trial(&other, "lead.length").is_ok());
}

#[test]
fn a_phone_asks_forty_times_at_once_and_no_more() {
    let class = class();
    let token = joined(&class);
    let asked = |_| class.vote(&token, 0, 0, built_in()).unwrap_err();
    let answers: Vec<Refusal> = (0..60).map(asked).collect();
    assert!(answers[..40].iter().all(|r| *r == Refusal::Late));
    assert!(answers.contains(&Refusal::TooMany));
}

#[test]
fn a_weld_has_a_new_number_only_where_it_is_another() {
    let class = class();
    let token = joined(&class);
    let first = told(&class, &token, 0);
    class.publish("at=0.001", built_in()).unwrap();
    let second = told(&class, &token, first["version"].as_u64().unwrap());
    assert_eq!(first["weld"], second["weld"]);
    assert_eq!(second["told"]["at"], 0.001);
    class
        .publish("set=lead.length%3D12+m&at=0.001", built_in())
        .unwrap();
    let third = told(&class, &token, 0);
    assert_ne!(third["weld"], second["weld"]);
}

#[test]
fn who_waits_is_told_at_once() {
    let class = class();
    let token = joined(&class);
    run(async {
        let day = Duration::from_secs(86_400);
        let publish = async { class.publish("at=0.002", built_in()).unwrap() };
        let (told, ()) = tokio::join!(class.follow(&token, 1, day, built_in()), publish);
        assert_eq!(told.unwrap()["told"]["at"], 0.002);
    });
}

#[test]
fn a_class_on_a_loopback_address_is_for_this_machine_alone() {
    for (ip, reach) in [
        ("127.0.0.1", Reach::Machine),
        ("127.8.8.8", Reach::Machine),
        ("::1", Reach::Machine),
        ("::ffff:127.0.0.1", Reach::Machine),
        ("0.0.0.0", Reach::Network),
        ("192.168.1.5", Reach::Network),
    ] {
        assert_eq!(Reach::of(ip.parse().unwrap()), reach, "{ip}");
    }
}

#[test]
fn phones_are_told_the_band_of_the_weld_that_is_shown_and_of_no_other() {
    use crate::session::Session;
    let class = class();
    let token = joined(&class);
    let asked = |sets: &str| crate::request::read(sets).unwrap().weld;
    let borderline = asked("set=bank.voltage%3D102+V");
    let spread = Session::default().spread(&borderline).unwrap();
    // The band may come before the weld it is of.
    class.know(&borderline, spread);
    assert!(told(&class, &token, 0)["spread"].is_null());
    class
        .publish("set=bank.voltage%3D102+V", built_in())
        .unwrap();
    let words = told(&class, &token, 0)["spread"]["doubt"].clone();
    assert!(words.as_str().unwrap().starts_with("borderline"), "{words}");
    class
        .publish("set=bank.voltage%3D103+V", built_in())
        .unwrap();
    assert!(told(&class, &token, 0)["spread"].is_null());
    // One that comes later is news.
    let version = told(&class, &token, 0)["version"].as_u64().unwrap();
    class.know(&asked("set=bank.voltage%3D103+V"), None);
    assert!(told(&class, &token, version)["version"].as_u64() > Some(version));
}
