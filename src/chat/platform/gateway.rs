//! The gateway: the library's client, and what it brings as types of our own.

use super::rest::Rest;
use super::route::ReplyRoute;
use super::token::Token;
use serenity::all::{
    ActionRowComponent, CommandData, CommandDataOption, CommandDataOptionValue, ConnectionStage,
    Context, EventHandler, GatewayIntents, Interaction, Member, Permissions, Ready, ShardId,
    ShardManager, ShardStageUpdateEvent,
};
use std::collections::HashSet;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Something that somebody did in the chat.
#[derive(Debug, Clone)]
pub struct Arrived {
    /// How it is answered.
    pub via: ReplyRoute,
    /// The server; none in a private message.
    pub server: Option<u64>,
    /// Who did it.
    pub user: u64,
    /// Their roles on the server.
    pub roles: Vec<u64>,
    /// Whether they may manage the server.
    pub manages: bool,
    /// What they did.
    pub did: Did,
}

/// What somebody did.
#[derive(Debug, Clone, PartialEq)]
pub enum Did {
    /// Used a command.
    Asked(Invoked),
    /// Typed in an option of a command, and waits for what is offered.
    Typed(Invoked),
    /// Pressed the button with that id.
    Pressed(String),
    /// Sent the form with that id: its fields by id.
    Sent(String, Vec<(String, String)>),
}

/// A command as it was used.
#[derive(Debug, Clone, PartialEq)]
pub struct Invoked {
    /// Its name, and those of the commands inside it down to the one meant.
    pub path: Vec<String>,
    /// The options that were given.
    pub options: Vec<Given>,
}

/// An option that was given.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// The option's name.
    pub name: String,
    /// Its value.
    pub value: Value,
    /// Whether it is being typed in right now.
    pub focused: bool,
}

/// The value of an option.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Text, or whatever is being typed.
    Text(String),
    /// A whole number.
    Integer(i64),
    /// Yes or no.
    Flag(bool),
    /// Somebody's id.
    User(u64),
    /// A role's id.
    Role(u64),
    /// Something that no command here asks for.
    Other,
}

/// A connection that is about to be made, or stands.
pub struct Gateway {
    client: serenity::Client,
    shards: Arc<ShardManager>,
}

/// Watches whether the connections stand.
#[derive(Debug, Default)]
pub struct Watch {
    /// Who runs the connections; they tell when they stand, and are gone when they do not.
    manager: OnceLock<Arc<ShardManager>>,
    /// Every shard that has ever stood.
    shards: Mutex<HashSet<ShardId>>,
}

impl Watch {
    /// Whether every shard that ever stood stands now.
    pub async fn is_connected(&self) -> bool {
        let Some(manager) = self.manager.get() else { return false };
        let runners = manager.runners.lock().await;
        let stands = |shard: &ShardId| {
            runners.get(shard).is_some_and(|runner| runner.stage == ConnectionStage::Connected)
        };
        let shards = self.shards.lock().unwrap_or_else(PoisonError::into_inner);
        !shards.is_empty() && shards.iter().all(stands)
    }
}

impl Gateway {
    /// A client that hands in whatever people do; each thing on a task of its own.
    ///
    /// `proxy` is the address in front of the interface, if it is not the platform's own. Fails
    /// with a reason when the platform cannot be asked, or names another address than the library
    /// will use.
    pub async fn prepare<F, Doing>(
        rest: &Rest,
        proxy: Option<&str>,
        token: &Token,
        watch: Arc<Watch>,
        hand_in: F,
    ) -> Result<Self, String>
    where
        F: Fn(Arrived) -> Doing + Send + Sync + 'static,
        Doing: Future<Output = ()> + Send + 'static,
    {
        let address = rest.gateway().await.map_err(|failed| failed.to_string())?;
        // The library asks only for addresses, which needs no limiter.
        let mut http = serenity::all::HttpBuilder::new(token.reveal())
            .client(rest.client().clone())
            .ratelimiter_disabled(true);
        if let Some(proxy) = proxy {
            http = http.proxy(proxy);
        }
        // Interactions come without any intent.
        let intents = GatewayIntents::empty();
        let client = serenity::all::ClientBuilder::new_with_http(http.build(), intents)
            .event_handler(Handler { watch: Arc::clone(&watch), hand_in })
            .await
            .map_err(|error| error.to_string())?;
        // When the library cannot ask, it silently takes the public gateway: not through a proxy.
        if address != *client.ws_url.lock().await {
            return Err("the address changed".to_owned());
        }
        let shards = Arc::clone(&client.shard_manager);
        // There is one gateway from the start to the end.
        let _ = watch.manager.set(Arc::clone(&shards));
        Ok(Self { client, shards })
    }

    /// What ends the connections from elsewhere.
    pub fn shards(&self) -> Arc<ShardManager> {
        Arc::clone(&self.shards)
    }

    /// Connects and stays connected; returns only when that is over, with the reason.
    pub async fn run(&mut self) -> String {
        match self.client.start_autosharded().await {
            Ok(()) => "it was closed".to_owned(),
            Err(error) => error.to_string(),
        }
    }
}

/// What the library calls.
struct Handler<F> {
    watch: Arc<Watch>,
    hand_in: F,
}

#[serenity::async_trait]
impl<F, Doing> EventHandler for Handler<F>
where
    F: Fn(Arrived) -> Doing + Send + Sync,
    Doing: Future<Output = ()> + Send,
{
    async fn ready(&self, _: Context, ready: Ready) {
        let shard = ready.shard.map_or(0, |shard| shard.id.0);
        tracing::info!(shard, "ready");
    }

    async fn shard_stage_update(&self, _: Context, event: ShardStageUpdateEvent) {
        if event.new == ConnectionStage::Connected {
            let mut shards = self.watch.shards.lock().unwrap_or_else(PoisonError::into_inner);
            shards.insert(event.shard_id);
        }
        tracing::info!(shard = event.shard_id.0, stage = %event.new, "the connection changed");
    }

    async fn interaction_create(&self, _: Context, interaction: Interaction) {
        if let Some(arrived) = arrived(interaction) {
            (self.hand_in)(arrived).await;
        }
    }
}

/// An interaction as a type of our own; none if it is of a kind that is never asked for.
fn arrived(interaction: Interaction) -> Option<Arrived> {
    macro_rules! arrived {
        ($asked:expr, $member:expr, $did:expr) => {
            Arrived {
                via: ReplyRoute {
                    id: $asked.id.get(),
                    application: $asked.application_id.get(),
                    channel: $asked.channel_id.get(),
                    token: $asked.token.clone(),
                },
                server: $asked.guild_id.map(|server| server.get()),
                user: $asked.user.id.get(),
                roles: $member.map(roles).unwrap_or_default(),
                manages: $member.is_some_and(manages),
                did: $did,
            }
        };
    }
    Some(match interaction {
        Interaction::Command(asked) => {
            arrived!(asked, asked.member.as_deref(), Did::Asked(invoked(&asked.data)))
        }
        Interaction::Autocomplete(asked) => {
            arrived!(asked, asked.member.as_deref(), Did::Typed(invoked(&asked.data)))
        }
        Interaction::Component(asked) => {
            let id = asked.data.custom_id.clone();
            arrived!(asked, asked.member.as_ref(), Did::Pressed(id))
        }
        Interaction::Modal(sent) => {
            let rows = sent.data.components.iter().flat_map(|row| &row.components);
            let text = |component: &ActionRowComponent| match component {
                ActionRowComponent::InputText(text) => {
                    Some((text.custom_id.clone(), text.value.clone().unwrap_or_default()))
                }
                _ => None,
            };
            let did = Did::Sent(sent.data.custom_id.clone(), rows.filter_map(text).collect());
            arrived!(sent, sent.member.as_ref(), did)
        }
        _ => return None,
    })
}

fn roles(member: &Member) -> Vec<u64> {
    member.roles.iter().map(|role| role.get()).collect()
}

fn manages(member: &Member) -> bool {
    let needed = Permissions::MANAGE_GUILD | Permissions::ADMINISTRATOR;
    member.permissions.unwrap_or_default().intersects(needed)
}

/// A command, down to the one that is meant.
fn invoked(data: &CommandData) -> Invoked {
    let mut path = vec![data.name.clone()];
    let mut options: &[CommandDataOption] = &data.options;
    while let [CommandDataOption { name, value, .. }] = options
        && let CommandDataOptionValue::SubCommand(inner)
        | CommandDataOptionValue::SubCommandGroup(inner) = value
    {
        path.push(name.clone());
        options = inner;
    }
    Invoked { path, options: options.iter().map(given).collect() }
}

fn given(option: &CommandDataOption) -> Given {
    let focused = matches!(option.value, CommandDataOptionValue::Autocomplete { .. });
    let value = match &option.value {
        CommandDataOptionValue::Autocomplete { value, .. }
        | CommandDataOptionValue::String(value) => Value::Text(value.clone()),
        CommandDataOptionValue::Integer(value) => Value::Integer(*value),
        CommandDataOptionValue::Boolean(value) => Value::Flag(*value),
        CommandDataOptionValue::User(id) => Value::User(id.get()),
        CommandDataOptionValue::Role(id) => Value::Role(id.get()),
        _ => Value::Other,
    };
    Given { name: option.name.clone(), value, focused }
}
