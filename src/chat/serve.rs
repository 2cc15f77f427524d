//! Connects, serves until it is told to stop, and stops in good order.

use super::config::Config;
use super::interaction::{
    Caller, Denied, InFlight, Shared, answer_privately, left_waiting, offer, tell_left_waiting,
    turn_away, waits_no_more,
};
use super::message::{Answer, messages, of_sentence};
use super::platform::{
    Arrived, Counts, Did, Failed, Gateway, Happened, Parcel, Rest, Token, Watch,
};
use super::trouble::StartError;
use super::{board, buttons, commands, completion, posting, status};
use crate::files::FileError;
use crate::referee::{Alone, Fault, Referee, RulesLibrary, Waiting};
use std::sync::Arc;
use std::time::Duration;
use tokio::signal::unix::{SignalKind, signal};

/// How long what is in hand may take to be finished once the program is told to stop.
const FINISH: Duration = Duration::from_millis(2500);
/// How long a goodbye may take.
const GOODBYE: Duration = Duration::from_secs(1);

/// The permissions that the bot asks for, by their bits:
/// <https://discord.com/developers/docs/topics/permissions>.
///
/// They serve owed posts whose interaction has expired, and the board; an answer to an interaction
/// needs none.
const PERMISSIONS: u64 =
    VIEW_CHANNEL | SEND_MESSAGES | SEND_MESSAGES_IN_THREADS | ATTACH_FILES | READ_MESSAGE_HISTORY;
const VIEW_CHANNEL: u64 = 1 << 10;
const SEND_MESSAGES: u64 = 1 << 11;
const ATTACH_FILES: u64 = 1 << 15;
const READ_MESSAGE_HISTORY: u64 = 1 << 16;
const SEND_MESSAGES_IN_THREADS: u64 = 1 << 38;

/// Serves until SIGTERM or SIGINT.
///
/// # Errors
/// If a file, the token, the record or the platform does not let it begin, or the connection ends.
pub async fn serve(config: &Config) -> Result<(), StartError> {
    config.begin_trace();
    let token = config.token()?;
    let library = library(config)?;
    let _alone = Alone::with(&config.record)?;
    let counts = Arc::new(Counts::default());
    let rest = Rest::new(config.platform.rest.as_deref(), token.clone(), Arc::clone(&counts));
    // The record opens while the platform answers.
    let (referee, ()) = tokio::try_join!(
        async { Ok(Referee::open(&config.record, library).await?) },
        introduce(&rest, config.test_server)
    )?;
    let in_flight = InFlight::default();
    let shared = Arc::new(Shared { referee, rest, counts, in_flight });
    let watch = Arc::new(Watch::default());
    if let Some(address) = config.status {
        status::listen(address, Arc::clone(&shared.counts), Arc::clone(&watch)).await?;
    }
    let served = run(config, &token, &shared, watch).await;
    finish(&shared).await;
    served
}

/// The rules that ship and those that the configuration names.
fn library(config: &Config) -> Result<RulesLibrary, StartError> {
    let mut library = RulesLibrary::shipped();
    for file in &config.rules_files {
        let text = std::fs::read_to_string(file).map_err(|error| FileError::new(file, error))?;
        library.add(&file.display().to_string(), &text)?;
    }
    Ok(library)
}

/// Tells the platform who comes, and what can be asked: everywhere, or at once for one server.
async fn introduce(rest: &Rest, server: Option<u64>) -> Result<(), StartError> {
    let platform = |what| move |why: String| StartError::Platform { what, why };
    let application = rest.application().await.map_err(|failed| match failed {
        Failed::Refused { status: 401, .. } => StartError::WrongToken,
        failed => platform("its application")(failed.to_string()),
    })?;
    println!("To add the bot to a server: {}", invitation(application));
    let commands = Parcel::of(&commands::registered());
    let registered = rest.register(application, server, &commands).await;
    registered.map_err(|failed| platform("its commands")(failed.to_string()))
}

/// Connects, and runs until a signal or until the gateway ends.
async fn run(
    config: &Config,
    token: &Token,
    shared: &Arc<Shared>,
    watch: Arc<Watch>,
) -> Result<(), StartError> {
    let mut stop = Stop::listen()?;
    let hand_in = {
        let shared = Arc::clone(shared);
        move |arrived| deal_with(Arc::clone(&shared), arrived)
    };
    let rest = config.platform.rest.as_deref();
    let mut gateway = tokio::select! {
        gateway = Gateway::prepare(&shared.rest, rest, token, watch, hand_in) => {
            gateway.map_err(|why| StartError::Platform { what: "its gateway", why })?
        }
        () = stop.asked() => return Ok(()),
    };
    let shards = gateway.shards();
    let posting = tokio::spawn(keep_up(Arc::clone(shared), left_waiting(shared).await));
    let ended = tokio::select! {
        why = gateway.run() => Err(StartError::Gateway(why)),
        () = stop.asked() => Ok(()),
    };
    tracing::info!("stopping");
    posting.abort();
    // The gateway may hang; what is in hand matters more than its goodbye.
    let _ = tokio::time::timeout(GOODBYE, shards.shutdown_all()).await;
    ended
}

/// Brings to the platform what a run before left undone, and whatever is left undone from now on.
async fn keep_up(shared: Arc<Shared>, left: Vec<Waiting>) {
    tell_left_waiting(&shared, left).await;
    posting::post_owed(&shared).await;
    board::refresh_all(&shared).await;
    posting::keep_posting(&shared).await;
}

/// Waits for what is in hand, then closes the record. What is not finished is owed.
async fn finish(shared: &Shared) {
    if tokio::time::timeout(FINISH, shared.in_flight.in_hand.write()).await.is_err() {
        tracing::warn!("some posts are not finished and will be posted at the next start");
    }
    let _ = tokio::time::timeout(GOODBYE, shared.referee.close()).await;
}

/// Deals with what somebody did, once, if that is not too much at once.
async fn deal_with(shared: Arc<Shared>, arrived: Arrived) {
    if !shared.in_flight.is_new(arrived.via.id) {
        return;
    }
    let Some(caller) = Caller::of(&arrived) else {
        return outside_servers(&shared, &arrived).await;
    };
    let types = matches!(arrived.did, Did::Typed(_));
    let turns = if types { &shared.in_flight.typing } else { &shared.in_flight.requests };
    let _turn = match turns.take(caller.whose()).await {
        Ok(turn) => turn,
        Err(_) if types => return offer(&shared, &caller, Vec::new()).await,
        Err(crowded) => {
            return turn_away(&shared, &caller, Denied::Refused(crowded.into())).await;
        }
    };
    let work = {
        let (shared, caller) = (Arc::clone(&shared), caller.clone());
        Box::pin(async move { hand_on(&shared, &caller, arrived.did).await })
    };
    Box::pin(to_its_end(&shared, &caller, work)).await;
}

/// Works on a task of its own; a fault of the front itself is said to whoever waits, with the
/// reference under which the trace has it.
async fn to_its_end(
    shared: &Arc<Shared>,
    caller: &Caller,
    work: impl Future<Output = ()> + Send + 'static,
) {
    if let Err(error) = tokio::spawn(work).await {
        let fault = Fault::Stopped(error.to_string());
        let reference = fault.reference();
        tracing::error!(reference, "{}", fault.chain());
        shared.counts.count(Happened::Fault);
        answer_privately(shared, caller, &messages::broken_off(&reference)).await;
        waits_no_more(shared, caller);
    }
}

/// Hands on what somebody did to whatever deals with it.
async fn hand_on(shared: &Shared, caller: &Caller, did: Did) {
    match did {
        // On the heap: all that a command may come to would be large on the stack.
        Did::Asked(invoked) => Box::pin(commands::asked(shared, caller, &invoked)).await,
        Did::Typed(invoked) => completion::typed(shared, caller, &invoked).await,
        Did::Pressed(id) => buttons::pressed(shared, caller, &id).await,
        Did::Sent(id, fields) => buttons::sent(shared, caller, &id, &fields).await,
    }
}

/// Says kindly where battles are fought.
async fn outside_servers(shared: &Shared, arrived: &Arrived) {
    let answer = match arrived.did {
        Did::Typed(_) => Answer::Choices(Vec::new()),
        _ => Answer::Now(of_sentence(messages::ONLY_IN_SERVERS)),
    };
    // Whoever asked outside a server loses nothing but this hint.
    let _ = shared.rest.acknowledge(&arrived.via, &answer.parcel()).await;
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

/// The link that adds the bot with the least permissions it needs.
fn invitation(application: u64) -> String {
    format!(
        "https://discord.com/oauth2/authorize?client_id={application}&scope=bot%20applications.commands&permissions={PERMISSIONS}"
    )
}

/// What the tests of this module check without a network.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::chat::platform::ReplyRoute;
    use std::sync::Mutex;

    /// A platform on loopback that takes every call and keeps what it was sent.
    async fn platform() -> (String, Arc<Mutex<Vec<(String, String)>>>) {
        let calls = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&calls);
        let take = move |request: axum::extract::Request| async move {
            let call = format!("{} {}", request.method(), request.uri().path());
            let body = axum::body::to_bytes(request.into_body(), 1 << 20).await.unwrap();
            kept.lock().unwrap().push((call, String::from_utf8(body.to_vec()).unwrap()));
            axum::http::StatusCode::NO_CONTENT
        };
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let router = axum::Router::new().fallback(take);
        tokio::spawn(async move { axum::serve(listener, router).await });
        (address, calls)
    }

    async fn shared(address: &str) -> Arc<Shared> {
        let counts = Arc::new(Counts::default());
        let token = Token::new("a.token").unwrap();
        Arc::new(Shared {
            referee: Referee::in_memory(RulesLibrary::shipped()).await.unwrap(),
            rest: Rest::new(Some(address), token, Arc::clone(&counts)),
            counts,
            in_flight: InFlight::default(),
        })
    }

    fn caller() -> Caller {
        let via = ReplyRoute { id: 1, application: 2, channel: 3, token: "t".to_owned() };
        Caller { via, server: 7, user: 8, roles: Vec::new(), manages: false }
    }

    #[tokio::test]
    async fn a_handler_that_panics_is_answered_with_a_reference() {
        let (address, calls) = platform().await;
        let shared = shared(&address).await;
        to_its_end(&shared, &caller(), async { panic!("the ford is up") }).await;
        let calls = calls.lock().unwrap();
        let (last, said) = calls.last().unwrap();
        assert_eq!(last, "PATCH /api/v10/webhooks/2/t/messages/@original");
        let reference = said.split("reference ").nth(1).unwrap().split(')').next().unwrap();
        assert!(reference.len() == 8 && reference.bytes().all(|c| c.is_ascii_hexdigit()), "{said}");
        assert!(said.contains("Something went wrong here") && !said.contains("the ford"), "{said}");
        let counts = shared.counts.text(true);
        assert!(counts.contains("drumhead_faults_total 1\n"), "{counts}");
        // Nothing stays in hand: whoever asks next is dealt with.
        assert!(shared.in_flight.in_hand.try_write().is_ok());
    }

    #[test]
    fn the_invitation_asks_for_the_least() {
        let link = invitation(42);
        assert_eq!(
            link,
            "https://discord.com/oauth2/authorize?client_id=42&scope=bot%20applications.commands&permissions=274878008320"
        );
    }
}
