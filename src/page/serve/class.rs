//! What a phone of a class may ask: a router of its own, on a listener of its own.
//!
//! It has no route of the trainer's page, so nothing of that can be reached by it.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, RawQuery, Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::Response;
use axum::routing::{get, post};
use axum::{Extension, Router};
use form_urlencoded::parse;
use serde_json::json;

use super::answers::{Answer, JSON, asset, body, json as told, nothing, refused, typed, unfit};
use super::guard::{Guard, guard};
use super::turns::{FIRED, Turns};
use crate::assets;
use crate::class::{Class, Made, Refusal, Shown, overrides};
use crate::controls;
use crate::lessons::Lesson;
use crate::request::Weld;
use crate::response::PageResponse;
use crate::session::Session;

/// Largest body of a request \[KiB\].
const BODY: usize = 1;

/// Longest address of a request \[bytes\].
const ADDRESS: usize = 1 << 10;

/// Time after which a phone is told what it knows already, so that it is heard of.
const FOLLOWED: Duration = Duration::from_secs(20);

/// Phones whose weld waits for its turn; each has one at most.
const WAITING: usize = 60;

/// The address a connection comes from.
#[derive(Debug, Clone, Copy)]
pub struct Peer(pub IpAddr);

#[derive(Clone)]
struct Shared {
    class: Class,
    /// One weld at a time, so that a class takes one core at most.
    turns: Turns,
}

impl Shared {
    fn lessons(&self) -> &[Lesson] {
        self.turns.session().lessons()
    }
}

/// A phone's routes, behind their guard.
pub fn app(session: Session, class: Class, who: Guard) -> Router {
    let shared = Shared {
        class,
        turns: Turns::new(session, 1, WAITING),
    };
    let known = Router::new()
        .route("/follow", get(follow))
        .route("/weld", get(weld))
        .route("/vote", post(vote))
        .route("/try", post(trial));
    let stranger = Router::new()
        .route("/", get(|| async { file("") }))
        .route(
            "/{name}",
            get(|Path(name): Path<String>| async move { file(&name) }),
        )
        .route("/join", post(join))
        .fallback(|| async { nothing() })
        .layer(from_fn_with_state(shared.clone(), rarely));
    stranger
        .merge(known)
        .with_state(shared)
        .layer(from_fn(briefly))
        .layer(from_fn_with_state(who, guard))
}

/// Bounds what those without a place may ask together.
async fn rarely(State(shared): State<Shared>, request: Request, next: Next) -> Response {
    match shared.class.admits_stranger() {
        true => next.run(request).await,
        false => Refusal::TooMany.into(),
    }
}

/// Refuses a long address.
async fn briefly(request: Request, next: Next) -> Response {
    let uri = request.uri();
    let long = uri.path().len() + uri.query().map_or(0, str::len);
    match long > ADDRESS {
        true => refused(StatusCode::URI_TOO_LONG, "the address is longer than 1 KiB"),
        false => next.run(request).await,
    }
}

impl From<Refusal> for Response {
    fn from(refusal: Refusal) -> Response {
        let (status, why) = match refusal {
            Refusal::Unknown => (StatusCode::UNAUTHORIZED, "give the code to come in"),
            Refusal::WrongCode => (StatusCode::FORBIDDEN, "that is not the code of this class"),
            Refusal::Full => (StatusCode::SERVICE_UNAVAILABLE, "the class is full"),
            Refusal::TooMany => (StatusCode::TOO_MANY_REQUESTS, "too often; wait a moment"),
            Refusal::Late => (StatusCode::CONFLICT, "the trainer's page has moved on"),
        };
        refused(status, why)
    }
}

fn file(name: &str) -> Response {
    assets::of_pupil(name).map_or_else(nothing, |found| asset(&found))
}

/// The place a request speaks for.
fn token(headers: &HeaderMap) -> &str {
    let said = headers.get(header::AUTHORIZATION);
    let said = said.and_then(|value| value.to_str().ok());
    said.and_then(|text| text.strip_prefix("Bearer "))
        .unwrap_or_default()
}

/// The values of these names, each there once and nothing beside them.
fn fields<const N: usize>(pairs: &str, names: [&str; N]) -> Result<[String; N], String> {
    let mut found = [const { None }; N];
    for (name, value) in parse(pairs.as_bytes()) {
        let place = names.iter().position(|known| *known == name);
        let place = place.filter(|k| found[*k].is_none());
        let k = place.ok_or_else(|| "error: this is not to be set here\n".to_string())?;
        found[k] = Some(value.into_owned());
    }
    let missing = found.iter().any(Option::is_none);
    if missing {
        let expected = names.join(", ");
        return Err(format!("error: expected {expected}\n"));
    }
    Ok(found.map(Option::unwrap_or_default))
}

fn number(text: &str) -> Result<usize, String> {
    text.parse()
        .map_err(|_| "error: expected a number\n".to_string())
}

async fn join(
    State(shared): State<Shared>,
    Extension(Peer(from)): Extension<Peer>,
    request: Request,
) -> Answer {
    let [code] = fields(&body(request, BODY).await?, ["code"]).map_err(unfit)?;
    let token = shared.class.join(&code, from).await?;
    Ok(told(&json!({ "token": token })))
}

async fn follow(
    State(shared): State<Shared>,
    headers: HeaderMap,
    RawQuery(query): RawQuery,
) -> Answer {
    let [after] = fields(&query.unwrap_or_default(), ["after"]).map_err(unfit)?;
    let after = number(&after).map_err(unfit)? as u64;
    let class = &shared.class;
    let followed = class.follow(token(&headers), after, FOLLOWED, shared.lessons());
    Ok(told(&followed.await?))
}

async fn vote(State(shared): State<Shared>, headers: HeaderMap, request: Request) -> Answer {
    let [lesson, choice] =
        fields(&body(request, BODY).await?, ["lesson", "choice"]).map_err(unfit)?;
    let at = number(&lesson).map_err(unfit)?;
    let choice = number(&choice).map_err(unfit)?;
    shared
        .class
        .vote(token(&headers), at, choice, shared.lessons())?;
    Ok(told(&json!({ "vote": choice })))
}

/// The weld of the trainer's page.
async fn weld(State(shared): State<Shared>, headers: HeaderMap) -> Answer {
    let shown = shared.class.shown(token(&headers))?;
    let made = made(&shared, &shown).await?;
    let bytes = made.json.to_vec();
    Ok(typed(JSON, bytes.into()))
}

/// The weld as phones see it: fired by the first that asks, while the others wait for the same answer.
async fn made<'a>(shared: &Shared, shown: &'a Arc<Shown>) -> Result<&'a Made, Response> {
    let fire = || async {
        let asked = shown.asked.clone();
        let work = move |session: &Session| -> Result<Made, String> {
            let base = asked.base.as_ref().map(|b| session.shot(b)).transpose()?;
            let done = session.glance(&asked.weld)?;
            let response = PageResponse::of(&done, base.as_ref());
            let json = serde_json::to_vec(&response).map_err(|e| format!("error: {e}\n"))?;
            Ok(Made {
                json: json.into(),
                weld: Arc::new(done.weld),
            })
        };
        shared.turns.run(FIRED, work).await
    };
    let made = shown.made.get_or_try_init(fire).await?;
    // The program's words would quote the trainer's case.
    made.as_ref()
        .map_err(|_| unfit("error: the trainer's weld cannot be fired\n".into()))
}

/// A phone's own copy: one value of the control that is offered, on the weld of the trainer's page.
async fn trial(State(shared): State<Shared>, headers: HeaderMap, request: Request) -> Answer {
    let [key, value] = fields(&body(request, BODY).await?, ["key", "value"]).map_err(unfit)?;
    let begun = shared.class.begin_trial(token(&headers), &key)?;
    let control = controls::by_key(&begun.key).ok_or_else(nothing)?;
    let base = made(&shared, &begun.shown).await?.weld.clone();
    let sets = overrides(&control, &base.case, &value).map_err(unfit)?;
    let asked = &begun.shown.asked.weld;
    let copy = Weld {
        sets: asked.sets.iter().cloned().chain(sets).collect(),
        ..asked.clone()
    };
    let turn = begun.turn;
    let work = move |session: &Session| {
        let _turn = turn;
        session
            .glance(&copy)
            .map(|done| told(&PageResponse::of(&done, Some(&base))))
    };
    // As above.
    let wrong = |_| unfit("error: no weld can be made with this value\n".into());
    shared.turns.run(FIRED, work).await?.map_err(wrong)
}
