//! The chat's speed, beside a bare command of the same library: it defers, makes one commit that
//! survives a power cut, and edits its answer. Run: cargo bench --bench chat
//!
//! Both bots are processes of their own, against the same stand-in on this machine, turn about in
//! one run. `cargo bench --bench chat -- memory` measures memory instead.

mod bare;
mod crowd;
/// The program as it was built for this measurement.
mod helper {
    pub const DRUMHEAD: &str = env!("CARGO_BIN_EXE_drumhead");

    pub mod store {
        use drumhead::record::Record;
        use std::path::Path;

        pub async fn open(file: &Path) -> Record {
            Record::open(file).await.expect("the record opens")
        }
    }
}

use crowd::group::{Group, IDA, Person, SERVER};
use drumhead::protocol::{Place, RequestId};
use serde_json::{Value, json};
use std::process::Command;
use std::time::{Duration, Instant};

/// Commands measured one after another, in each turn.
const ONE_BY_ONE: usize = 200;
/// The pause before each of them.
const SETTLE: Duration = Duration::from_millis(5);
/// Channels with a command in flight at the same time.
const CHANNELS: u64 = 64;
/// How often each bot is measured.
const TURNS: usize = 5;
/// Battles in the record when the start is measured.
const BATTLES: u32 = 10_000;
/// The first of the channels that are measured.
const FIRST: u64 = 710_000_000_000_000_000;

#[tokio::main]
async fn main() {
    if let Ok(rest) = std::env::var(bare::REST) {
        return bare::serve(&rest).await;
    }
    let arguments: Vec<String> = std::env::args().collect();
    if arguments.iter().any(|argument| argument == "memory") {
        return memory().await;
    }
    let (mut drumhead, mut bare) = (Group::gathered().await, Group::without_bot().await);
    bare.start_as(&mut bare_bot(&bare)).await;
    one_by_one(&drumhead, &bare).await;
    in_flight(&drumhead, &bare).await;
    beside_a_busy_channel(&drumhead, &bare).await;
    start(&mut drumhead, &mut bare).await;
}

/// This very program as the bare bot.
fn bare_bot(group: &Group) -> Command {
    let mut command = Command::new(std::env::current_exe().expect("this program"));
    command
        .env(bare::REST, format!("http://{}", group.stand_in.address))
        .env(bare::FILE, group.folder.path().join("bare.db"));
    command
}

/// From the dispatch of a melee to its final post.
async fn one_by_one(drumhead: &Group, bare: &Group) {
    drumhead.muster_at(FIRST).await;
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        for _ in 0..ONE_BY_ONE {
            ours.push(took(drumhead, FIRST, IDA, "melee", &melee).await);
            drumhead.posts(FIRST, IDA, "undo", json!({ "reason": "again" })).await;
            theirs.push(took(bare, FIRST, IDA, "bare", &json!({})).await);
        }
    }
    let (ours, theirs) = (sorted(ours), sorted(theirs));
    for (name, part) in [("median", 500), ("p99", 990)] {
        let (ours, theirs) = (at(&ours, part), at(&theirs, part));
        let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
        println!("melee to final post, {name}: {ours:?}; bare: {theirs:?}; time ratio {ratio:.3}");
    }
}

async fn took(group: &Group, channel: u64, by: Person, name: &str, options: &Value) -> Duration {
    // What either bot still does after the answer before must not slow the other.
    tokio::time::sleep(SETTLE).await;
    let id = group.sends(channel, by, name, options);
    let post = group.hears(id).await.post.expect("it is answered for all");
    let sent = group.stand_in.world.state().interactions[&id].sent;
    post.at.duration_since(sent)
}

fn sorted(mut times: Vec<Duration>) -> Vec<Duration> {
    times.sort();
    times
}

/// The time below which so many of a thousand are.
fn at(sorted: &[Duration], part: usize) -> Duration {
    sorted[(sorted.len() * part / 1000).min(sorted.len() - 1)]
}

/// One command in each of many channels at the same time.
async fn in_flight(drumhead: &Group, bare: &Group) {
    for n in 1..=CHANNELS {
        drumhead.posts(FIRST + n, person(n), "open", json!({ "name": "Harrow Ford" })).await;
    }
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..TURNS * 2 {
        ours.push(all_at_once(drumhead, "turn").await);
        theirs.push(all_at_once(bare, "bare").await);
    }
    let (ours, theirs) = (at(&sorted(ours), 500), at(&sorted(theirs), 500));
    let rate = theirs.as_secs_f64() / ours.as_secs_f64();
    println!("{CHANNELS} in flight: {ours:?}; bare: {theirs:?}; rate ratio {rate:.3}");
}

/// Each channel's own referee: nobody has so many requests in hand alone.
fn person(channel: u64) -> Person {
    Person { id: IDA.id + channel, ..IDA }
}

async fn all_at_once(group: &Group, name: &str) -> Duration {
    let begun = Instant::now();
    let ids: Vec<u64> =
        (1..=CHANNELS).map(|n| group.sends(FIRST + n, person(n), name, &json!({}))).collect();
    let mut last = begun;
    for id in ids {
        last = last.max(group.hears(id).await.post.expect("it is answered for all").at);
    }
    last.duration_since(begun)
}

/// One command after another in a quiet channel, while in another the next command comes as soon as
/// one is answered, hundreds a second: how much slower it is than beside channels at rest. More at
/// a time would only measure how the three programs share two processors.
async fn beside_a_busy_channel(drumhead: &Group, bare: &Group) {
    let (mut ours, mut theirs) = ([Vec::new(), Vec::new()], [Vec::new(), Vec::new()]);
    for _ in 0..TURNS {
        for (group, name, times) in [(drumhead, "turn", &mut ours), (bare, "bare", &mut theirs)] {
            times[0].extend(quiet(group, name).await);
            tokio::select! {
                busy = quiet(group, name) => times[1].extend(busy),
                () = keep_busy(group, name) => unreachable!("it never rests"),
            }
        }
    }
    let slower = |times: [Vec<Duration>; 2]| {
        let [alone, beside] = times.map(|times| at(&sorted(times), 500));
        (alone, beside, beside.as_secs_f64() / alone.as_secs_f64())
    };
    let (alone, beside, ours) = slower(ours);
    let (_, _, theirs) = slower(theirs);
    println!(
        "beside a busy channel: {beside:?}; at rest: {alone:?}; slowed {ours:.3} times; bare: \
         {theirs:.3}; ratio {:.3}",
        ours / theirs
    );
}

async fn quiet(group: &Group, name: &str) -> Vec<Duration> {
    let mut times = Vec::new();
    for _ in 0..ONE_BY_ONE / 4 {
        times.push(took(group, FIRST + 1, person(1), name, &json!({})).await);
    }
    times
}

async fn keep_busy(group: &Group, name: &str) {
    loop {
        let id = group.sends(FIRST + 2, person(2), name, &json!({}));
        group.hears(id).await;
    }
}

/// From the start of the process to the gateway, with many battles in the record.
async fn start(drumhead: &mut Group, bare: &mut Group) {
    let record = drumhead.record().await;
    let referee =
        drumhead::referee::Referee::new(record, drumhead::referee::RulesLibrary::shipped())
            .with_chain_length(1);
    for n in 0..BATTLES {
        let Ok(drumhead::terminal::Line::Request(request, _)) =
            drumhead::terminal::read_line("open X --scale 20")
        else {
            unreachable!("the line is a request")
        };
        let place = Place::channel("bench", 1, u64::from(n));
        let asked = RequestId::new("bench", &n.to_string()).expect("an id");
        let ask = drumhead::referee::Ask {
            place,
            asked,
            asker: drumhead::referee::Asker::person(1),
            request,
        };
        referee.ask(&ask).await.expect("a battle is opened");
    }
    referee.close().await;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        drumhead.kill();
        let begun = Instant::now();
        drumhead.start().await;
        ours.push(begun.elapsed());
        bare.kill();
        let mut program = bare_bot(bare);
        let begun = Instant::now();
        bare.start_as(&mut program).await;
        theirs.push(begun.elapsed());
    }
    let (ours, theirs) = (at(&sorted(ours), 500), at(&sorted(theirs), 500));
    let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
    println!("start with {BATTLES} battles: {ours:?}; bare: {theirs:?}; time ratio {ratio:.3}");
}

/// Resident memory over many requests in many channels.
async fn memory() {
    /// Channels of the measurement.
    const PLACES: u64 = 1000;
    let rounds: u64 = std::env::var("DRUMHEAD_ROUNDS").map_or(20, |n| n.parse().expect("a number"));
    let group = Group::gathered().await;
    println!("at the start: {} KiB", group.memory());
    for round in 0..rounds {
        for block in 0..PLACES / 50 {
            let name = if round == 0 { "open" } else { "turn" };
            let options = if round == 0 { json!({ "name": "Harrow Ford" }) } else { json!({}) };
            let ids: Vec<u64> = (0..50)
                .map(|n| group.sends(FIRST + block * 50 + n, person(n), name, &options))
                .collect();
            for id in ids {
                group.hears(id).await;
            }
            let mut state = group.stand_in.world.state();
            state.messages.clear();
            state.interactions.clear();
            state.calls.clear();
        }
        if round % 5 == 4 || round == 0 {
            println!("after {} requests: {} KiB", (round + 1) * PLACES, group.memory());
        }
    }
    println!("server {SERVER}, {PLACES} channels");
}
