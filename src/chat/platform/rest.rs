//! Carries parcels to the platform: waits when told to, tries again when it makes sense.
//!
//! The platform's limits are kept here and not in the library's limiter, which keeps a bucket for
//! every interaction and never frees one. Only paths that must wait are remembered, until then.

use super::counts::{Counts, Happened};
use super::limit::Limit;
use super::token::Token;
use reqwest::{Method, StatusCode, header};
use serde::Serialize;
use serde_json::Value;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::time::{Instant, sleep, timeout};

/// The platform refuses clients that do not name themselves in this form:
/// <https://discord.com/developers/docs/reference#user-agent>.
const USER_AGENT: &str = concat!("DiscordBot (drumhead, ", env!("CARGO_PKG_VERSION"), ")");
/// The platform's own address.
const PLATFORM: &str = "https://discord.com";
/// The first wait before trying again; each further one is twice as long.
const FIRST_WAIT: Duration = Duration::from_millis(200);
/// The longest wait between two tries that the platform did not ask for.
const LONGEST_WAIT: Duration = Duration::from_secs(8);
/// How long one try may take.
const ONE_TRY: Duration = Duration::from_secs(10);
/// How long an acknowledgement may take in all: the platform gives 3 seconds.
const ACKNOWLEDGE: Duration = Duration::from_millis(2800);
/// How long anything else is tried; an owed post is tried again later.
const PATIENCE: Duration = Duration::from_secs(40);

/// Carries parcels to the platform.
#[derive(Debug)]
pub struct Rest {
    client: reqwest::Client,
    base: String,
    token: Token,
    counts: Arc<Counts>,
    /// When each path may be used again; an entry is there only while it must wait.
    waits: Mutex<HashMap<String, Instant>>,
}

/// Why a request did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failed {
    /// The platform refuses it and would refuse it again: status and the platform's own code.
    Refused { status: u16, code: u64, message: String },
    /// It could not be brought there in time.
    Unreachable(String),
}

/// A file on its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Upload {
    /// Its name, as the body names it.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// What is sent: a body, written out, and the files that go with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parcel {
    body: String,
    files: Vec<Upload>,
}

/// One call, with all that is needed to make it again.
pub(super) struct RestRequest<'a> {
    method: Method,
    /// The path, which also names what must wait.
    path: String,
    query: String,
    parcel: Option<&'a Parcel>,
    /// How long to try in all, and how long one try may take.
    patience: (Duration, Duration),
}

impl Parcel {
    /// A body without files.
    pub fn of(body: &impl Serialize) -> Self {
        Self::with_files(body, Vec::new())
    }

    /// A body with its files.
    pub fn with_files(body: &impl Serialize, files: Vec<Upload>) -> Self {
        let body = serde_json::to_string(body).expect("a body has only text keys");
        Self { body, files }
    }
}

impl Failed {
    /// Whether the platform says that there is nothing at this address, or no way to it.
    pub const fn is_gone(&self) -> bool {
        matches!(self, Self::Refused { status: 401 | 403 | 404, .. })
    }

    /// Whether the interaction has been acknowledged already.
    pub const fn is_acknowledged(&self) -> bool {
        matches!(self, Self::Refused { code: 40060, .. })
    }
}

impl Failed {
    /// Why, in the platform's own words where it gave some.
    pub fn reason(&self) -> &str {
        match self {
            Self::Refused { message, .. } => message,
            Self::Unreachable(why) => why,
        }
    }
}

impl std::fmt::Display for Failed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Refused { status, code, message } => {
                write!(f, "refused with status {status}, code {code}: {message}")
            }
            Self::Unreachable(why) => write!(f, "not reached: {why}"),
        }
    }
}

impl Rest {
    pub fn new(rest: Option<&str>, token: Token, counts: Arc<Counts>) -> Self {
        let builder = reqwest::Client::builder();
        // Another address is a proxy of the operator's own: no second proxy stands before it.
        let builder = if rest.is_some() { builder.no_proxy() } else { builder };
        let client = builder.build().expect("the client is built from constants");
        let base = rest.unwrap_or(PLATFORM).trim_end_matches('/');
        Self { client, base: format!("{base}/api/v10"), token, counts, waits: Mutex::default() }
    }

    /// The connection pool, for the library to share.
    pub const fn client(&self) -> &reqwest::Client {
        &self.client
    }

    /// Tries until it arrives, is refused, or patience ends.
    pub(super) async fn send(&self, request: RestRequest<'_>) -> Result<Value, Failed> {
        let (patience, one_try) = request.patience;
        let end = Instant::now() + patience;
        let mut wait = FIRST_WAIT;
        loop {
            self.wait_for(&request.path, end).await?;
            let left = end.saturating_duration_since(Instant::now());
            let tried = timeout(one_try.min(left), self.once(&request)).await;
            let why = match tried {
                Ok(Ok(Tried::Done(value))) => return Ok(value),
                Ok(Ok(Tried::Refused(refused))) => return Err(refused),
                // The wait is noted: the loop waits for it.
                Ok(Ok(Tried::Limited)) => continue,
                Ok(Ok(Tried::Again(why))) => why,
                // The address holds tokens, so it is left out.
                Ok(Err(error)) => error.without_url().to_string(),
                Err(_) => "no answer in time".to_owned(),
            };
            if Instant::now() + wait >= end {
                return Err(Failed::Unreachable(why));
            }
            self.counts.count(Happened::TriedAgain);
            tracing::warn!(%why, "the platform is tried again");
            sleep(wait).await;
            wait = (wait * 2).min(LONGEST_WAIT);
        }
    }

    async fn once(&self, asked: &RestRequest<'_>) -> Result<Tried, reqwest::Error> {
        let url = format!("{}{}{}", self.base, asked.path, asked.query);
        let mut request = self
            .client
            .request(asked.method.clone(), url)
            .header(header::AUTHORIZATION, format!("Bot {}", self.token.reveal()))
            .header(header::USER_AGENT, USER_AGENT);
        request = match asked.parcel {
            Some(parcel) if parcel.files.is_empty() => {
                request.header(header::CONTENT_TYPE, "application/json").body(parcel.body.clone())
            }
            Some(parcel) => request.multipart(form(parcel)),
            None => request,
        };
        let response = request.send().await?;
        let status = response.status();
        let limit = Limit::of(&response);
        let body = response.bytes().await?;
        let body: Value = serde_json::from_slice(&body).unwrap_or(Value::Null);
        if let Some(wait) = limit.wait(status, &body) {
            let all = limit.all || body["global"] == true;
            self.note_wait(if all { "" } else { &asked.path }, wait);
        }
        Ok(match status {
            StatusCode::TOO_MANY_REQUESTS => {
                self.counts.count(Happened::Limited);
                Tried::Limited
            }
            status if status.is_success() => Tried::Done(body),
            status if status.is_server_error() => Tried::Again(format!("status {status}")),
            status => Tried::Refused(Failed::Refused {
                status: status.as_u16(),
                code: body["code"].as_u64().unwrap_or(0),
                message: reason(&body),
            }),
        })
    }

    /// Waits until the path, and the platform as a whole, may be used.
    async fn wait_for(&self, path: &str, end: Instant) -> Result<(), Failed> {
        loop {
            let until = {
                let mut waits = self.waits.lock().unwrap_or_else(PoisonError::into_inner);
                let now = Instant::now();
                waits.retain(|_, until| *until > now);
                waits.get(path).max(waits.get("")).copied()
            };
            match until {
                None => return Ok(()),
                Some(until) if until >= end => {
                    return Err(Failed::Unreachable("the platform asks to wait".to_owned()));
                }
                Some(until) => tokio::time::sleep_until(until).await,
            }
        }
    }

    fn note_wait(&self, path: &str, wait: Duration) {
        let mut waits = self.waits.lock().unwrap_or_else(PoisonError::into_inner);
        waits.insert(path.to_owned(), Instant::now() + wait);
    }
}

/// The reason that an answer gives; of an invalid form what is wrong with it.
///
/// <https://discord.com/developers/docs/reference#error-messages>
fn reason(body: &Value) -> String {
    let message = body["message"].as_str().unwrap_or("no reason given");
    match detail(&body["errors"]) {
        Some(detail) => format!("{message} ({detail})"),
        None => message.to_owned(),
    }
}

/// The first of the nested errors of an answer.
fn detail(errors: &Value) -> Option<String> {
    let errors = errors.as_object()?;
    let own = errors.get("_errors").and_then(|own| own[0]["message"].as_str()).map(str::to_owned);
    own.or_else(|| {
        errors.iter().find_map(|(key, inner)| Some(format!("{key}: {}", detail(inner)?)))
    })
}

/// What one try came to.
enum Tried {
    Done(Value),
    Refused(Failed),
    Again(String),
    Limited,
}

impl<'a> RestRequest<'a> {
    /// A call to that path; what else it needs is set afterwards.
    pub const fn new(method: Method, path: String) -> Self {
        let patience = (PATIENCE, ONE_TRY);
        Self { method, path, query: String::new(), parcel: None, patience }
    }

    /// The same call with a body.
    pub const fn carrying(mut self, parcel: &'a Parcel) -> Self {
        self.parcel = Some(parcel);
        self
    }

    /// The same call with what stands behind the path's question mark.
    pub fn asking(mut self, query: String) -> Self {
        self.query = query;
        self
    }

    /// The same call as an acknowledgement.
    ///
    /// One slow try may still arrive; a second one would only be told that the first did.
    pub const fn at_once(mut self) -> Self {
        self.patience = (ACKNOWLEDGE, ACKNOWLEDGE);
        self
    }
}

fn form(parcel: &Parcel) -> reqwest::multipart::Form {
    let form = reqwest::multipart::Form::new().text("payload_json", parcel.body.clone());
    parcel.files.iter().enumerate().fold(form, |form, (n, file)| {
        let part = reqwest::multipart::Part::bytes(file.bytes.clone()).file_name(file.name.clone());
        form.part(format!("files[{n}]"), part)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// After the example under “Error Messages” in the platform's reference.
    #[test]
    fn the_reason_of_an_invalid_form_says_what_is_wrong() {
        let body = serde_json::json!({
            "code": 50035,
            "message": "Invalid Form Body",
            "errors": { "components": { "0": { "content": { "_errors": [
                { "code": "BASE_TYPE_REQUIRED", "message": "This field is required" },
            ] } } } },
        });
        let said = "Invalid Form Body (components: 0: content: This field is required)";
        assert_eq!(reason(&body), said);
        assert_eq!(reason(&serde_json::json!({ "message": "Unknown Channel" })), "Unknown Channel");
        assert_eq!(reason(&Value::Null), "no reason given");
    }
}
