//! Connects, serves until it is told to stop, and stops in good order.

use super::caller::Caller;
use super::desk::Desk;
use super::rest::{Failed, Rest};
use super::status::{self, Counts};
use super::{Config, StartError, Token, buttons, commands, messages};
use crate::files::FileError;
use crate::record::Record;
use crate::referee::{Referee, RulesLibrary};
use poise::serenity_prelude as serenity;
use serenity::{FullEvent, Interaction};
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;
use tokio::signal::unix::{SignalKind, signal};

/// How long what is in hand may take to be finished once the program is told to stop.
const FINISH: Duration = Duration::from_millis(2500);

type FrameworkContext<'a> = poise::FrameworkContext<'a, Arc<Desk>, Infallible>;

/// Serves until SIGTERM or SIGINT.
pub async fn serve(config: &Config) -> Result<(), StartError> {
    config.begin_trace();
    let token = config.token()?;
    let mut library = RulesLibrary::shipped();
    for file in &config.rules_files {
        let text = std::fs::read_to_string(file).map_err(|error| FileError::new(file, error))?;
        library.add(&file.display().to_string(), &text)?;
    }
    let counts = Arc::new(Counts::default());
    let rest = Rest::new(config.platform.rest.as_deref(), token.clone(), Arc::clone(&counts));
    let rules = library.names();
    // The record opens while the platform answers.
    let (record, ()) = tokio::try_join!(
        async { Ok(Record::open(&config.record).await?) },
        introduce(&rest, config.test_server)
    )?;
    let referee = Referee::new(record, library);
    let desk = Arc::new(Desk::new(referee, rest, Arc::clone(&counts), rules));
    if let Some(address) = config.status {
        status::listen(address, counts).await?;
    }
    let served = run(config, &token, &desk).await;
    finish(&desk).await;
    served
}

/// Tells the platform who comes, and what can be asked.
async fn introduce(rest: &Rest, server: Option<u64>) -> Result<(), StartError> {
    let application = application(rest).await?;
    println!("To add the bot to a server: {}", invitation(&application));
    register(rest, &application, server).await
}

/// Connects, and runs until a signal or until the gateway ends.
async fn run(config: &Config, token: &Token, desk: &Arc<Desk>) -> Result<(), StartError> {
    let mut stop = Stop::listen()?;
    let mut client = tokio::select! {
        client = connect(config, token, desk) => client?,
        () = stop.asked() => return Ok(()),
    };
    let shards = Arc::clone(&client.shard_manager);
    desk.counts.watch(Arc::clone(&shards));
    let posting = tokio::spawn(Arc::clone(desk).keep_posting());
    let ended = tokio::select! {
        ended = client.start_autosharded() => match ended {
            Ok(()) => Err(StartError::Gateway("it was closed".to_owned())),
            Err(error) => Err(StartError::Gateway(error.to_string())),
        },
        () = stop.asked() => Ok(()),
    };
    tracing::info!("stopping");
    posting.abort();
    // The gateway may hang; what is in hand matters more than its goodbye.
    let _ = tokio::time::timeout(Duration::from_secs(1), shards.shutdown_all()).await;
    ended
}

/// Waits for what is in hand, then closes the record. What is not finished is owed.
async fn finish(desk: &Desk) {
    if tokio::time::timeout(FINISH, desk.in_flight.in_hand.write()).await.is_err() {
        tracing::warn!("some posts are not finished and will be posted at the next start");
    }
    let _ = tokio::time::timeout(Duration::from_secs(1), desk.referee.record().close()).await;
}

/// The signals that ask the program to stop.
struct Stop {
    terminate: tokio::signal::unix::Signal,
    interrupt: tokio::signal::unix::Signal,
}

impl Stop {
    fn listen() -> Result<Self, StartError> {
        let listen = |kind| signal(kind).map_err(|error| StartError::Gateway(error.to_string()));
        Ok(Self {
            terminate: listen(SignalKind::terminate())?,
            interrupt: listen(SignalKind::interrupt())?,
        })
    }

    async fn asked(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }
}

/// The bot's application, which also tells whether the token is right.
async fn application(rest: &Rest) -> Result<String, StartError> {
    let what = "its application";
    match rest.get("/applications/@me").await {
        Ok(application) => application["id"]
            .as_str()
            .map(str::to_owned)
            .ok_or(StartError::Platform { what, why: "the answer has no id".to_owned() }),
        Err(Failed::Refused { status: 401, .. }) => Err(StartError::WrongToken),
        Err(failed) => Err(StartError::Platform { what, why: failed.to_string() }),
    }
}

/// Registers the commands: everywhere, or at once for one server.
async fn register(rest: &Rest, application: &str, server: Option<u64>) -> Result<(), StartError> {
    let commands = poise::builtins::create_application_commands(&commands::all());
    let body = serde_json::to_value(commands).expect("commands have only text keys");
    let path = match server {
        Some(server) => format!("/applications/{application}/guilds/{server}/commands"),
        None => format!("/applications/{application}/commands"),
    };
    let put = rest.put(&path, &body).await;
    put.map(drop)
        .map_err(|failed| StartError::Platform { what: "its commands", why: failed.to_string() })
}

/// The link that adds the bot with the least permissions it needs.
///
/// They serve owed posts whose interaction has expired; an answer to an interaction needs none.
fn invitation(application: &str) -> String {
    let permissions = serenity::Permissions::VIEW_CHANNEL
        | serenity::Permissions::SEND_MESSAGES
        | serenity::Permissions::SEND_MESSAGES_IN_THREADS
        | serenity::Permissions::EMBED_LINKS
        | serenity::Permissions::ATTACH_FILES
        | serenity::Permissions::READ_MESSAGE_HISTORY;
    format!(
        "https://discord.com/oauth2/authorize?client_id={application}&scope=bot%20applications.commands&permissions={}",
        permissions.bits()
    )
}

/// The gateway's client.
async fn connect(
    config: &Config,
    token: &Token,
    desk: &Arc<Desk>,
) -> Result<serenity::Client, StartError> {
    let what = "its gateway";
    let gateway = desk.rest.get("/gateway").await;
    let gateway =
        gateway.map_err(|failed| StartError::Platform { what, why: failed.to_string() })?;
    // The library asks only for addresses and answers completions: both need no limiter.
    let mut http = serenity::HttpBuilder::new(token.reveal())
        .client(desk.rest.client().clone())
        .ratelimiter_disabled(true);
    if let Some(rest) = &config.platform.rest {
        http = http.proxy(rest);
    }
    // Interactions come without any intent.
    let intents = serenity::GatewayIntents::empty();
    let client = serenity::ClientBuilder::new_with_http(http.build(), intents)
        .framework(framework(Arc::clone(desk)))
        .event_handler(Shards(Arc::clone(&desk.counts)))
        .await
        .map_err(|error| StartError::Gateway(error.to_string()))?;
    // When the library cannot ask, it silently takes the public gateway: not through a proxy.
    if gateway["url"].as_str() != Some(client.ws_url.lock().await.as_str()) {
        return Err(StartError::Platform { what, why: "the address changed".to_owned() });
    }
    Ok(client)
}

/// Watches the connections; the library tells of these only in this way.
struct Shards(Arc<Counts>);

#[serenity::async_trait]
impl serenity::EventHandler for Shards {
    async fn shard_stage_update(
        &self,
        _: serenity::Context,
        event: serenity::ShardStageUpdateEvent,
    ) {
        let connected = event.new == serenity::ConnectionStage::Connected;
        if connected {
            self.0.connected(event.shard_id);
        }
        tracing::info!(shard = event.shard_id.0, stage = %event.new, "the connection changed");
    }
}

fn framework(desk: Arc<Desk>) -> poise::Framework<Arc<Desk>, Infallible> {
    let options = poise::FrameworkOptions {
        commands: commands::all(),
        // The library would remember everyone's latest command.
        manual_cooldowns: true,
        on_error: |error| Box::pin(failed(error)),
        event_handler: |context, event| {
            Box::pin(async move {
                happened(context, event).await;
                Ok(())
            })
        },
        ..poise::FrameworkOptions::default()
    };
    poise::Framework::builder()
        .options(options)
        .initialize_owners(false)
        .setup(|_, ready, _| {
            Box::pin(async move {
                let shard = ready.shard.map_or(0, |shard| shard.id.0);
                tracing::info!(shard, "ready");
                Ok(desk)
            })
        })
        .build()
}

/// What the gateway brings besides commands.
async fn happened(context: FrameworkContext<'_>, event: &FullEvent) {
    let desk = context.user_data;
    match event {
        FullEvent::InteractionCreate { interaction: Interaction::Component(pressed) } => {
            if let Some(caller) =
                Caller::of_button(pressed).filter(|_| desk.in_flight.is_new(pressed.id.get()))
            {
                buttons::pressed(desk, caller, &pressed.data.custom_id).await;
            }
        }
        FullEvent::InteractionCreate { interaction: Interaction::Modal(sent) } => {
            if let Some(caller) =
                Caller::of_form(sent).filter(|_| desk.in_flight.is_new(sent.id.get()))
            {
                buttons::sent(desk, caller, &sent.data.custom_id, &reason(sent)).await;
            }
        }
        _ => {}
    }
}

/// What was written in an undo's form.
fn reason(sent: &serenity::ModalInteraction) -> String {
    let fields = sent.data.components.iter().flat_map(|row| &row.components);
    fields
        .filter_map(|field| match field {
            serenity::ActionRowComponent::InputText(text) => text.value.clone(),
            _ => None,
        })
        .collect()
}

/// What the framework could not do.
async fn failed(error: poise::FrameworkError<'_, Arc<Desk>, Infallible>) {
    let (interaction, sentence) = match &error {
        poise::FrameworkError::CommandPanic {
            payload,
            ctx: poise::Context::Application(ctx),
            ..
        } => {
            tracing::error!(?payload, "a command failed");
            (ctx.interaction, messages::FAULT)
        }
        poise::FrameworkError::ArgumentParse { ctx: poise::Context::Application(ctx), .. }
        | poise::FrameworkError::CommandStructureMismatch { ctx, .. } => {
            (ctx.interaction, messages::UNREADABLE)
        }
        other => return tracing::error!("the framework failed: {other}"),
    };
    let desk = match &error {
        poise::FrameworkError::CommandPanic { ctx, .. }
        | poise::FrameworkError::ArgumentParse { ctx, .. } => ctx.data(),
        poise::FrameworkError::CommandStructureMismatch { ctx, .. } => ctx.framework.user_data,
        _ => return,
    };
    if let Some(caller) = Caller::of_command(interaction) {
        desk.counts.fault();
        desk.answer_privately(&caller, sentence).await;
    }
}

/// What the tests of this module check without a network.
#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_invitation_asks_for_the_least() {
        let link = invitation("42");
        assert_eq!(
            link,
            "https://discord.com/oauth2/authorize?client_id=42&scope=bot%20applications.commands&permissions=274878024704"
        );
    }
}
