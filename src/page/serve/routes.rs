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
use crate::request::{self, PageRequest};
use crate::response::PageResponse;
use crate::session::Session;
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

#[derive(Clone)]
struct Shared {
    session: Session,
    turns: Arc<Semaphore>,
    queue: Arc<Semaphore>,
}

/// The page's routes, behind their guard.
pub fn app(session: Session, who: Guard) -> Router {
    let shared = Shared {
        session,
        turns: Arc::new(Semaphore::new(at_once())),
        queue: Arc::new(Semaphore::new(WAITING + at_once())),
    };
    Router::new()
        .route("/", get(|| async { asset(&assets::FRAME) }))
        .route("/start", get(start))
        .route("/fire", post(fire))
        .route("/band", post(band))
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

/// Asked for once the hand rests: it takes 48 shots.
async fn band(State(shared): State<Shared>, request: Request) -> Response {
    answer(shared, request, borderline).await
}

fn borderline(session: &Session, asked: &PageRequest) -> Response {
    match session.borderline(&asked.weld) {
        Ok(words) => json(&serde_json::json!({ "borderline": words })),
        Err(text) => (StatusCode::UNPROCESSABLE_ENTITY, text).into_response(),
    }
}

/// Reads what is asked from a request's body and does it.
async fn answer(
    shared: Shared,
    request: Request,
    does: fn(&Session, &PageRequest) -> Response,
) -> Response {
    let body = match timeout(SENT, to_bytes(request.into_body(), BODY)).await {
        Ok(Ok(body)) => body,
        Ok(Err(_)) => {
            return refused(
                StatusCode::PAYLOAD_TOO_LARGE,
                "the request is incomplete or larger than 64 KiB",
            );
        }
        Err(_) => {
            return refused(
                StatusCode::REQUEST_TIMEOUT,
                "the request was not sent within 10 s",
            );
        }
    };
    let Ok(pairs) = std::str::from_utf8(&body) else {
        return refused(StatusCode::BAD_REQUEST, "the request is not UTF-8 text");
    };
    let asked = match request::read(pairs) {
        Ok(asked) => asked,
        Err(text) => return (StatusCode::UNPROCESSABLE_ENTITY, text).into_response(),
    };
    let done = shared.run(move |session| does(session, &asked)).await;
    done.unwrap_or_else(|refused| refused)
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
    let done = shared.run(move |session| {
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

impl Shared {
    /// Does work on a thread of its own, so that others are answered meanwhile.
    async fn run(
        self,
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
        let done = timeout(FIRED, task).await;
        // Dropped earlier where the client has gone: the work then ends between two shots.
        drop(waiting);
        match done {
            Ok(Ok(response)) => Ok(response),
            Ok(Err(_)) => Err(refused(
                StatusCode::INTERNAL_SERVER_ERROR,
                "the weld could not be fired",
            )),
            Err(_) => Err(refused(
                StatusCode::SERVICE_UNAVAILABLE,
                "the weld takes longer than 10 s",
            )),
        }
    }
}
