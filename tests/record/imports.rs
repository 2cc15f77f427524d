//! Taking battles in: others are served meanwhile, and half a battle is never seen.

use super::kept::{Chat, FORD, MILL, place};
use crate::helper::{file, store};
use drumhead::digest::Digest;
use drumhead::protocol::Place;
use drumhead::record::{NewBattle, Record};
use drumhead::referee::{Referee, RulesLibrary};
use std::path::Path;
use std::time::{Duration, Instant};

const ID: &str = "0123456789abcdef";

/// A text as long as the event of a melee is; the record takes it as it comes.
fn text(n: u32) -> String {
    format!("{{\"n\":{n},\"text\":\"{}\"}}", "x".repeat(1_500))
}

fn new_battle() -> NewBattle<'static> {
    NewBattle { name: "Mill", chain: None, rules: ("none", Digest::ZERO, "") }
}

/// How many rows a table has for the battle.
async fn rows(file: &Path, sql: &'static str) -> i64 {
    use sqlx::Connection as _;
    let name = format!("sqlite:{}", file.display());
    let mut connection = sqlx::SqliteConnection::connect(&name).await.unwrap();
    let (rows,): (i64,) = sqlx::query_as(sql).bind(ID).fetch_one(&mut connection).await.unwrap();
    connection.close().await.unwrap();
    rows
}

const EVENTS: &str = "SELECT COUNT(*) FROM events WHERE battle = $1";
const BATTLES: &str = "SELECT COUNT(*) FROM battles WHERE id = $1";
const LEFT: &str = "SELECT COUNT(*) FROM erasing WHERE battle = $1";

/// A long import is written in pieces, with others served in between.
#[tokio::test(flavor = "multi_thread")]
async fn nobody_waits_for_the_whole_of_an_import() {
    let (_guard, file) = file("record.db");
    let chat = Chat::over(&file).await;
    chat.asks(FORD, "0", 1, "open \"Harrow Ford\" --scale 20").await;
    let record = store::open(&file).await;
    let importing = tokio::spawn(async move {
        let begun = Instant::now();
        let mut import = record.import(ID).await.unwrap();
        for n in 1..=30_000 {
            import.event(None, &text(n)).await.unwrap();
        }
        import.finish(&Place::table(), new_battle(), Digest::ZERO).await.unwrap();
        begun.elapsed()
    });
    let (mut longest, mut asked) = (Duration::ZERO, 0);
    while !importing.is_finished() {
        let begun = Instant::now();
        asked += 1;
        chat.asks(FORD, &asked.to_string(), 1, "turn").await;
        longest = longest.max(begun.elapsed());
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    let all = importing.await.unwrap();
    println!("the import took {all:?}; of {asked} requests meanwhile the longest took {longest:?}");
    assert!(longest < all / 4, "{longest:?} of {all:?}");
    assert_eq!(rows(&file, EVENTS).await, 30_000);
}

/// Until its end an import is seen by nobody, though others open the record; what is left of one
/// that was killed goes when the record is opened.
#[tokio::test]
async fn half_an_import_is_never_seen_and_goes() {
    let (guard, file) = file("record.db");
    let record = store::open(&file).await;
    let mut import = record.import(ID).await.unwrap();
    for n in 1..=500 {
        import.event(None, &text(n)).await.unwrap();
    }
    let other = store::open(&file).await;
    assert_eq!(other.battles(None).await.unwrap(), []);
    assert_eq!(other.place_of(ID).await.unwrap(), None);
    assert!(rows(&file, EVENTS).await > 0, "some pieces are written, and others leave them");
    // Somebody's battles are erased meanwhile.
    let chat = Chat::over(&file).await;
    chat.asks(FORD, "1", 1, "open \"Harrow Ford\" --scale 20").await;
    assert_eq!(other.erase_server("chat", 7).await.unwrap().0, 1);
    let refused = other.import("fedcba9876543210").await.unwrap_err().to_string();
    assert_eq!(refused, "others are writing to the record");
    // As a kill leaves it.
    drop(import);
    let copy = guard.path().join("copy.db");
    record.back_up(&copy).await.unwrap();
    assert!(rows(&copy, EVENTS).await > 0);
    for left in [&file, &copy] {
        store::open(left).await.close().await;
        assert_eq!((rows(left, EVENTS).await, rows(left, LEFT).await), (0, 0));
    }
    // One that is given up takes its pieces away itself, and the battle can still come.
    let mut import = record.import(ID).await.unwrap();
    for n in 1..=500 {
        import.event(None, &text(n)).await.unwrap();
    }
    import.give_up().await.unwrap();
    assert_eq!((rows(&file, EVENTS).await, rows(&file, LEFT).await), (0, 0));
    let mut import = record.import(ID).await.unwrap();
    import.event(None, &text(1)).await.unwrap();
    import.finish(&Place::table(), new_battle(), Digest::ZERO).await.unwrap();
    drop(import);
    let refused = record.import(ID).await.unwrap_err().to_string();
    assert_eq!(refused, "another program wrote to this battle first", "it is there");
    assert_eq!(other.battles(None).await.unwrap().len(), 1);
    assert_eq!((rows(&file, EVENTS).await, rows(&file, LEFT).await), (1, 0));
    assert_eq!(rows(&file, BATTLES).await, 1);
    let beside = std::fs::read_dir(guard.path()).unwrap();
    let locks = beside.filter(|file| {
        file.as_ref().unwrap().file_name().to_string_lossy().ends_with("-importing")
    });
    assert_eq!(locks.count(), 0, "no lock is left");
}

/// An import is counted beside the database too: without the log that holds it, it is missed.
#[tokio::test]
async fn an_import_whose_log_is_taken_away_is_missed() {
    let (guard, file) = file("record.db");
    let chat = Chat::over(&file).await;
    for (asked, line) in [("1", "open \"Harrow Ford\" --scale 20"), ("2", "turn"), ("3", "turn")] {
        chat.asks(MILL, asked, 1, line).await;
    }
    let head = chat.0.choose(None).await.unwrap();
    let mut export = Vec::new();
    chat.0.write_export(&head, &mut export).await.unwrap();
    let there = guard.path().join("there.db");
    let imported = Referee::new(store::open(&there).await, RulesLibrary::shipped());
    imported.import(&place(FORD), export.as_slice(), |_| {}).await.unwrap();
    // Open still, as for a program that is killed.
    let copied = tempfile::tempdir().unwrap();
    for name in ["there.db", "there.db-count"] {
        std::fs::copy(guard.path().join(name), copied.path().join(name)).unwrap();
    }
    let refused = Record::open(&copied.path().join("there.db")).await.unwrap_err().to_string();
    assert!(refused.contains("its last 3 events are missing"), "{refused}");
    std::fs::copy(guard.path().join("there.db-wal"), copied.path().join("there.db-wal")).unwrap();
    let whole = store::open(&copied.path().join("there.db")).await;
    assert_eq!(whole.battles(None).await.unwrap().len(), 1);
    whole.close().await;
    imported.close().await;
    assert!(!guard.path().join("there.db-count").exists(), "all of it is in the database");
}
