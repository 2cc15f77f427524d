//! A group in a chat: people who use commands and buttons, and the real program that answers.

use super::gateway::Signal;
use super::standin::{APPLICATION, Fault, Interaction, Kind, Message, StandIn, TOKEN};
use crate::helper::{DRUMHEAD, store};
use drumhead::protocol::Recorded;
use drumhead::record::Record;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long anything is waited for before the test fails.
const PATIENCE: Duration = Duration::from_secs(20);

/// A server and two of its channels; another server.
pub const SERVER: u64 = 800_000_000_000_000_001;
pub const FORD: u64 = 700_000_000_000_000_001;
pub const MILL: u64 = 700_000_000_000_000_002;
pub const OTHER_SERVER: u64 = 800_000_000_000_000_777;
pub const OTHER_CHANNEL: u64 = 700_000_000_000_000_777;

/// Somebody on the platform.
#[derive(Debug, Clone, Copy)]
pub struct Person {
    pub id: u64,
    pub admin: bool,
    pub role: Option<u64>,
}

/// Ida opens battles; Orm sits on the other side; Una manages the server.
pub const IDA: Person = Person { id: 600_000_000_000_000_001, admin: false, role: None };
pub const ORM: Person = Person { id: 600_000_000_000_000_002, admin: false, role: None };
pub const UNA: Person = Person { id: 600_000_000_000_000_003, admin: true, role: None };

/// A group, the stand-in and the bot.
pub struct Group {
    pub stand_in: StandIn,
    pub folder: tempfile::TempDir,
    bot: Option<Child>,
    /// Keys added to the configuration.
    pub keys: String,
}

/// What somebody got for what they did.
#[derive(Debug, Clone)]
pub struct Heard {
    /// What everyone sees.
    pub post: Option<Message>,
    /// What they alone see.
    pub private: Option<Message>,
}

impl Heard {
    /// The text everyone sees.
    pub fn posted(&self) -> String {
        let post = self.post.as_ref();
        post.unwrap_or_else(|| panic!("nothing was posted: {:?}", self.private)).text()
    }

    /// The text they alone see.
    pub fn told(&self) -> String {
        assert!(self.post.is_none(), "this was for all to see: {:?}", self.post);
        self.private.as_ref().expect("nothing was said in private").text().trim().to_owned()
    }
}

impl Group {
    /// A stand-in with the bot connected to it.
    pub async fn gathered() -> Self {
        let mut group = Self::without_bot().await;
        group.start().await;
        group
    }

    /// A stand-in alone.
    pub async fn without_bot() -> Self {
        let folder = tempfile::tempdir().expect("a folder for the test");
        Self { stand_in: StandIn::begin().await, folder, bot: None, keys: String::new() }
    }

    /// A battle at the ford with a unit of each side, opened by Ida.
    pub async fn at_the_ford() -> Self {
        let group = Self::gathered().await;
        group.muster_at(FORD).await;
        group
    }

    /// Opens a battle in a channel and musters a unit of each side.
    pub async fn muster_at(&self, channel: u64) {
        self.posts(channel, IDA, "open", json!({ "name": "Harrow Ford" })).await;
        let wardens = json!({ "unit": "Ford Wardens", "side": "Vale", "class": "line foot",
            "men": 400, "grade": "guard" });
        self.posts(channel, IDA, "muster", wardens).await;
        let spears = json!({ "unit": "Banner Spears", "side": "Grey Banner",
            "class": "line foot", "men": 400, "grade": "guard" });
        self.posts(channel, IDA, "muster", spears).await;
    }

    pub fn config(&self) -> PathBuf {
        self.folder.path().join("drumhead.toml")
    }

    pub fn record_file(&self) -> PathBuf {
        self.folder.path().join("record.db")
    }

    /// The bot's trace so far.
    pub fn trace(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("trace.txt")).unwrap_or_default()
    }

    /// Where the bot answers health and counts, as its trace says.
    pub async fn status_address(&self) -> String {
        let said = |trace: &str| {
            let line = trace.lines().rfind(|line| line.contains("health and counts"))?;
            let address = line.split("address=").nth(1)?;
            Some(address.trim().to_owned())
        };
        self.until("the status address is traced", || said(&self.trace())).await
    }

    /// A configuration that names that address, for the command that asks there.
    pub fn asking_at(&self, address: &str) -> PathBuf {
        let file = self.folder.path().join("asking.toml");
        let text = format!("record = \"unused.db\"\nstatus = \"{address}\"\n");
        std::fs::write(&file, text).expect("the configuration is written");
        file
    }

    /// Writes the configuration.
    pub fn configure(&self) {
        let text = format!(
            "record = \"{}\"\nlog = \"debug\"\n{}\n[platform]\nrest = \"http://{}\"\n",
            self.record_file().display(),
            self.keys,
            self.stand_in.address
        );
        std::fs::write(self.config(), text).expect("the configuration is written");
    }

    /// The program, ready to be started with its trace kept.
    pub fn program(&self) -> Command {
        self.configure();
        let file = |name: &str| {
            let file = self.folder.path().join(name);
            std::fs::File::options().create(true).append(true).open(file).expect("a file")
        };
        let mut command = Command::new(DRUMHEAD);
        command
            .args(["serve", "--config"])
            .arg(self.config())
            .env("DRUMHEAD_TOKEN", TOKEN)
            .stdin(Stdio::null())
            .stdout(file("said.txt"))
            .stderr(file("trace.txt"));
        command
    }

    /// Starts the bot and waits until it is connected.
    pub async fn start(&mut self) {
        self.start_as(&mut self.program()).await;
    }

    /// Starts a program as the bot and waits until it is connected.
    pub async fn start_as(&mut self, program: &mut Command) {
        let before = self.stand_in.world.gate.counted().0;
        self.bot = Some(program.spawn().expect("the bot starts"));
        let shards = u32::try_from(self.stand_in.world.state().shards).unwrap();
        self.until("the bot connects", || {
            (self.stand_in.world.gate.counted().0 >= before + shards).then_some(())
        })
        .await;
    }

    /// Ends the bot at once, as a power cut would.
    pub fn kill(&mut self) {
        let mut bot = self.bot.take().expect("the bot runs");
        bot.kill().expect("the bot is killed");
        bot.wait().expect("it ends");
    }

    /// Asks the bot to stop by a signal; how long it took, and whether it ended well.
    pub fn stop(&mut self, signal: &str) -> (Duration, bool) {
        let mut bot = self.bot.take().expect("the bot runs");
        let begun = Instant::now();
        let id = bot.id().to_string();
        let sent = Command::new("kill").args([signal, &id]).status().expect("kill runs");
        assert!(sent.success());
        let status = loop {
            if let Some(status) = bot.try_wait().expect("it can be waited for") {
                break status;
            }
            if begun.elapsed() > PATIENCE {
                bot.kill().expect("the bot is killed");
                bot.wait().expect("it ends");
                panic!("the bot did not stop:\n{}", self.trace());
            }
            std::thread::sleep(Duration::from_millis(10));
        };
        (begun.elapsed(), status.success())
    }

    /// The bot's number as a process.
    #[allow(dead_code, reason = "for measuring")]
    pub fn bot_id(&self) -> u32 {
        self.bot.as_ref().expect("the bot runs").id()
    }

    /// The resident memory of the bot, in KiB.
    #[allow(dead_code, reason = "for measuring")]
    pub fn memory(&self) -> u64 {
        let id = self.bot.as_ref().expect("the bot runs").id();
        let status = std::fs::read_to_string(format!("/proc/{id}/status")).expect("it runs");
        let line = status.lines().find(|line| line.starts_with("VmRSS")).expect("a size");
        line.split_whitespace().nth(1).and_then(|size| size.parse().ok()).expect("a number")
    }

    /// Lets something go wrong with the next calls.
    pub fn fault(&self, method: &'static str, path: &'static str, kind: Kind, times: u32) {
        let fault = Fault { method, path, kind, times };
        self.stand_in.world.state().faults.push(fault);
    }

    /// Uses a command that everyone sees answered; the text.
    pub async fn posts(&self, channel: u64, by: Person, name: &str, options: Value) -> String {
        self.uses(channel, by, name, options).await.posted()
    }

    /// Uses a command that is answered in private; the text.
    pub async fn told(&self, channel: u64, by: Person, name: &str, options: Value) -> String {
        self.uses(channel, by, name, options).await.told()
    }

    /// Uses a command.
    pub async fn uses(&self, channel: u64, by: Person, name: &str, options: Value) -> Heard {
        let id = self.sends(channel, by, name, &options);
        self.hears(id).await
    }

    /// Uses a command without waiting for an answer; the interaction's id.
    pub fn sends(&self, channel: u64, by: Person, name: &str, options: &Value) -> u64 {
        let data = command(name, options);
        self.as_registered(&data);
        let (id, interaction) = self.interaction(channel, by, 2, &data);
        self.dispatch(channel, &interaction);
        id
    }

    /// The platform sends only what was registered: the command, and its options by their kinds.
    fn as_registered(&self, data: &Value) {
        let commands = self.stand_in.world.state().commands.clone();
        if commands.is_null() {
            // Another program of the library's, which registers nothing.
            return;
        }
        let named = |list: &Value, name: &Value| {
            let list = list.as_array().into_iter().flatten();
            list.clone().find(|known| known["name"] == *name).cloned()
        };
        let mut known = named(&commands, &data["name"]).unwrap_or_else(|| panic!("no {data}"));
        let mut given = &data["options"];
        if given[0]["type"] == 1 {
            let inner = named(&known["options"], &given[0]["name"]);
            known = inner.unwrap_or_else(|| panic!("no {data}"));
            given = &given[0]["options"];
        }
        for option in given.as_array().into_iter().flatten() {
            let known = named(&known["options"], &option["name"]);
            let kind = known.map(|known| known["type"].clone());
            assert_eq!(kind, Some(option["type"].clone()), "{option} is not as registered");
        }
        for option in known["options"].as_array().into_iter().flatten() {
            let is_given = named(given, &option["name"]).is_some();
            assert!(is_given || option["required"] != true, "{option} is not given");
        }
    }

    /// Presses a button under a post.
    pub async fn presses(&self, channel: u64, by: Person, post: &Message, label: &str) -> Heard {
        let id = self.sends_press(channel, by, post, label);
        self.hears(id).await
    }

    /// Presses a button without waiting.
    pub fn sends_press(&self, channel: u64, by: Person, post: &Message, label: &str) -> u64 {
        let data = json!({ "component_type": 2, "custom_id": post.button(label) });
        let (id, mut interaction) = self.interaction(channel, by, 3, &data);
        interaction["message"] = message(post);
        self.dispatch(channel, &interaction);
        id
    }

    /// Fills in the form that a button showed.
    pub async fn fills_in(&self, channel: u64, by: Person, form: &Value, typed: &str) -> Heard {
        let input = &form["data"]["components"][0]["components"][0];
        let field = json!({ "type": 4, "custom_id": input["custom_id"], "value": typed });
        let data = json!({
            "custom_id": form["data"]["custom_id"],
            "components": [{ "type": 1, "components": [field] }],
        });
        let (id, interaction) = self.interaction(channel, by, 5, &data);
        self.dispatch(channel, &interaction);
        self.hears(id).await
    }

    /// What is offered while somebody types in an option.
    pub async fn completes(
        &self,
        channel: u64,
        name: &str,
        option: &str,
        typed: &str,
    ) -> Vec<String> {
        let focused = json!({ "type": 3, "name": option, "value": typed, "focused": true });
        let data = within(name, vec![focused]);
        let (id, interaction) = self.interaction(channel, IDA, 4, &data);
        self.dispatch(channel, &interaction);
        let answer = self.first_answer(id).await;
        let choices = answer["data"]["choices"].as_array().cloned().unwrap_or_default();
        choices.iter().map(|choice| choice["name"].as_str().unwrap().to_owned()).collect()
    }

    /// How an interaction was answered first.
    pub async fn first_answer(&self, id: u64) -> Value {
        self.until("an interaction is answered", || {
            let state = self.stand_in.world.state();
            state.interactions[&id].answered.as_ref().map(|(body, _)| body.clone())
        })
        .await
    }

    /// Waits for the answer to an interaction.
    pub async fn hears(&self, id: u64) -> Heard {
        self.until("an answer comes", || {
            let state = self.stand_in.world.state();
            let mine = |message: &&Message| message.interaction == Some(id) && message.edits > 0;
            let mine: Vec<&Message> = state.messages.iter().filter(mine).collect();
            let of = |private: bool| {
                mine.iter().find(|message| message.private == private).map(|m| (*m).clone())
            };
            (!mine.is_empty()).then(|| Heard { post: of(false), private: of(true) })
        })
        .await
    }

    /// Makes an interaction as the platform does, and remembers it.
    pub fn interaction(&self, channel: u64, by: Person, kind: u8, data: &Value) -> (u64, Value) {
        let mut state = self.stand_in.world.state();
        let id = state.id();
        let token = format!("interaction-token-{id}");
        let known = Interaction {
            token: token.clone(),
            channel,
            sent: Instant::now(),
            answered: None,
            original: None,
            deleted: false,
            expired: false,
        };
        state.interactions.insert(id, known);
        let server = server_of(channel).to_string();
        let roles: Vec<String> = by.role.iter().map(u64::to_string).collect();
        // 2048 sends messages, 32 manages the server.
        let permissions = if by.admin { 2048 | 32 } else { 2048 };
        let mut data = data.clone();
        if kind == 2 || kind == 4 {
            data["resolved"] = resolved(&data, by);
        }
        let interaction = json!({
            "id": id.to_string(),
            "application_id": APPLICATION.to_string(),
            "type": kind,
            "data": data,
            "guild_id": server,
            "channel": { "id": channel.to_string(), "type": 0, "name": "the-ford", "permissions": "2048" },
            "channel_id": channel.to_string(),
            "member": {
                "user": user(by.id), "roles": roles, "joined_at": "2024-01-01T00:00:00+00:00",
                "deaf": false, "mute": false, "flags": 0, "permissions": permissions.to_string(),
                "nick": null, "avatar": null, "pending": false, "premium_since": null,
            },
            "token": token,
            "version": 1,
            "app_permissions": "2048",
            "locale": "en-GB",
            "guild_locale": "en-GB",
            "entitlements": [],
            "authorizing_integration_owners": { "0": server },
            "context": 0,
            "attachment_size_limit": 10_485_760,
        });
        (id, interaction)
    }

    /// Sends an interaction to the bot.
    pub fn dispatch(&self, channel: u64, interaction: &Value) {
        let gate = &self.stand_in.world.gate;
        assert!(
            gate.dispatch(server_of(channel), "INTERACTION_CREATE", interaction),
            "the bot is not connected"
        );
    }

    /// Tells the gateway's connections something.
    pub fn signal(&self, signal: Signal) {
        self.stand_in.world.gate.signal(signal);
    }

    /// Every message in a channel that everyone sees and that holds an answer.
    pub fn channel(&self, channel: u64) -> Vec<Message> {
        let state = self.stand_in.world.state();
        let there = |message: &&Message| {
            message.channel == channel && !message.private && message.edits > 0
        };
        state.messages.iter().filter(there).cloned().collect()
    }

    /// The record, as another program reads it.
    pub async fn record(&self) -> Record {
        store::open(&self.record_file()).await
    }

    /// The events of the battles in a channel.
    pub async fn events(&self, channel: u64) -> Vec<Recorded> {
        let record = self.record().await;
        let place = place(channel);
        let mut events = Vec::new();
        for head in record.battles(Some(&place)).await.expect("battles are listed") {
            events.extend(record.events_after(&head.battle, 0, 100_000).await.expect("events"));
        }
        record.close().await;
        events
    }

    /// The posts still owed to a channel.
    pub async fn owed(&self, channel: u64) -> usize {
        let record = self.record().await;
        let owed = record.owed(&place(channel)).await.expect("owed posts are listed");
        record.close().await;
        owed.iter().map(|owed| owed.events.len()).sum()
    }

    /// Waits until no post is owed to a channel any more.
    pub async fn until_nothing_is_owed(&self, channel: u64) {
        self.until_so("no post is owed", async || self.owed(channel).await == 0).await;
    }

    /// Waits until so many are noted to wait for an answer.
    pub async fn until_waiting(&self, many: usize) {
        self.until_so("they wait", async || {
            let record = self.record().await;
            let waiting = record
                .waiting_on(place(0).platform().expect("a platform"))
                .await
                .expect("they are read");
            record.close().await;
            waiting.len() == many
        })
        .await;
    }

    /// Waits until a channel's battles hold more than so many events.
    pub async fn until_more_events(&self, channel: u64, than: usize) {
        self.until_so("an event is written", async || self.events(channel).await.len() > than)
            .await;
    }

    /// Waits until something is so that has to be asked for.
    pub async fn until_so(&self, what: &str, is_so: impl AsyncFn() -> bool) {
        let end = Instant::now() + PATIENCE * 3;
        while !is_so().await {
            assert!(Instant::now() < end, "waited in vain until {what}:\n{}", self.trace());
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// Waits until something is there.
    pub async fn until<T>(&self, what: &str, ready: impl Fn() -> Option<T>) -> T {
        let end = Instant::now() + PATIENCE;
        loop {
            let rung = self.stand_in.world.bell.notified();
            if let Some(found) = ready() {
                return found;
            }
            assert!(
                Instant::now() < end,
                "waited in vain until {what}; refused: {:?}; trace:\n{}",
                self.stand_in.world.state().wrong,
                self.trace()
            );
            // A bell rung in between is made good by looking again soon.
            let _ = tokio::time::timeout(Duration::from_millis(50), rung).await;
        }
    }
}

/// Whatever a test was about, the bot sent nothing that the platform would refuse.
impl Drop for Group {
    fn drop(&mut self) {
        if let Some(mut bot) = self.bot.take() {
            // A bot that has ended by itself needs no ending.
            let _ = bot.kill();
            let _ = bot.wait();
        }
        if std::thread::panicking() {
            return;
        }
        let wrong = std::mem::take(&mut self.stand_in.world.state().wrong);
        assert_eq!(wrong, Vec::<String>::new(), "the platform would have refused something");
        let trace = self.trace();
        assert!(!trace.contains(TOKEN), "the token is in the trace");
        assert!(!trace.contains("interaction-token"), "an interaction's token is in the trace");
    }
}

/// The place of a channel in the record.
pub fn place(channel: u64) -> drumhead::protocol::Place {
    drumhead::protocol::Place::channel("discord", server_of(channel), channel)
}

/// The server of a channel.
fn server_of(channel: u64) -> u64 {
    if channel == OTHER_CHANNEL { OTHER_SERVER } else { SERVER }
}

/// A request's command as the platform sends it: inside the command of its group.
///
/// The options are an object; a person is `{"user": id}` and a role `{"role": id}`.
pub fn command(request: &str, options: &Value) -> Value {
    let given: Vec<Value> = options
        .as_object()
        .expect("options are an object")
        .iter()
        .map(|(name, value)| {
            let (kind, value) = match value {
                Value::String(_) => (3, value.clone()),
                Value::Number(_) => (4, value.clone()),
                Value::Bool(_) => (5, value.clone()),
                other if other["user"].is_u64() => (6, json!(other["user"].to_string())),
                other => (8, json!(other["role"].to_string())),
            };
            json!({ "name": name, "type": kind, "value": value })
        })
        .collect();
    within(request, given)
}

/// A request's command with these options as the platform sends them; a name that is no request's
/// stands for a command of its own.
fn within(request: &str, given: Vec<Value>) -> Value {
    let spec = drumhead::requests::find(request);
    let (name, options) = match spec.map(|spec| (spec.group.command(), spec.in_chat)) {
        Some((Some(group), name)) => {
            (group, json!([{ "type": 1, "name": name, "options": given }]))
        }
        _ => (request, Value::Array(given)),
    };
    json!({ "id": "500000000000000001", "name": name, "type": 1, "options": options })
}

/// The people and roles that a command's options name.
fn resolved(data: &Value, by: Person) -> Value {
    let mut found = json!({ "users": {}, "members": {}, "roles": {} });
    let mut options = data["options"].as_array().cloned().unwrap_or_default();
    options.extend(data["options"][0]["options"].as_array().cloned().unwrap_or_default());
    for option in options {
        let Some(id) = option["value"].as_str() else { continue };
        match option["type"].as_u64() {
            Some(6) => found["users"][id] = user(id.parse().unwrap_or(by.id)),
            Some(8) => {
                found["roles"][id] = json!({
                    "id": id, "name": "Wardens", "color": 0, "hoist": false, "managed": false,
                    "mentionable": false, "permissions": "0", "position": 1, "flags": 0,
                    "guild_id": SERVER.to_string(),
                    "colors": { "primary_color": 0, "secondary_color": null, "tertiary_color": null },
                });
            }
            _ => {}
        }
    }
    found
}

fn user(id: u64) -> Value {
    json!({
        "id": id.to_string(), "username": format!("someone{id}"), "discriminator": "0",
        "global_name": null, "avatar": null, "public_flags": 0,
    })
}

/// A message as the platform sends it with a button that was pressed.
fn message(post: &Message) -> Value {
    json!({
        "id": post.id.to_string(),
        "channel_id": post.channel.to_string(),
        "author": user(APPLICATION),
        "content": "",
        "timestamp": "2026-01-01T00:00:00+00:00",
        "edited_timestamp": null,
        "tts": false,
        "mention_everyone": false,
        "mentions": [],
        "mention_roles": [],
        "attachments": [],
        "embeds": [],
        "components": post.body["components"],
        "pinned": false,
        "type": 20,
        "flags": post.body["flags"],
    })
}

/// Runs the program to its end; whether it ended well, and what it said.
pub fn runs(arguments: &[&str], files: &[&Path]) -> (bool, String) {
    let output = Command::new(DRUMHEAD)
        .args(arguments)
        .args(files)
        .env("DRUMHEAD_TOKEN", TOKEN)
        .output()
        .expect("the program runs");
    let said = [output.stdout, output.stderr].concat();
    (output.status.success(), String::from_utf8_lossy(&said).into_owned())
}
