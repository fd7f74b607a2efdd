//! The day on which something was done.

use chrono::{DateTime, Utc};

/// Seconds since 1970 that stand for now, where a result should not hang on the day it was made
/// (reproducible-builds.org, SOURCE_DATE_EPOCH).
const EPOCH: &str = "SOURCE_DATE_EPOCH";

/// Today in UTC, as in 2026-11-28.
pub fn today() -> String {
    let given = std::env::var(EPOCH).ok().and_then(|text| text.parse().ok());
    let given = given.and_then(|seconds| DateTime::from_timestamp(seconds, 0));
    given
        .unwrap_or_else(Utc::now)
        .format("%Y-%m-%d")
        .to_string()
}
