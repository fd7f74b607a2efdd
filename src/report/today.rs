//! The day on which something was done.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use humantime::format_rfc3339_seconds;

/// Seconds since 1970 that stand for now, where a result should not hang on the day it was made
/// (reproducible-builds.org, SOURCE_DATE_EPOCH).
const EPOCH: &str = "SOURCE_DATE_EPOCH";

/// Those of the year 10000, which a date of RFC 3339 does not reach.
const MOST: u64 = 253_402_300_800;

/// Today in UTC, as in 2026-11-28.
pub fn today() -> String {
    let given = std::env::var(EPOCH).ok().and_then(|text| text.parse().ok());
    let given = given.filter(|seconds| *seconds < MOST);
    let now = given.map_or_else(SystemTime::now, |seconds| {
        UNIX_EPOCH + Duration::from_secs(seconds)
    });
    let mut text = format_rfc3339_seconds(now).to_string();
    text.truncate("2026-11-28".len());
    text
}
