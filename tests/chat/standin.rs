//! A stand-in for the platform on loopback: its REST interface, as far as the bot uses it.
//!
//! It is strict: what the platform would refuse it refuses with the platform's codes, and notes.
//! Codes are those of <https://discord.com/developers/docs/topics/opcodes-and-status-codes>.

use super::checks;
use super::gateway::{self, Gate};
use axum::Router;
use axum::body::Bytes;
use axum::extract::{FromRequest as _, Multipart, Request, State};
use axum::http::{Method, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde_json::{Value, json};
use std::collections::{HashMap, HashSet};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, Instant};
use tokio::sync::Notify;

/// The bot's application, and the user it is on the platform.
pub const APPLICATION: u64 = 900_000_000_000_000_001;
/// The bot's token.
pub const TOKEN: &str = "stand-in.token.of-the-bot";

/// The platform.
pub struct StandIn {
    pub address: String,
    pub world: Arc<World>,
}

/// Its state, shared with its gateway.
pub struct World {
    state: Mutex<Platform>,
    pub gate: Gate,
    /// Rung whenever something has happened.
    pub bell: Notify,
}

/// Everything it knows.
#[derive(Default)]
pub struct Platform {
    pub address: String,
    /// Interactions by id.
    pub interactions: HashMap<u64, Interaction>,
    pub messages: Vec<Message>,
    pub commands: Value,
    /// The path at which the commands were registered.
    pub commands_at: String,
    pub faults: Vec<Fault>,
    /// Channels that are deleted, and channels the bot may not use.
    pub deleted: HashSet<u64>,
    pub forbidden: HashSet<u64>,
    /// Every call: method and path.
    pub calls: Vec<(String, String)>,
    /// What the platform would have refused.
    pub wrong: Vec<String>,
    pub shards: u64,
    /// Whether what is held is let go.
    let_go: bool,
    last_id: u64,
}

/// An interaction that was sent to the bot.
pub struct Interaction {
    pub token: String,
    pub channel: u64,
    pub sent: Instant,
    /// How it was answered first, and when.
    pub answered: Option<(Value, Instant)>,
    /// The message that stands in its place, and whether that was deleted.
    pub original: Option<u64>,
    pub deleted: bool,
    /// Whether its token answers no more.
    pub expired: bool,
}

/// A message in a channel.
#[derive(Debug, Clone)]
pub struct Message {
    pub id: u64,
    pub channel: u64,
    /// The interaction it answers.
    pub interaction: Option<u64>,
    /// Whether one person alone sees it.
    pub private: bool,
    pub body: Value,
    pub files: Vec<(String, Vec<u8>)>,
    /// How often it was edited.
    pub edits: u32,
    /// When it became what it is.
    pub at: Instant,
}

/// Something that goes wrong with the next calls to a path that contains some text.
pub struct Fault {
    pub method: &'static str,
    pub path: &'static str,
    pub kind: Kind,
    pub times: u32,
}

/// What goes wrong.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// This status, and nothing done.
    Status(u16),
    /// Too many requests: wait so many seconds; for all paths if so.
    Limited(f64, bool),
    /// It is done, but only after so many milliseconds.
    Slow(u64),
    /// The body is refused as an invalid form, and nothing is done.
    Invalid,
    /// It is done, but only once the test lets it go.
    Held,
    /// It is done, but the answer is lost.
    Lost,
    /// It is done, but the answer comes only after so many milliseconds.
    Late(u64),
}

/// A refusal: status, the platform's code, and what it says.
struct Refused(u16, u64, String);

impl Refused {
    /// As the platform puts it: what is wrong with a form stands beside a general sentence.
    fn body(&self) -> Value {
        let Self(_, code, said) = self;
        if *code == INVALID_FORM {
            let errors = json!({ "_errors": [{ "code": "INVALID", "message": said }] });
            return json!({ "code": code, "message": "Invalid Form Body", "errors": errors });
        }
        json!({ "code": code, "message": said })
    }
}

/// The platform's code for a body that is not as it should be.
const INVALID_FORM: u64 = 50035;

impl Message {
    /// Its text as a person reads it, with the escapes of markdown taken out.
    pub fn text(&self) -> String {
        let shown = checks::all(&self.body);
        let texts: Vec<&str> = shown.iter().filter_map(|part| part["content"].as_str()).collect();
        let mut plain = String::new();
        for line in texts.join("\n").lines() {
            let mut escaped = false;
            // What begins so is set small.
            for c in line.strip_prefix("-# ").unwrap_or(line).chars() {
                if c == '\\' && !escaped {
                    escaped = true;
                    continue;
                }
                if c != '*' || escaped {
                    plain.push(c);
                }
                escaped = false;
            }
            plain.push('\n');
        }
        plain
    }

    /// The text of one of its files.
    pub fn file(&self, n: usize) -> &str {
        std::str::from_utf8(&self.files[n].1).expect("it is a file of text")
    }

    /// The ids of its buttons, by label.
    pub fn button(&self, label: &str) -> String {
        let found = checks::all(&self.body).into_iter().find(|part| part["label"] == label);
        let id = found.and_then(|button| button["custom_id"].as_str());
        id.unwrap_or_else(|| panic!("no button {label} under {}", self.text())).to_owned()
    }
}

impl Platform {
    /// An id as the platform makes them: later ones are greater, and hold the time.
    pub fn id(&mut self) -> u64 {
        let now = u64::try_from(jiff::Timestamp::now().as_millisecond()).unwrap();
        self.last_id = ((now - 1_420_070_400_000) << 22).max(self.last_id + 1);
        self.last_id
    }

    fn fault(&mut self, method: &str, path: &str) -> Option<Kind> {
        let fits = |fault: &&mut Fault| {
            fault.times > 0 && fault.method == method && path.contains(fault.path)
        };
        let fault = self.faults.iter_mut().find(fits)?;
        fault.times -= 1;
        Some(fault.kind)
    }
}

impl World {
    /// Puts so many messages of other people into a channel, among them as many before as after
    /// the bot's own.
    pub fn chatter(&self, channel: u64, count: usize) {
        let mut state = self.state();
        let own: Vec<u64> =
            state.messages.iter().filter(|m| m.channel == channel).map(|m| m.id).collect();
        let last = own.iter().max().copied().unwrap_or(0);
        for n in 0..count {
            // Ids have room between them: the ones before stand right under the last of the bot's.
            let n = u64::try_from(n).expect("few messages");
            let id = if n % 2 == 0 { last - 1 - n } else { last + 1 + n };
            state.messages.push(Message {
                id,
                channel,
                interaction: None,
                private: false,
                body: json!({ "content": "said in the channel" }),
                files: Vec::new(),
                edits: 0,
                at: Instant::now(),
            });
        }
        state.messages.sort_by_key(|message| message.id);
    }

    /// Lets go what is held.
    pub fn let_go(&self) {
        self.state().let_go = true;
        self.bell.notify_waiters();
    }

    /// Waits until that is done.
    async fn held(&self) {
        loop {
            let rung = self.bell.notified();
            if self.state().let_go {
                return;
            }
            // A bell rung in between is made good by looking again soon.
            let _ = tokio::time::timeout(Duration::from_millis(50), rung).await;
        }
    }

    pub fn state(&self) -> MutexGuard<'_, Platform> {
        self.state.lock().expect("no test panics with the platform in hand")
    }
}

impl StandIn {
    /// Begins to listen on a free port.
    pub async fn begin() -> Self {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address").to_string();
        let platform = Platform { address: address.clone(), shards: 1, ..Platform::default() };
        let world = Arc::new(World {
            state: Mutex::new(platform),
            gate: Gate::default(),
            bell: Notify::new(),
        });
        let router = Router::new()
            .route("/gateway", axum::routing::any(gateway::connected))
            .fallback(called)
            .with_state(Arc::clone(&world));
        tokio::spawn(async move { axum::serve(listener, router).await.expect("it serves") });
        Self { address, world }
    }
}

/// One call to the REST interface.
async fn called(State(world): State<Arc<World>>, request: Request) -> Response {
    let method = request.method().as_str().to_owned();
    let uri = request.uri().clone();
    let path = uri.path().to_owned();
    let authorized =
        request.headers().get(header::AUTHORIZATION).is_some_and(|v| v == &format!("Bot {TOKEN}"));
    let agent = request.headers().get(header::USER_AGENT).cloned();
    let fault = {
        let mut state = world.state();
        if !agent.is_some_and(|agent| agent.as_bytes().starts_with(b"DiscordBot (")) {
            state.wrong.push(format!("no user agent of the platform's form on {path}"));
        }
        state.calls.push((method.clone(), path.clone()));
        state.fault(&method, &path)
    };
    match fault {
        Some(Kind::Status(status)) => return answer(status, &json!({ "message": "fault" })),
        Some(Kind::Limited(seconds, global)) => return limited(seconds, global),
        Some(Kind::Invalid) => {
            let refused = Refused(400, INVALID_FORM, "it was not liked".to_owned());
            return answer(400, &refused.body());
        }
        Some(Kind::Slow(milliseconds)) => {
            tokio::time::sleep(Duration::from_millis(milliseconds)).await;
        }
        Some(Kind::Held) => world.held().await,
        Some(Kind::Lost | Kind::Late(_)) | None => {}
    }
    let (body, files) = match body(request).await {
        Ok(read) => read,
        Err(why) => {
            world.state().wrong.push(why);
            return answer(400, &json!({ "code": 50109, "message": "invalid JSON" }));
        }
    };
    if !authorized {
        return answer(401, &json!({ "code": 0, "message": "401: Unauthorized" }));
    }
    let done = handle(&world, &method, &path, uri.query().unwrap_or_default(), body, files);
    world.bell.notify_waiters();
    if let Some(Kind::Late(milliseconds)) = fault {
        tokio::time::sleep(Duration::from_millis(milliseconds)).await;
    }
    if matches!(fault, Some(Kind::Lost)) {
        return answer(502, &json!({ "message": "lost" }));
    }
    match done {
        Ok(Value::Null) => StatusCode::NO_CONTENT.into_response(),
        Ok(value) => answer(200, &value),
        Err(refused) => answer(refused.0, &refused.body()),
    }
}

fn answer(status: u16, body: &Value) -> Response {
    let status = StatusCode::from_u16(status).expect("a status");
    (status, [(header::CONTENT_TYPE, "application/json")], body.to_string()).into_response()
}

fn limited(seconds: f64, global: bool) -> Response {
    let body = json!({ "message": "limited", "retry_after": seconds, "global": global });
    let mut response = answer(429, &body);
    let headers = response.headers_mut();
    headers.insert("retry-after", seconds.ceil().to_string().parse().expect("a header"));
    headers.insert("x-ratelimit-reset-after", seconds.to_string().parse().expect("a header"));
    if global {
        headers.insert("x-ratelimit-global", "true".parse().expect("a header"));
    }
    response
}

/// The JSON of a call, and the files that came with it.
async fn body(request: Request) -> Result<(Value, Vec<(String, Vec<u8>)>), String> {
    let kind = request.headers().get(header::CONTENT_TYPE).cloned();
    let is_form = kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
    if !is_form {
        let has_body = request.method() != Method::GET && request.method() != Method::DELETE;
        let bytes = Bytes::from_request(request, &()).await.map_err(|error| error.to_string())?;
        if !has_body || bytes.is_empty() {
            return Ok((Value::Null, Vec::new()));
        }
        let body = serde_json::from_slice(&bytes).map_err(|error| error.to_string())?;
        return Ok((body, Vec::new()));
    }
    let mut form = Multipart::from_request(request, &()).await.map_err(|e| e.to_string())?;
    let (mut body, mut files) = (Value::Null, Vec::new());
    while let Some(field) = form.next_field().await.map_err(|error| error.to_string())? {
        let (name, file) =
            (field.name().unwrap_or_default().to_owned(), field.file_name().map(str::to_owned));
        let bytes = field.bytes().await.map_err(|error| error.to_string())?.to_vec();
        match file {
            None if name == "payload_json" => {
                body = serde_json::from_slice(&bytes).map_err(|error| error.to_string())?;
            }
            Some(file) if name == format!("files[{}]", files.len()) => files.push((file, bytes)),
            _ => return Err(format!("part {name}")),
        }
    }
    Ok((body, files))
}

fn handle(
    world: &World,
    method: &str,
    path: &str,
    query: &str,
    body: Value,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Value, Refused> {
    let mut state = world.state();
    let path = path.strip_prefix("/api/v10/").unwrap_or(path).to_owned();
    let parts: Vec<&str> = path.split('/').collect();
    match (method, parts.as_slice()) {
        ("GET", ["gateway"]) => Ok(json!({ "url": format!("ws://{}/gateway", state.address) })),
        ("GET", ["gateway", "bot"]) => Ok(json!({
            "url": format!("ws://{}/gateway", state.address),
            "shards": state.shards,
            "session_start_limit":
                { "total": 1000, "remaining": 999, "reset_after": 1000, "max_concurrency": 16 },
        })),
        ("GET", ["applications", "@me"]) => Ok(json!({ "id": APPLICATION.to_string() })),
        ("PUT", ["applications", application, .., "commands"])
            if *application == APPLICATION.to_string() =>
        {
            let wrong = checks::commands(&body);
            refuse(&mut state, wrong)?;
            state.commands_at.clone_from(&path);
            state.commands = body.clone();
            Ok(body)
        }
        ("POST", ["interactions", id, token, "callback"]) => {
            first_answer(&mut state, number(id), token, &body)
        }
        ("PATCH", ["webhooks", _, token, "messages", "@original"]) => {
            edit_original(&mut state, token, body, files)
        }
        ("DELETE", ["webhooks", _, token, "messages", "@original"]) => {
            delete_original(&mut state, token)
        }
        ("POST", ["webhooks", _, token]) => follow_up(&mut state, token, body, files),
        ("GET", ["channels", channel, "messages"]) => list(&state, number(channel), query),
        ("POST", ["channels", channel, "messages"]) => {
            post(&mut state, number(channel), body, files)
        }
        ("PATCH", ["channels", channel, "messages", message]) => {
            edit(&mut state, number(channel), number(message), body, files)
        }
        ("DELETE", ["channels", channel, "messages", message]) => {
            may_use(&state, number(channel))?;
            let (channel, id) = (number(channel), number(message));
            state.messages.retain(|message| message.id != id || message.channel != channel);
            Ok(Value::Null)
        }
        ("POST", ["users", "@me", "channels"]) => {
            // A private channel is named after whom it is with.
            Ok(json!({ "id": body["recipient_id"], "type": 1 }))
        }
        _ => {
            state.wrong.push(format!("{method} {path}"));
            Err(Refused(404, 0, "404: Not Found".to_owned()))
        }
    }
}

fn number(text: &str) -> u64 {
    text.parse().unwrap_or(0)
}

fn refuse(state: &mut Platform, wrong: Vec<String>) -> Result<(), Refused> {
    if wrong.is_empty() {
        return Ok(());
    }
    let message = wrong.join("; ");
    state.wrong.extend(wrong);
    Err(Refused(400, INVALID_FORM, message))
}

fn check(state: &mut Platform, body: &Value, files: &[(String, Vec<u8>)]) -> Result<(), Refused> {
    refuse(state, checks::message(body, files))
}

fn first_answer(
    state: &mut Platform,
    id: u64,
    token: &str,
    body: &Value,
) -> Result<Value, Refused> {
    let wrong = checks::callback(body);
    refuse(state, wrong)?;
    let unknown = || Refused(404, 10062, "Unknown interaction".to_owned());
    let message = state.id();
    let found = state.interactions.get_mut(&id).filter(|found| found.token == token);
    let interaction = found.ok_or_else(unknown)?;
    if interaction.answered.is_some() {
        return Err(Refused(400, 40060, "Interaction has already been acknowledged.".to_owned()));
    }
    if interaction.sent.elapsed() > Duration::from_secs(3) {
        return Err(unknown());
    }
    interaction.answered = Some((body.clone(), Instant::now()));
    if body["type"] == 5 || body["type"] == 4 {
        interaction.original = Some(message);
        let (private, channel) = (is_private(&body["data"]), interaction.channel);
        let body = body["data"].clone();
        let interaction = Some(id);
        let files = Vec::new();
        state.messages.push(Message {
            id: message,
            channel,
            interaction,
            private,
            body,
            files,
            edits: 0,
            at: Instant::now(),
        });
    }
    Ok(Value::Null)
}

/// Whether a message is flagged to be seen by one person alone.
fn is_private(body: &Value) -> bool {
    body["flags"].as_u64().is_some_and(|flags| flags & (1 << 6) != 0)
}

/// The interaction whose token this is, if it still answers.
fn holder(state: &mut Platform, token: &str) -> Result<u64, Refused> {
    let found = state.interactions.iter().find(|(_, known)| known.token == token);
    match found {
        Some((_, known)) if known.expired => {
            Err(Refused(401, 50027, "Invalid Webhook Token".to_owned()))
        }
        Some((id, known)) if known.answered.is_some() => Ok(*id),
        _ => Err(Refused(404, 10015, "Unknown Webhook".to_owned())),
    }
}

fn edit_original(
    state: &mut Platform,
    token: &str,
    body: Value,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Value, Refused> {
    let id = holder(state, token)?;
    check(state, &body, &files)?;
    let original = state.interactions[&id].original;
    let found = state.messages.iter_mut().find(|message| Some(message.id) == original);
    let message = found.ok_or_else(|| Refused(404, 10008, "Unknown Message".to_owned()))?;
    message.body = body;
    message.files = files;
    message.edits += 1;
    message.at = Instant::now();
    Ok(json!({ "id": message.id.to_string() }))
}

fn delete_original(state: &mut Platform, token: &str) -> Result<Value, Refused> {
    let id = holder(state, token)?;
    let interaction = state.interactions.get_mut(&id).expect("it was found");
    let unknown = || Refused(404, 10008, "Unknown Message".to_owned());
    let original = interaction.original.take().ok_or_else(unknown)?;
    interaction.deleted = true;
    state.messages.retain(|message| message.id != original);
    Ok(Value::Null)
}

fn follow_up(
    state: &mut Platform,
    token: &str,
    body: Value,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Value, Refused> {
    let interaction = holder(state, token)?;
    check(state, &body, &files)?;
    let (id, channel) = (state.id(), state.interactions[&interaction].channel);
    let private = is_private(&body);
    let interaction = Some(interaction);
    state.messages.push(Message {
        id,
        channel,
        interaction,
        private,
        body,
        files,
        edits: 1,
        at: Instant::now(),
    });
    Ok(json!({ "id": id.to_string() }))
}

fn may_use(state: &Platform, channel: u64) -> Result<(), Refused> {
    if state.deleted.contains(&channel) {
        return Err(Refused(404, 10003, "Unknown Channel".to_owned()));
    }
    if state.forbidden.contains(&channel) {
        return Err(Refused(403, 50013, "Missing Permissions".to_owned()));
    }
    Ok(())
}

fn post(
    state: &mut Platform,
    channel: u64,
    body: Value,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Value, Refused> {
    may_use(state, channel)?;
    check(state, &body, &files)?;
    let same = |message: &&Message| {
        message.channel == channel
            && !body["nonce"].is_null()
            && message.body["nonce"] == body["nonce"]
    };
    if body["enforce_nonce"] == true
        && let Some(known) = state.messages.iter().find(same)
    {
        return Ok(json!({ "id": known.id.to_string() }));
    }
    let id = state.id();
    let message = Message {
        id,
        channel,
        interaction: None,
        private: false,
        body,
        files,
        edits: 1,
        at: Instant::now(),
    };
    state.messages.push(message);
    Ok(json!({ "id": id.to_string() }))
}

fn edit(
    state: &mut Platform,
    channel: u64,
    id: u64,
    body: Value,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Value, Refused> {
    may_use(state, channel)?;
    check(state, &body, &files)?;
    let there = |message: &&mut Message| message.id == id && message.channel == channel;
    let found = state.messages.iter_mut().find(there);
    let message = found.ok_or_else(|| Refused(404, 10008, "Unknown Message".to_owned()))?;
    message.body = body;
    message.files = files;
    message.edits += 1;
    message.at = Instant::now();
    Ok(json!({ "id": id.to_string() }))
}

fn list(state: &Platform, channel: u64, query: &str) -> Result<Value, Refused> {
    may_use(state, channel)?;
    let after = query.split('&').find_map(|part| part.strip_prefix("after=")).map_or(0, number);
    let there =
        |message: &&Message| message.channel == channel && message.id > after && !message.private;
    let list = state.messages.iter().filter(there).take(100).map(|message| {
        let components = message.body["components"].as_array().cloned().unwrap_or_default();
        json!({ "id": message.id.to_string(), "content": "", "components": components })
    });
    // The newest stands first.
    let mut list: Vec<Value> = list.collect();
    list.reverse();
    Ok(Value::Array(list))
}
