//! What is erased is gone: from the tables, from the file and from the log beside it.

use super::kept::{Chat, ELSEWHERE, FORD, MILL, place};
use crate::helper::{file, store};
use drumhead::protocol::Who;
use drumhead::record::Left;
use drumhead::referee::Refusal;
use std::path::Path;

/// How often the record's file and its log hold these bytes.
fn count(file: &Path, bytes: &[u8]) -> usize {
    let log = file.with_extension("db-wal");
    let held = |file: &Path| std::fs::read(file).unwrap_or_default();
    let count = |held: Vec<u8>| held.windows(bytes.len()).filter(|part| *part == bytes).count();
    count(held(file)) + count(held(&log))
}

#[tokio::test]
async fn no_byte_of_a_forgotten_id_is_left() {
    let (_guard, file) = file("record.db");
    let record = store::open(&file).await;
    let user = 0x0123_4567_89ab_cdef_u64;
    let (number, text) = (user.to_be_bytes(), user.to_string());
    let who = record.person("chat", user).await.unwrap();
    record.person("chat", user + 1).await.unwrap();
    assert!(count(&file, &number) > 0, "it is kept as these bytes");
    assert_eq!(record.forget_person("chat", user).await.unwrap(), Some(Left::Nothing));
    assert_eq!((count(&file, &number), count(&file, text.as_bytes())), (0, 0));
    assert!(count(&file, &(user + 1).to_be_bytes()) > 0, "others stay");
    assert_eq!(record.forget_person("chat", user).await.unwrap(), None);
    assert_eq!(record.user("chat", who).await.unwrap(), None);
    // Whoever comes back is somebody new.
    assert_eq!((who, record.person("chat", user).await.unwrap()), (Who::Person(1), Who::Person(3)));
}

/// Somebody reads for long, as a backup does: the log cannot be emptied, and that is said.
#[tokio::test]
async fn whoever_reads_for_long_leaves_traces_and_they_go_later() {
    let (_guard, file) = file("record.db");
    let record = store::open(&file).await;
    record.person("chat", 0x0123_4567_89ab_cdef).await.unwrap();
    let url = format!("sqlite:{}", file.display());
    let reader = sqlx::SqlitePool::connect(&url).await.unwrap();
    let mut reading = reader.begin().await.unwrap();
    sqlx::query("SELECT * FROM people").fetch_all(&mut *reading).await.unwrap();
    let left = record.forget_person("chat", 0x0123_4567_89ab_cdef).await.unwrap();
    assert_eq!(left, Some(Left::Traces));
    drop(reading);
    reader.close().await;
    record.person("chat", 2).await.unwrap();
    assert_eq!(record.forget_person("chat", 2).await.unwrap(), Some(Left::Nothing));
    assert_eq!(count(&file, &0x0123_4567_89ab_cdef_u64.to_be_bytes()), 0);
}

/// Two servers' battles in one file, some events long enough to need pages of their own.
async fn two_servers(file: &Path) -> Chat {
    let chat = Chat::over(file).await;
    for (at, name) in [(FORD, "Ford"), (MILL, "Mill"), (ELSEWHERE, "Reeds")] {
        let (_, channel) = at;
        let asks = async |asked: &str, line: &str| {
            chat.asks(at, &format!("{channel}-{asked}"), channel, line).await;
        };
        asks("open", &format!("open \"{name} of Harrow\" --scale 1")).await;
        for (unit, side) in [("A", "Vale"), ("B", "Grey")] {
            let line = format!("muster {name}{unit} --side {side} --class \"line foot\" --men 900");
            asks(unit, &line).await;
        }
        asks("m", &format!("melee {name}A {name}B")).await;
        for n in 0..20 {
            asks(&format!("t{n}"), "throw 10d6 --for \"the weather\"").await;
        }
        asks("close", "close").await;
        asks("q", "throw 3d6").await;
        asks("reopen", &format!("reopen \"{name} of Harrow\"")).await;
    }
    chat
}

/// The bytes of a record's file and of its log of pages.
fn size(file: &Path) -> u64 {
    let log = file.with_extension("db-wal");
    [file, &log].iter().filter_map(|file| file.metadata().ok()).map(|held| held.len()).sum()
}

#[tokio::test]
async fn a_server_is_erased_to_the_last_byte_and_another_stays_whole() {
    let (_guard, file) = file("record.db");
    let chat = two_servers(&file).await;
    let record = store::open(&file).await;
    let length = size(&file);
    let theirs: Vec<String> =
        ["Ford of Harrow", "Mill of Harrow", "FordA", "MillB", "chat:7/", "chat:42-", "person-43"]
            .map(str::to_owned)
            .into_iter()
            .chain(
                record
                    .battles_of_server("chat", 7)
                    .await
                    .unwrap()
                    .into_iter()
                    .map(|head| head.battle),
            )
            .collect();
    assert_eq!(theirs.len(), 7 + 4, "two battles, and two places' quick rulings");
    for held in &theirs {
        assert!(count(&file, held.as_bytes()) > 0, "{held} is in the record");
    }
    let secrets = store::secrets(&file).await;
    let kept = record.battles_of_server("chat", 8).await.unwrap();
    record.set_board(&place(FORD), "message 1").await.unwrap();
    record.set_board(&place(ELSEWHERE), "message 2").await.unwrap();

    assert_eq!(record.erase_server("chat", 7).await.unwrap(), (4, Left::Nothing));
    for held in &theirs {
        assert_eq!(count(&file, held.as_bytes()), 0, "{held} is still in the file");
    }
    let left = store::secrets(&file).await;
    assert_eq!((secrets.len(), left.len()), (12, 4));
    for secret in secrets.iter().filter(|secret| !left.contains(secret)) {
        assert_eq!(count(&file, secret), 0, "a secret is still in the file");
    }
    assert!(size(&file) < length, "the file and its log have grown smaller");
    assert_eq!(record.battles(None).await.unwrap(), kept);
    assert_eq!(record.boards_on("chat").await.unwrap(), [place(ELSEWHERE)]);
    assert_eq!(record.erase_server("chat", 7).await.unwrap(), (0, Left::Nothing));
    record.is_sound().await.unwrap();
    // The other server goes on, and so does this one, from the beginning.
    chat.asks(ELSEWHERE, "again", 44, "turn").await;
    let opened = chat.asks(FORD, "42", 1, "open \"Ford of Harrow\" --scale 20").await;
    assert_eq!(opened.event.seq, 1);
}

/// Whoever has to do with no battle any more is kept no longer; others stay who they are, also those
/// who only hold an office.
#[tokio::test]
async fn people_who_are_left_nowhere_go_with_their_server() {
    let (_guard, file) = file("record.db");
    let record = store::open(&file).await;
    let ids: Vec<u64> = (1..=5).map(|n| 0x0123_4567_89ab_0000 + n).collect();
    let mut people = Vec::new();
    for id in &ids {
        people.push(record.person("chat", *id).await.unwrap());
    }
    let [Who::Person(here), Who::Person(both), Who::Person(captain), ..] = people[..] else {
        panic!("{people:?}")
    };
    let chat = Chat::over(&file).await;
    for (at, person, name) in
        [(FORD, here, "Ford"), (MILL, captain, "Mill"), (ELSEWHERE, both, "Reeds")]
    {
        let open = format!("open {name} --scale 20");
        chat.asks(at, &format!("open-{name}"), person, &open).await;
    }
    let muster = "muster A --side Vale --class levy --men 100";
    chat.asks(ELSEWHERE, "muster", both, muster).await;
    let appoint = format!("appoint person-{captain} --side Vale");
    chat.asks(ELSEWHERE, "appoint", both, &appoint).await;
    chat.asks(FORD, "too", both, "throw 3d6").await;
    // An office alone is nothing that somebody asked.
    let asked = record.traces_of(Who::Person(captain)).await.unwrap();
    assert_eq!(asked.iter().map(|trace| trace.requests).collect::<Vec<_>>(), [1]);

    assert_eq!(record.erase_server("chat", 7).await.unwrap(), (2, Left::Nothing));
    for (id, who) in ids.iter().zip(&people) {
        let stays = [both, captain].contains(&person(*who));
        let known = record.known_person("chat", *id).await.unwrap();
        assert_eq!(known, stays.then_some(*who), "{who}");
        assert_eq!(count(&file, &id.to_be_bytes()) > 0, stays, "{who}");
    }
    // A request of theirs that was in hand would be nobody's.
    let late = chat.tries(ELSEWHERE, "late", here, "throw 3d6").await.unwrap_err();
    assert!(matches!(late, Refusal::Overtaken), "{late}");
    let office = format!("appoint person-{here} --side Vale");
    let late = chat.tries(ELSEWHERE, "later", both, &office).await.unwrap_err();
    assert!(matches!(late, Refusal::Overtaken), "{late}");
    let again = record.person("chat", ids[0]).await.unwrap();
    assert!(!people.contains(&again), "whoever comes back is somebody new");
}

fn person(who: Who) -> u64 {
    match who {
        Who::Person(n) => n,
        other => panic!("{other} is no person"),
    }
}

/// Others are served between the steps of erasing.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn others_are_served_meanwhile() {
    let (_guard, file) = file("record.db");
    let chat = two_servers(&file).await;
    // As many events as a long campaign has, written in one go.
    let many = "INSERT INTO events (battle, seq, text) \
        WITH RECURSIVE many (i) AS (VALUES (100) UNION ALL SELECT i + 1 FROM many WHERE i < 6000) \
        SELECT battles.id, i, hex(zeroblob(1000)) FROM many, battles WHERE server = 7 AND NOT quick";
    assert_eq!(store::tamper(&file, many).await, 2 * 5901);
    let record = store::open(&file).await;
    let erasing = tokio::spawn(async move { record.erase_server("chat", 7).await });
    let mut served = 0;
    while !erasing.is_finished() {
        chat.asks(ELSEWHERE, &format!("turn-{served}"), 44, "turn").await;
        served += 1;
    }
    assert_eq!(erasing.await.unwrap().unwrap(), (4, Left::Nothing));
    // It takes more than a hundred steps.
    assert!(served >= 10, "only {served} requests were answered meanwhile");
}

/// A run that was killed in the middle of erasing is finished at the next opening.
#[tokio::test]
async fn what_a_killed_run_had_begun_to_erase_is_gone_at_the_next_opening() {
    let (_guard, file) = file("record.db");
    let chat = two_servers(&file).await;
    let ford = store::open(&file).await.open_battle(&place(FORD)).await.unwrap().unwrap();
    chat.0.close().await;
    for step in [
        "INSERT INTO erasing (battle, place) \
            SELECT id, replace(place, '#quick', '') FROM battles WHERE server = 7",
        "DELETE FROM secrets WHERE battle IN (SELECT battle FROM erasing)",
        "DELETE FROM battles WHERE server = 7",
        "DELETE FROM events WHERE battle IN (SELECT battle FROM erasing) AND seq < 9",
    ] {
        assert!(store::tamper(&file, step).await > 0, "{step}");
    }
    let record = store::open(&file).await;
    assert_eq!(record.events_after(&ford.battle, 0, 999).await.unwrap(), []);
    // The same ids can be asked anew.
    let chat = Chat::over(&file).await;
    let opened = chat.asks(FORD, "42-open", 1, "open \"Ford of Harrow\" --scale 20").await;
    assert_eq!(opened.event.seq, 1);
    chat.0.close().await;
    record.close().await;
    assert_eq!(store::tamper(&file, "DELETE FROM erasing").await, 0, "nothing is left to erase");
}
