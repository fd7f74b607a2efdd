//! What the server answers, and to what.

use std::time::Duration;

use axum::Router;
use axum::extract::{Path, RawQuery, Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde::Serialize;

use super::answers::{Answer, asset, body, json, nothing, refused, typed, unfit};
use super::at_once;
use super::guard::{Guard, guard};
use super::turns::{FIRED, Turns};
use crate::class::Class;
use crate::learn::LearnResponse;
use crate::request::{self, PageRequest};
use crate::response::PageResponse;
use crate::session::Session;
use crate::shift::ShiftResponse;
use crate::start::Start;
use crate::{assets, downloads};

/// Largest body of a request \[KiB\].
const BODY: usize = 64;

/// Longest address of a request \[bytes\].
const ADDRESS: usize = 32 << 10;

/// Requests waiting for their turn, over those at work; more are told to come again.
const WAITING: usize = 64;

/// Time to wait for a calibration, and for a card: thousands of shots.
const LEARNT: Duration = Duration::from_secs(120);

#[derive(Clone)]
struct Shared {
    turns: Turns,
    class: Option<Class>,
}

/// The page's routes, behind their guard; those of a class where one is held.
pub fn app(session: Session, class: Option<Class>, who: Guard) -> Router {
    let held = class.is_some();
    let shared = Shared {
        turns: Turns::new(session, at_once(), WAITING),
        class,
    };
    let mut router = Router::new()
        .route("/", get(|| async { asset(&assets::FRAME) }))
        .route("/start", get(start))
        .route("/fire", post(fire))
        .route("/band", post(band))
        .route("/shift", post(shift))
        .route("/learn", post(learn))
        .route("/take/{name}", get(taken))
        .route("/{name}", get(file));
    if held {
        router = router.route("/class", post(publish));
    }
    router
        .fallback(|| async { nothing() })
        .with_state(shared)
        .layer(from_fn_with_state(who, guard))
}

async fn file(Path(name): Path<String>) -> Response {
    assets::find(&name).map_or_else(nothing, asset)
}

async fn start(State(shared): State<Shared>) -> Response {
    let lessons = shared.turns.session().lessons();
    json(&Start::new(lessons, shared.class.as_ref()))
}

/// Takes what the page shows for the phones to follow, if anything is said; tells what the class does.
async fn publish(State(shared): State<Shared>, request: Request) -> Answer {
    let class = shared.class.as_ref().ok_or_else(nothing)?;
    let lessons = shared.turns.session().lessons();
    let pairs = body(request, BODY).await?;
    if !pairs.is_empty() {
        class.publish(&pairs, lessons).map_err(unfit)?;
    }
    Ok(json(&class.seen(lessons)))
}

async fn fire(State(shared): State<Shared>, request: Request) -> Answer {
    answer(shared, request, weld).await
}

/// Asked for once the hand rests: it takes up to 128 shots.
async fn band(State(shared): State<Shared>, request: Request) -> Answer {
    let asked = asked(request).await?;
    let class = shared.class.clone();
    let work = move |session: &Session| {
        let spread = session.spread(&asked.weld)?;
        let told = json(&spread);
        // So are the phones that follow.
        if let Some(class) = class {
            class.know(&asked.weld, spread);
        }
        Ok(told)
    };
    shared.turns.run(FIRED, work).await?.map_err(unfit)
}

async fn shift(State(shared): State<Shared>, request: Request) -> Answer {
    answer(shared, request, ShiftResponse::of).await
}

async fn learn(State(shared): State<Shared>, request: Request) -> Answer {
    let asked = asked(request).await?;
    let learn = move |session: &Session| LearnResponse::of(session, &asked);
    let found = shared.turns.run_alone(LEARNT, learn).await?;
    let wrong = |wrong| (StatusCode::UNPROCESSABLE_ENTITY, json(&wrong)).into_response();
    found.map(|found| json(&found)).map_err(wrong)
}

/// Does what is asked in a request's body.
async fn answer<T: Serialize + Send + 'static>(
    shared: Shared,
    request: Request,
    does: fn(&Session, &PageRequest) -> Result<T, String>,
) -> Answer {
    let asked = asked(request).await?;
    let work = move |session: &Session| does(session, &asked).map(|found| json(&found));
    shared.turns.run(FIRED, work).await?.map_err(unfit)
}

/// Reads what is asked from a request's body.
async fn asked(request: Request) -> Result<PageRequest, Response> {
    let pairs = body(request, BODY).await?;
    request::read(&pairs).map_err(unfit)
}

fn weld(session: &Session, asked: &PageRequest) -> Result<PageResponse, String> {
    let base = asked.base.as_ref().map(|b| session.shot(b)).transpose()?;
    let done = session.fire(&asked.weld)?;
    Ok(PageResponse::of(&done, base.as_ref()))
}

async fn taken(
    State(shared): State<Shared>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    let query = query.unwrap_or_default();
    if query.len() > ADDRESS {
        let why = "the address is longer than 32 KiB";
        return Err(refused(StatusCode::URI_TOO_LONG, why));
    }
    let limit = match name.as_str() {
        downloads::CARD => LEARNT,
        _ => FIRED,
    };
    let make = move |session: &Session| {
        request::read(&query).and_then(|asked| downloads::take(session, &name, &asked))
    };
    let made = shared.turns.run(limit, make).await?.map_err(unfit)?;
    let file = made.ok_or_else(nothing)?;
    let saved = [(header::CONTENT_DISPOSITION, "attachment")];
    Ok((saved, typed(file.kind, file.bytes.into())).into_response())
}
