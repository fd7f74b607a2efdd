//! What the server answers, and to what.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Path, RawQuery, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tokio::sync::Semaphore;
use tokio::time::timeout;

use super::at_once;
use super::guard::{Guard, guard};
use crate::learn::LearnResponse;
use crate::request::{self, PageRequest};
use crate::response::PageResponse;
use crate::session::Session;
use crate::shift::ShiftResponse;
use crate::start::Start;
use crate::{assets, downloads};

/// Largest body of a request \[bytes\].
const BODY: usize = 64 << 10;

/// Longest address of a request \[bytes\].
const ADDRESS: usize = 32 << 10;

/// Time to send a body.
const SENT: Duration = Duration::from_secs(10);

/// Time to wait for a turn, and to fire.
const FIRED: Duration = Duration::from_secs(10);

/// Requests waiting for their turn, over those at work; more are told to come again.
const WAITING: usize = 64;

/// The same for a calibration, and for a card: thousands of shots.
const LEARNT: Duration = Duration::from_secs(120);

#[derive(Clone)]
struct Shared {
    session: Session,
    /// Calibrations take all cores: one at a time.
    learning: Arc<Semaphore>,
    turns: Arc<Semaphore>,
    queue: Arc<Semaphore>,
}

/// The page's routes, behind their guard.
pub fn app(session: Session, who: Guard) -> Router {
    let shared = Shared {
        session,
        learning: Arc::new(Semaphore::new(1)),
        turns: Arc::new(Semaphore::new(at_once())),
        queue: Arc::new(Semaphore::new(WAITING + at_once())),
    };
    Router::new()
        .route("/", get(|| async { asset(&assets::FRAME) }))
        .route("/start", get(start))
        .route("/fire", post(fire))
        .route("/band", post(band))
        .route("/shift", post(shift))
        .route("/learn", post(learn))
        .route("/take/{name}", get(taken))
        .route("/{name}", get(file))
        .fallback(|| async { nothing() })
        .with_state(shared)
        .layer(from_fn_with_state(who, guard))
}

fn nothing() -> Response {
    (StatusCode::NOT_FOUND, "error: no such page\n").into_response()
}

fn asset(asset: &assets::Asset) -> Response {
    typed(asset.kind, asset.text.into())
}

fn typed(kind: &'static str, body: Body) -> Response {
    (
        [(header::CONTENT_TYPE, HeaderValue::from_static(kind))],
        body,
    )
        .into_response()
}

fn json(value: &impl serde::Serialize) -> Response {
    match serde_json::to_vec(value) {
        Ok(bytes) => typed("application/json", bytes.into()),
        Err(e) => (StatusCode::INTERNAL_SERVER_ERROR, format!("error: {e}\n")).into_response(),
    }
}

async fn file(Path(name): Path<String>) -> Response {
    assets::find(&name).map_or_else(nothing, asset)
}

async fn start(State(shared): State<Shared>) -> Response {
    json(&Start::new(shared.session.lessons()))
}

async fn fire(State(shared): State<Shared>, request: Request) -> Response {
    answer(shared, request, weld).await
}

/// Asked for once the hand rests: it takes up to 128 shots.
async fn band(State(shared): State<Shared>, request: Request) -> Response {
    answer(shared, request, spread).await
}

async fn shift(State(shared): State<Shared>, request: Request) -> Response {
    let shift = |session: &Session, asked: &PageRequest| match ShiftResponse::of(session, asked) {
        Ok(found) => json(&found),
        Err(text) => (StatusCode::UNPROCESSABLE_ENTITY, text).into_response(),
    };
    answer(shared, request, shift).await
}

async fn learn(State(shared): State<Shared>, request: Request) -> Response {
    let asked = match asked(request).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    let learn = move |session: &Session| match LearnResponse::of(session, &asked) {
        Ok(found) => json(&found),
        Err(wrong) => (StatusCode::UNPROCESSABLE_ENTITY, json(&wrong)).into_response(),
    };
    let learning = shared.learning.clone();
    let work = async {
        let _turn = learning.acquire_owned().await;
        shared.run(LEARNT, learn).await
    };
    match timeout(LEARNT, work).await {
        Ok(done) => done.unwrap_or_else(|refused| refused),
        Err(_) => late(LEARNT),
    }
}

fn spread(session: &Session, asked: &PageRequest) -> Response {
    match session.spread(&asked.weld) {
        Ok(spread) => json(&spread),
        Err(text) => (StatusCode::UNPROCESSABLE_ENTITY, text).into_response(),
    }
}

/// Does what is asked in a request's body.
async fn answer(
    shared: Shared,
    request: Request,
    does: fn(&Session, &PageRequest) -> Response,
) -> Response {
    let asked = match asked(request).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    let done = shared
        .run(FIRED, move |session| does(session, &asked))
        .await;
    done.unwrap_or_else(|refused| refused)
}

/// Reads what is asked from a request's body.
async fn asked(request: Request) -> Result<PageRequest, Response> {
    let body = match timeout(SENT, to_bytes(request.into_body(), BODY)).await {
        Ok(Ok(body)) => body,
        Ok(Err(_)) => {
            return Err(refused(
                StatusCode::PAYLOAD_TOO_LARGE,
                "the request is incomplete or larger than 64 KiB",
            ));
        }
        Err(_) => {
            return Err(refused(
                StatusCode::REQUEST_TIMEOUT,
                "the request was not sent within 10 s",
            ));
        }
    };
    let pairs = std::str::from_utf8(&body);
    let pairs =
        pairs.map_err(|_| refused(StatusCode::BAD_REQUEST, "the request is not UTF-8 text"))?;
    request::read(pairs).map_err(|text| (StatusCode::UNPROCESSABLE_ENTITY, text).into_response())
}

fn weld(session: &Session, asked: &PageRequest) -> Response {
    let fired = || -> Result<Response, String> {
        let base = asked.base.as_ref().map(|b| session.shot(b)).transpose()?;
        let done = session.fire(&asked.weld)?;
        Ok(json(&PageResponse::of(&done, base.as_ref())))
    };
    fired().unwrap_or_else(|text| (StatusCode::UNPROCESSABLE_ENTITY, text).into_response())
}

async fn taken(
    State(shared): State<Shared>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let query = query.unwrap_or_default();
    if query.len() > ADDRESS {
        return refused(
            StatusCode::URI_TOO_LONG,
            "the address is longer than 32 KiB",
        );
    }
    let limit = match name.as_str() {
        downloads::CARD => LEARNT,
        _ => FIRED,
    };
    let done = shared.run(limit, move |session| {
        let made = request::read(&query).and_then(|asked| downloads::take(session, &name, &asked));
        match made {
            Ok(Some(file)) => {
                let mut response = typed(file.kind, file.bytes.into());
                response.headers_mut().insert(
                    header::CONTENT_DISPOSITION,
                    HeaderValue::from_static("attachment"),
                );
                response
            }
            Ok(None) => nothing(),
            Err(text) => (StatusCode::UNPROCESSABLE_ENTITY, text).into_response(),
        }
    });
    done.await.unwrap_or_else(|refused| refused)
}

fn refused(status: StatusCode, why: &str) -> Response {
    (status, format!("error: {why}\n")).into_response()
}

fn late(limit: Duration) -> Response {
    let why = format!("the answer takes longer than {} s", limit.as_secs());
    refused(StatusCode::SERVICE_UNAVAILABLE, &why)
}

impl Shared {
    /// Does work on a thread of its own, so that others are answered meanwhile.
    async fn run(
        self,
        limit: Duration,
        work: impl FnOnce(&Session) -> Response + Send + 'static,
    ) -> Result<Response, Response> {
        let busy = || {
            refused(
                StatusCode::SERVICE_UNAVAILABLE,
                "too many welds at once; try again",
            )
        };
        let place = self.queue.try_acquire_owned().map_err(|_| busy())?;
        let turn = timeout(FIRED, self.turns.acquire_owned()).await;
        let turn = turn.ok().and_then(Result::ok).ok_or_else(busy)?;
        let (session, waiting) = self.session.waited_for();
        let task = tokio::task::spawn_blocking(move || {
            let _held = (place, turn);
            work(&session)
        });
        let done = timeout(limit, task).await;
        // Dropped earlier where the client has gone: the work then ends between two shots.
        drop(waiting);
        match done {
            Ok(Ok(response)) => Ok(response),
            Ok(Err(_)) => Err(refused(
                StatusCode::INTERNAL_SERVER_ERROR,
                "the weld could not be fired",
            )),
            Err(_) => Err(late(limit)),
        }
    }
}
