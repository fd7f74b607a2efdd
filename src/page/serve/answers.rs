//! Answers: files, JSON, and refusals in words; and the body of a request.

use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::assets::Asset;

/// Time to send a body.
const SENT: Duration = Duration::from_secs(10);

/// What is given, or what is said instead.
pub type Answer = Result<Response, Response>;

/// Content type of figures.
pub const JSON: &str = "application/json";

pub fn nothing() -> Response {
    (StatusCode::NOT_FOUND, "error: no such page\n").into_response()
}

pub fn asset(asset: &Asset) -> Response {
    typed(asset.kind, asset.text.into())
}

pub fn typed(kind: &'static str, body: Body) -> Response {
    (
        [(header::CONTENT_TYPE, HeaderValue::from_static(kind))],
        body,
    )
        .into_response()
}

pub fn json(value: &impl serde::Serialize) -> Response {
    match serde_json::to_vec(value) {
        Ok(bytes) => typed(JSON, bytes.into()),
        Err(e) => (StatusCode::INTERNAL_SERVER_ERROR, format!("error: {e}\n")).into_response(),
    }
}

pub fn refused(status: StatusCode, why: &str) -> Response {
    (status, format!("error: {why}\n")).into_response()
}

/// Words of the program about what was asked.
pub fn unfit(text: String) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, text).into_response()
}

pub fn late(limit: Duration) -> Response {
    let why = format!("the answer takes longer than {} s", limit.as_secs());
    refused(StatusCode::SERVICE_UNAVAILABLE, &why)
}

/// The text in a request's body, of so many KiB at most.
pub async fn body(request: Request, most_kib: usize) -> Result<String, Response> {
    let read = tokio::time::timeout(SENT, to_bytes(request.into_body(), most_kib << 10)).await;
    let bytes = match read {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(_)) => {
            let why = format!("the request is incomplete or larger than {most_kib} KiB");
            return Err(refused(StatusCode::PAYLOAD_TOO_LARGE, &why));
        }
        Err(_) => {
            let why = format!("the request was not sent within {} s", SENT.as_secs());
            return Err(refused(StatusCode::REQUEST_TIMEOUT, &why));
        }
    };
    String::from_utf8(bytes.into())
        .map_err(|_| refused(StatusCode::BAD_REQUEST, "the request is not UTF-8 text"))
}
