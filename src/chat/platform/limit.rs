//! How long the platform asks to wait.

use reqwest::{Response, StatusCode};
use serde_json::Value;
use std::time::Duration;

/// What an answer's headers say about limits:
/// <https://discord.com/developers/docs/topics/rate-limits>.
pub(super) struct Limit {
    remaining: Option<f64>,
    reset_after: Option<f64>,
    retry_after: Option<f64>,
    /// Whether every address must wait.
    pub all: bool,
}

impl Limit {
    /// Reads the headers of an answer.
    pub fn of(response: &Response) -> Self {
        let number = |name: &str| response.headers().get(name)?.to_str().ok()?.parse::<f64>().ok();
        Self {
            remaining: number("x-ratelimit-remaining"),
            reset_after: number("x-ratelimit-reset-after"),
            retry_after: number("retry-after"),
            all: response.headers().contains_key("x-ratelimit-global"),
        }
    }

    /// How long to wait before the next request to the same address.
    pub fn wait(&self, status: StatusCode, body: &Value) -> Option<Duration> {
        let seconds = if status == StatusCode::TOO_MANY_REQUESTS {
            body["retry_after"].as_f64().or(self.retry_after).or(self.reset_after).unwrap_or(1.0)
        } else if self.remaining.is_some_and(|left| left < 1.0) {
            self.reset_after?
        } else {
            return None;
        };
        // A limit of a whole day is as good as one of an hour: patience ends before both.
        Some(Duration::from_secs_f64(seconds.clamp(0.0, 3600.0)))
    }
}
