//! The stand-in's gateway: identify, heartbeat, dispatch, resume, and what can go wrong.
//!
//! After <https://discord.com/developers/docs/events/gateway>.

use super::standin::{APPLICATION, TOKEN, World};
use axum::extract::State;
use axum::extract::ws::{CloseFrame, Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use tokio::sync::broadcast;

/// What the gateway is told to do to its connections.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signal {
    /// Something new is to be dispatched.
    Dispatch,
    /// Drop the connection without a word.
    Drop,
    /// Ask the bot to connect anew and resume.
    Reconnect,
    /// Declare the session void.
    Invalid,
}

/// The gateway's state.
pub struct Gate {
    signals: broadcast::Sender<Signal>,
    sessions: Mutex<Vec<Session>>,
    /// Whether nobody is let in.
    pub shut: AtomicBool,
    /// How often a session began and how often one was resumed.
    pub counts: Mutex<(u32, u32)>,
}

/// One session of one shard.
struct Session {
    id: String,
    shard: u64,
    shards: u64,
    /// What was dispatched in it; the sequence number is the place plus one.
    log: Vec<Value>,
    void: bool,
}

impl Default for Gate {
    fn default() -> Self {
        Self {
            signals: broadcast::channel(256).0,
            sessions: Mutex::default(),
            shut: AtomicBool::new(false),
            counts: Mutex::default(),
        }
    }
}

impl Gate {
    /// Tells every connection.
    pub fn signal(&self, signal: Signal) {
        // Nobody listens while nobody is connected.
        let _ = self.signals.send(signal);
    }

    /// Dispatches an event of a server to the session of its shard; false if there is none.
    pub fn dispatch(&self, server: u64, kind: &str, data: &Value) -> bool {
        let mut sessions = self.sessions.lock().unwrap();
        let mine = |session: &&mut Session| {
            !session.void && (server >> 22) % session.shards == session.shard
        };
        let Some(session) = sessions.iter_mut().rev().find(mine) else { return false };
        let seq = session.log.len() + 1;
        session.log.push(json!({ "op": 0, "t": kind, "s": seq, "d": data }));
        drop(sessions);
        self.signal(Signal::Dispatch);
        true
    }

    /// Sessions begun, and sessions resumed.
    pub fn counted(&self) -> (u32, u32) {
        *self.counts.lock().unwrap()
    }

    fn begin(&self, shard: u64, shards: u64) -> String {
        self.counts.lock().unwrap().0 += 1;
        let mut sessions = self.sessions.lock().unwrap();
        let id = format!("session-{}", sessions.len() + 1);
        let ready = json!({
            "v": 10,
            "user": {
                "id": APPLICATION.to_string(), "username": "drumhead", "discriminator": "0000",
                "global_name": null, "avatar": null, "bot": true, "mfa_enabled": false,
                "verified": true, "email": null, "flags": 0,
            },
            "guilds": [],
            "session_id": id,
            "resume_gateway_url": "ws://127.0.0.1:9/unused",
            "shard": [shard, shards],
            "application": { "id": APPLICATION.to_string(), "flags": 0 },
        });
        let log = vec![json!({ "op": 0, "t": "READY", "s": 1, "d": ready })];
        // A shard that begins anew has left its session before.
        for old in sessions.iter_mut().filter(|old| old.shard == shard) {
            old.void = true;
        }
        sessions.push(Session { id: id.clone(), shard, shards, log, void: false });
        id
    }

    /// What a session has that comes after `seq`; none if it is unknown or void.
    fn after(&self, id: &str, seq: usize) -> Option<Vec<Value>> {
        let sessions = self.sessions.lock().unwrap();
        let session = sessions.iter().find(|session| session.id == id && !session.void)?;
        Some(session.log.iter().skip(seq).cloned().collect())
    }

    fn make_void(&self, id: &str) {
        for session in self.sessions.lock().unwrap().iter_mut() {
            session.void |= session.id == id;
        }
    }

    fn resumed(&self, id: &str) {
        self.counts.lock().unwrap().1 += 1;
        let mut sessions = self.sessions.lock().unwrap();
        if let Some(session) = sessions.iter_mut().find(|session| session.id == id) {
            let seq = session.log.len() + 1;
            session.log.push(json!({ "op": 0, "t": "RESUMED", "s": seq, "d": {} }));
        }
    }
}

/// A connection to the gateway.
pub async fn connected(State(world): State<Arc<World>>, upgrade: WebSocketUpgrade) -> Response {
    upgrade.on_upgrade(move |socket| async move {
        // A connection that breaks is what some tests are about.
        let _ = converse(&world, socket).await;
    })
}

async fn converse(world: &World, mut socket: WebSocket) -> Result<(), axum::Error> {
    if world.gate.shut.load(Ordering::Relaxed) {
        return Ok(());
    }
    let mut signals = world.gate.signals.subscribe();
    say(&mut socket, &json!({ "op": 10, "d": { "heartbeat_interval": 5000 } })).await?;
    let mut session: Option<(String, usize)> = None;
    loop {
        if let Some((id, seen)) = &mut session
            && let Some(events) = world.gate.after(id, *seen)
        {
            for event in events {
                *seen += 1;
                say(&mut socket, &event).await?;
            }
            world.bell.notify_waiters();
        }
        tokio::select! {
            heard = socket.recv() => {
                let Some(heard) = heard else { return Ok(()) };
                let Message::Text(text) = heard? else { continue };
                let heard: Value = serde_json::from_str(text.as_str()).expect("the bot says JSON");
                match heard["op"].as_u64() {
                    Some(1) => say(&mut socket, &json!({ "op": 11 })).await?,
                    Some(2) => match identified(world, &heard["d"]) {
                        Ok(id) => session = Some((id, 0)),
                        Err(code) => return close(&mut socket, code).await,
                    },
                    Some(6) => match resumed(world, &heard["d"]) {
                        Some(found) => session = Some(found),
                        None => say(&mut socket, &json!({ "op": 9, "d": false })).await?,
                    },
                    _ => {}
                }
            }
            signal = signals.recv() => match signal {
                Ok(Signal::Drop) => return Ok(()),
                Ok(Signal::Reconnect) => say(&mut socket, &json!({ "op": 7, "d": null })).await?,
                Ok(Signal::Invalid) => {
                    if let Some((id, _)) = session.take() {
                        world.gate.make_void(&id);
                    }
                    say(&mut socket, &json!({ "op": 9, "d": false })).await?;
                }
                Ok(Signal::Dispatch) | Err(_) => {}
            }
        }
    }
}

/// A new session; the close code if the bot may not have one.
fn identified(world: &World, data: &Value) -> Result<String, u16> {
    let token = data["token"].as_str().unwrap_or_default();
    if token.trim_start_matches("Bot ") != TOKEN {
        return Err(4004);
    }
    let intents = data["intents"].as_u64().unwrap_or(u64::MAX);
    // Members, presences and message content are the privileged ones.
    if intents & ((1 << 1) | (1 << 8) | (1 << 15)) != 0 {
        world.state().wrong.push(format!("intents {intents}"));
        return Err(4014);
    }
    let shard = &data["shard"];
    Ok(world.gate.begin(shard[0].as_u64().unwrap_or(0), shard[1].as_u64().unwrap_or(1)))
}

fn resumed(world: &World, data: &Value) -> Option<(String, usize)> {
    let id = data["session_id"].as_str()?;
    let seq = usize::try_from(data["seq"].as_u64()?).ok()?;
    world.gate.after(id, seq)?;
    world.gate.resumed(id);
    Some((id.to_owned(), seq))
}

async fn say(socket: &mut WebSocket, what: &Value) -> Result<(), axum::Error> {
    socket.send(Message::Text(what.to_string().into())).await
}

async fn close(socket: &mut WebSocket, code: u16) -> Result<(), axum::Error> {
    socket.send(Message::Close(Some(CloseFrame { code, reason: "".into() }))).await
}
