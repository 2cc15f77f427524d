//! A record as it is after long years, made in minutes.
//!
//! One battle is really fought; its events are then written down again for every other battle,
//! under ids of their own and with hashes that follow one another. All that a record keeps beside
//! the events is written too.

use drumhead::digest::Digest;
use drumhead::protocol::{Body, Place, Recorded, RequestId, Who};
use drumhead::record::Record;
use drumhead::referee::{Ask, Asker, Referee, RulesLibrary};
use drumhead::terminal::{Line, read_line};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions as _, SqliteConnection};
use std::path::Path;

/// Battles of the record, besides those that are measured.
pub const BATTLES: u64 = 20_000;
/// Events of each.
pub const EVENTS: u64 = 100;
/// Battles of a server, in four channels.
pub const OF_A_SERVER: u64 = 20;
/// The place of the battle of a hundred thousand events.
pub const LONG: (u64, u64) = (7, 70);
/// How many it has.
pub const LONG_EVENTS: u64 = 100_000;
/// The battle of as many events as a report tells: its number and its home.
pub const REPORTED: (u64, (u64, u64)) = (1 << 40, (8, 80));
const REPORTED_EVENTS: usize = 10_000;
/// The battle at the table, of as many events as are listed at once.
const LISTED: u64 = 1 << 41;
const LISTED_EVENTS: usize = 5_000;
/// The platform of all of it.
pub const PLATFORM: &str = "discord";

/// What is put where battles are at home.
const CHANNELS: u64 = 4;

pub fn place((server, channel): (u64, u64)) -> Place {
    Place::channel(PLATFORM, server, channel)
}

/// The server and the channel of battle number `n`.
pub fn home(n: u64) -> (u64, u64) {
    let server = 1_000 + n / OF_A_SERVER;
    (server, server * 10 + n % CHANNELS)
}

pub async fn ask(referee: &Referee, place: &Place, id: &str, person: u64, line: &str) -> Recorded {
    let Ok(Line::Request(request, _)) = read_line(line) else { panic!("{line}") };
    let asked = RequestId::new("bench", id).expect("an id");
    let ask = Ask { place: place.clone(), asked, asker: Asker::person(person), request };
    referee.ask(&ask).await.unwrap_or_else(|no| panic!("{line}: {no}")).event
}

/// Two fresh units meet, and are dismissed.
pub fn melee_lines(n: u64) -> [String; 5] {
    [
        format!("muster A{n} --side Vale --class \"line foot\" --men 160"),
        format!("muster Bb{n} --side Grey --class \"skirmishers\" --men 200"),
        format!("melee A{n} Bb{n}"),
        format!("dismiss A{n}"),
        format!("dismiss Bb{n}"),
    ]
}

/// A battle of that many events, really fought.
async fn fought(events: u64) -> Vec<Recorded> {
    let record = Record::throwaway().await.expect("memory");
    let referee = Referee::new(record, RulesLibrary::shipped()).with_chain_length(50_000);
    let place = place(LONG);
    let mut all = vec![ask(&referee, &place, "open", 1, "open \"Harrow Ford\" --scale 20").await];
    for n in 0.. {
        for (part, line) in melee_lines(n).iter().enumerate() {
            if all.len() as u64 == events {
                referee.close().await;
                return all;
            }
            all.push(ask(&referee, &place, &format!("{n}-{part}"), 1, line).await);
        }
    }
    unreachable!("it ends in between")
}

/// Makes the record, and says how long that took.
pub async fn made(file: &Path) {
    let begun = std::time::Instant::now();
    Record::open(file).await.expect("it opens").close().await;
    let mut sql = SqliteConnectOptions::new()
        .filename(file)
        .journal_mode(SqliteJournalMode::Off)
        .synchronous(SqliteSynchronous::Off)
        .pragma("cache_size", "-500000")
        .connect()
        .await
        .expect("it opens again");
    run(
        &mut sql,
        "INSERT INTO rules (sha256, name, text) VALUES ($1, 'open-field', $2)",
        &[
            &Digest::of(drumhead::rules::OPEN_FIELD.as_bytes()).to_string(),
            drumhead::rules::OPEN_FIELD,
        ],
    )
    .await;
    let long = fought(LONG_EVENTS).await;
    let template = long[..usize::try_from(EVENTS).expect("few")].to_vec();
    keep(&mut sql, &place(LONG), true, &long).await;
    let reported = anew(&long[..REPORTED_EVENTS], REPORTED.0);
    keep(&mut sql, &place(REPORTED.1), true, &reported).await;
    let listed = anew(&long[..LISTED_EVENTS], LISTED);
    keep(&mut sql, &Place::table(), true, &listed).await;
    drop(long);
    run(&mut sql, "BEGIN", &[]).await;
    for n in 0..BATTLES {
        let events = anew(&template, n);
        let last = (n % OF_A_SERVER) / CHANNELS == OF_A_SERVER / CHANNELS - 1;
        keep(&mut sql, &place(home(n)), last, &events).await;
        if n % 1_000 == 999 {
            run(&mut sql, "COMMIT", &[]).await;
            run(&mut sql, "BEGIN", &[]).await;
        }
    }
    let people = "INSERT INTO people (platform, user_id) \
        WITH RECURSIVE many (i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM many WHERE i < 20000) \
        SELECT 'discord', 600000000000000000 + i FROM many";
    run(&mut sql, people, &[]).await;
    run(&mut sql, "COMMIT", &[]).await;
    drop(sqlx::Connection::close(sql).await);
    let length = file.metadata().expect("it is there").len() >> 20;
    println!("a record of {BATTLES} battles, {length} MiB, made in {:?}", begun.elapsed());
}

/// The same battle under other ids.
fn anew(template: &[Recorded], n: u64) -> Vec<Recorded> {
    let anchor_of_it = Digest::of(&n.to_be_bytes());
    let mut prev = Digest::ZERO;
    let mut all = Vec::with_capacity(template.len());
    for recorded in template {
        let mut event = recorded.event.clone();
        if let Body::Opened { anchor, .. } = &mut event.body {
            *anchor = anchor_of_it;
        }
        event.battle = anchor_of_it.short();
        event.prev = prev;
        event.asked = RequestId::new("bench", &format!("{n}-{}", event.seq)).expect("an id");
        if let Who::Person(who) = event.by {
            event.by = Who::Person(who + n / OF_A_SERVER * OF_A_SERVER);
        }
        let written = Recorded::write(event);
        prev = written.hash;
        all.push(written);
    }
    all
}

/// Keeps a battle with all that belongs to it; the last of a place is open.
async fn keep(sql: &mut SqliteConnection, place: &Place, open: bool, events: &[Recorded]) {
    let last = events.last().expect("some");
    let at = place.to_string();
    let id = last.event.battle.as_str();
    let number = |n: Option<u64>| n.map(|n| n.to_string()).unwrap_or_default();
    let battle = "INSERT INTO battles \
        (id, place, platform, server, channel, quick, name, is_open, seq, head) \
        VALUES ($1, $2, NULLIF($3, ''), CAST(NULLIF($4, '') AS INTEGER), \
        CAST(NULLIF($5, '') AS INTEGER), FALSE, 'Harrow Ford', $6 = 'open', \
        CAST($7 AS INTEGER), $8)";
    let values = [
        id,
        &at,
        place.platform().unwrap_or_default(),
        &number(place.server()),
        &number(place.channel_id()),
        if open { "open" } else { "closed" },
        &last.event.seq.to_string(),
        &last.hash.to_string(),
    ];
    run(sql, battle, &values).await;
    for part in events.chunks(1_000) {
        let rows: Vec<_> = part
            .iter()
            .map(|recorded| {
                let event = &recorded.event;
                let roll = event.receipt().map(|receipt| receipt.roll);
                (event.seq, roll, &recorded.text, event.asked.to_string(), recorded.hash)
            })
            .collect();
        let rows = serde_json::to_string(&rows).expect("text");
        let event = "INSERT INTO events (battle, seq, roll, text) \
            SELECT $1, value ->> 0, value ->> 1, value ->> 2 FROM json_each($2)";
        run(sql, event, &[id, &rows]).await;
        let answered = "INSERT INTO ids (place, asked, battle, seq, sha256) \
            SELECT $3, value ->> 3, $1, value ->> 0, value ->> 4 FROM json_each($2)";
        run(sql, answered, &[id, &rows, &at]).await;
    }
    for who in 1..=3 {
        let asking = "INSERT INTO askings (battle, who, requests) \
            VALUES ($1, $2, CAST($3 AS INTEGER))";
        let who = Who::Person(who + place.server().unwrap_or(0) * OF_A_SERVER).to_string();
        run(sql, asking, &[id, &who, &(EVENTS / 3).to_string()]).await;
    }
    for key in ["now", "next"] {
        let secret = "INSERT INTO secrets (battle, kind, key, bytes, extra) \
            VALUES ($1, 'links', $2, randomblob(32), '1000')";
        run(sql, secret, &[id, key]).await;
    }
}

async fn run(sql: &mut SqliteConnection, statement: &'static str, values: &[&str]) {
    let query = sqlx::query(statement);
    let query = values.iter().fold(query, |query, value| query.bind((*value).to_owned()));
    query.execute(sql).await.unwrap_or_else(|no| panic!("{statement}: {no}"));
}
