//! Carries letters to the platform: waits when told to, tries again when it makes sense.
//!
//! The platform's limits are kept here and not in the library's limiter, which keeps a bucket for
//! every interaction and never frees one. Only paths that must wait are remembered, until then.

use super::Token;
use super::caller::ReplyRoute;
use super::status::Counts;
use reqwest::{Method, Response, StatusCode, header};
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

/// Carries letters to the platform.
#[derive(Debug)]
pub(super) struct Rest {
    client: reqwest::Client,
    base: String,
    token: Token,
    counts: Arc<Counts>,
    /// When each path may be used again; an entry is there only while it must wait.
    waits: Mutex<HashMap<String, Instant>>,
}

/// Why a request did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Failed {
    /// The platform refuses it and would refuse it again: status and the platform's own code.
    Refused { status: u16, code: u64, message: String },
    /// It could not be brought there in time.
    Unreachable(String),
}

/// A file that goes with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct File {
    pub name: String,
    pub bytes: Vec<u8>,
    /// What a picture shows, for those who cannot see it.
    pub alt: Option<String>,
}

/// A message: its body, and the files that go with it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Message {
    pub body: Value,
    pub files: Vec<File>,
}

struct RestRequest<'a> {
    method: Method,
    /// The path, which also names what must wait.
    path: String,
    query: String,
    body: Option<&'a Value>,
    files: &'a [File],
    /// How long to try in all, and how long one try may take.
    patience: (Duration, Duration),
}

impl File {
    /// A file of text.
    pub fn text(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), bytes: text.into().into_bytes(), alt: None }
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

    /// Answers an interaction at once: acknowledges it, or shows a form.
    pub async fn acknowledge(&self, via: &ReplyRoute, body: &Value) -> Result<(), Failed> {
        let path = format!("/interactions/{}/{}/callback", via.id, via.token);
        let mut request = RestRequest::new(Method::POST, path).with(body);
        // One slow try may still arrive; a second one would only be told that the first did.
        request.patience = (ACKNOWLEDGE, ACKNOWLEDGE);
        self.send(request).await.map(drop)
    }

    /// Puts the answer in the place of the acknowledgement.
    pub async fn edit_original(
        &self,
        via: &ReplyRoute,
        message: &Message,
    ) -> Result<Value, Failed> {
        self.send(RestRequest::new(Method::PATCH, original(via)).carrying(message)).await
    }

    /// Takes the acknowledgement away.
    pub async fn delete_original(&self, via: &ReplyRoute) -> Result<(), Failed> {
        self.send(RestRequest::new(Method::DELETE, original(via))).await.map(drop)
    }

    /// Answers once more.
    pub async fn follow_up(&self, via: &ReplyRoute, message: &Message) -> Result<Value, Failed> {
        let path = format!("/webhooks/{}/{}", via.application, via.token);
        self.send(RestRequest::new(Method::POST, path).carrying(message)).await
    }

    /// Posts in a channel.
    pub async fn post(&self, channel: u64, message: &Message) -> Result<Value, Failed> {
        let path = format!("/channels/{channel}/messages");
        self.send(RestRequest::new(Method::POST, path).carrying(message)).await
    }

    /// Edits a message of the bot's own in a channel.
    pub async fn edit(&self, channel: u64, id: u64, message: &Message) -> Result<Value, Failed> {
        let path = format!("/channels/{channel}/messages/{id}");
        self.send(RestRequest::new(Method::PATCH, path).carrying(message)).await
    }

    /// Deletes a message of the bot's own.
    pub async fn delete(&self, channel: u64, id: u64) -> Result<(), Failed> {
        let path = format!("/channels/{channel}/messages/{id}");
        self.send(RestRequest::new(Method::DELETE, path)).await.map(drop)
    }

    /// Up to 100 messages of a channel after the one with that id.
    pub async fn messages_after(&self, channel: u64, id: u64) -> Result<Value, Failed> {
        let mut request = RestRequest::new(Method::GET, format!("/channels/{channel}/messages"));
        request.query = format!("?after={id}&limit=100");
        self.send(request).await
    }

    /// The channel for private messages to a person.
    pub async fn private_channel(&self, user: u64) -> Result<Value, Failed> {
        let body = serde_json::json!({ "recipient_id": user.to_string() });
        self.send(RestRequest::new(Method::POST, "/users/@me/channels".to_owned()).with(&body))
            .await
    }

    /// Asks for anything that has only an address.
    pub async fn get(&self, path: &str) -> Result<Value, Failed> {
        self.send(RestRequest::new(Method::GET, path.to_owned())).await
    }

    /// Puts something at an address.
    pub async fn put(&self, path: &str, body: &Value) -> Result<Value, Failed> {
        self.send(RestRequest::new(Method::PUT, path.to_owned()).with(body)).await
    }

    /// Tries until it arrives, is refused, or patience ends.
    async fn send(&self, request: RestRequest<'_>) -> Result<Value, Failed> {
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
            self.counts.tried_again();
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
        request = match asked.body {
            Some(body) if asked.files.is_empty() => request.json(body),
            Some(body) => request.multipart(form(body, asked.files)),
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
                self.counts.limited();
                Tried::Limited
            }
            status if status.is_success() => Tried::Done(body),
            status if status.is_server_error() => Tried::Again(format!("status {status}")),
            status => Tried::Refused(Failed::Refused {
                status: status.as_u16(),
                code: body["code"].as_u64().unwrap_or(0),
                message: body["message"].as_str().unwrap_or("no reason given").to_owned(),
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

/// What one try came to.
enum Tried {
    Done(Value),
    Refused(Failed),
    Again(String),
    Limited,
}

/// What an answer's headers say about limits:
/// <https://discord.com/developers/docs/topics/rate-limits>.
struct Limit {
    remaining: Option<f64>,
    reset_after: Option<f64>,
    retry_after: Option<f64>,
    all: bool,
}

impl Limit {
    fn of(response: &Response) -> Self {
        let number = |name: &str| response.headers().get(name)?.to_str().ok()?.parse::<f64>().ok();
        Self {
            remaining: number("x-ratelimit-remaining"),
            reset_after: number("x-ratelimit-reset-after"),
            retry_after: number("retry-after"),
            all: response.headers().contains_key("x-ratelimit-global"),
        }
    }

    /// How long to wait before the next request to the same address.
    fn wait(&self, status: StatusCode, body: &Value) -> Option<Duration> {
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

impl<'a> RestRequest<'a> {
    const fn new(method: Method, path: String) -> Self {
        let patience = (PATIENCE, ONE_TRY);
        Self { method, path, query: String::new(), body: None, files: &[], patience }
    }

    const fn with(mut self, body: &'a Value) -> Self {
        self.body = Some(body);
        self
    }

    fn carrying(mut self, message: &'a Message) -> Self {
        self.body = Some(&message.body);
        self.files = &message.files;
        self
    }
}

fn original(via: &ReplyRoute) -> String {
    format!("/webhooks/{}/{}/messages/@original", via.application, via.token)
}

fn form(body: &Value, files: &[File]) -> reqwest::multipart::Form {
    let form = reqwest::multipart::Form::new().text("payload_json", body.to_string());
    files.iter().enumerate().fold(form, |form, (n, file)| {
        let part = reqwest::multipart::Part::bytes(file.bytes.clone()).file_name(file.name.clone());
        form.part(format!("files[{n}]"), part)
    })
}
