//! What is frozen: battles of each protocol, which every later release must load, play on in and
//! find to hold. docs/decisions/protocol.md says why.
//!
//! The corpus of a protocol is made by the script beside it:
//!
//! ```sh
//! MAKE_CORPUS=1 cargo test --test integration protocol
//! ```
//!
//! Until release 0.1.0 that of protocol 1 may be made anew, in a commit of its own; after it never.

use crate::helper::{Game, audit, file};
use drumhead::protocol::{Appointee, Place, Request, RequestId};
use drumhead::referee::{Ask, Asker, Referee, RulesLibrary, TAKE};
use drumhead::rules::Rules;
use std::path::{Path, PathBuf};

/// Links in a chain of the corpus: few, so that its battle goes through several chains.
const LINKS: u32 = 4;

/// A file of the corpus of protocol 1.
fn corpus(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/protocol/1").join(name)
}

fn kept(name: &str) -> String {
    let file = corpus(name);
    std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

/// A referee whose dice and clock are those of the corpus.
async fn referee(record: &Path) -> Referee {
    let referee = Referee::open(record, RulesLibrary::shipped()).await.unwrap();
    referee.as_demonstration(TAKE).with_chain_length(LINKS)
}

/// Plays the script of the corpus, and the requests that no line asks.
async fn play(record: &Path) -> Game {
    let game = Game::over(referee(record).await);
    game.says("throw 3d6 1d20 --for \"the weather\"").await;
    game.says("ruling \"8 line foot, seasoned, led\" \"60 men of levy, raw\" --scale 20 --flank")
        .await;
    game.says("open \"Harrow Ford\" --scale 20 --side Vale --side \"Grey Banner\"").await;
    for (id, side) in [("captain", Some("Vale".to_owned())), ("second", None)] {
        let who = if side.is_some() { Appointee::Person(2) } else { Appointee::Role(9) };
        asks(&game, id, Request::Appoint { who, side }).await;
    }
    for line in kept("script.txt").lines().filter(|line| !line.starts_with('#')) {
        match line.strip_prefix("? ") {
            Some(line) => game.tries(line).await,
            None => drop(game.says(line).await),
        }
        if line.starts_with("rescale") {
            asks(&game, "relieved", Request::Relieve { who: Appointee::Role(9), side: None }).await;
        }
    }
    game
}

async fn asks(game: &Game, id: &str, request: Request) {
    let asked = RequestId::new("table", id).unwrap();
    let ask = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
    game.referee.ask(&ask).await.unwrap_or_else(|no| panic!("{id}: {no}"));
}

/// What the corpus holds of a record: both battles as exports, and the receipts.
async fn written(game: &Game) -> Vec<(&'static str, String)> {
    let mut files = Vec::new();
    for (battle, name) in [("Harrow Ford", "export.jsonl"), ("Quick rulings", "quick.jsonl")] {
        let summary = game.referee.choose(Some(battle)).await.unwrap();
        let mut out = Vec::new();
        game.referee.write_export(&summary, &mut out).await.unwrap();
        files.push((name, String::from_utf8(out).unwrap()));
        if name == "export.jsonl" {
            let mut out = Vec::new();
            game.referee.write_receipts(&summary, &mut out).await.unwrap();
            files.push(("receipts.jsonl", String::from_utf8(out).unwrap()));
        }
    }
    files
}

/// The program writes today, byte for byte, what it wrote when the corpus was made.
#[tokio::test]
async fn the_corpus_is_written_again_byte_for_byte() {
    let (_guard, record) = file("corpus.db");
    let game = play(&record).await;
    let files = written(&game).await;
    game.referee.close().await;
    if std::env::var_os("MAKE_CORPUS").is_some() {
        for (name, text) in &files {
            std::fs::write(corpus(name), text).unwrap();
        }
        std::fs::copy(&record, corpus("record.db")).unwrap();
        std::fs::write(corpus("rules.toml"), drumhead::rules::OPEN_FIELD).unwrap();
    }
    for (name, text) in files {
        assert!(text == kept(name), "{name} is written otherwise than protocol 1 writes it");
    }
}

/// Every request that can stand in an event of this protocol stands in the corpus.
#[tokio::test]
async fn the_corpus_holds_every_kind_of_request_and_answer() {
    let text = kept("export.jsonl") + &kept("quick.jsonl");
    for kind in [
        "\"open\"",
        "\"side\"",
        "\"muster\"",
        "\"change\"",
        "\"dismiss\"",
        "\"rescale\"",
        "\"melee\"",
        "\"again\"",
        "\"cast\"",
        "\"shoot\"",
        "\"rally\"",
        "\"duel\"",
        "\"attach\"",
        "\"detach\"",
        "\"lead\"",
        "\"harm\"",
        "\"nerve\"",
        "\"reinforce\"",
        "\"reinforced\"",
        "\"men_thrown\"",
        "\"quick\"",
        "\"throw\"",
        "\"turn\"",
        "\"word\"",
        "\"undo\"",
        "\"appoint\"",
        "\"relieve\"",
        "\"close\"",
        "\"reopen\"",
        "taken back",
        "\"next_anchor\"",
        "destroyed",
        "routs",
        "falls_back",
        "\"charge\"",
        "\"freed\"",
    ] {
        assert!(text.contains(kind), "nothing in the corpus has {kind}");
    }
}

#[test]
fn the_corpus_holds() {
    for name in ["export.jsonl", "quick.jsonl"] {
        let found = audit(&kept(name)).unwrap_or_else(|no| panic!("{name}: {no}"));
        assert!(found.rolls > 0);
    }
    let mut checker = drumhead::fair::check::Checker::new();
    for line in kept("receipts.jsonl").lines() {
        checker.check(&serde_json::from_str(line).unwrap()).unwrap();
    }
}

/// A record that an earlier release wrote is opened, read and gone on with, and still holds.
#[tokio::test]
async fn a_record_of_the_corpus_is_played_on() {
    let (_guard, record) = file("kept.db");
    std::fs::copy(corpus("record.db"), &record).unwrap();
    let game = Game::over(referee(&record).await);
    game.says("@on-1 reopen \"Harrow Ford\"").await;
    game.says("@on-2 turn").await;
    game.says("@on-3 melee \"Ford Wardens\" \"Grey Horse\"").await;
    game.says("@on-4 close").await;
    let export = game.export().await;
    let before = kept("export.jsonl");
    // All but the header and the end, which count the events.
    let events = before.lines().filter(|line| line.starts_with("{\"battle\""));
    assert!(events.clone().count() > 30);
    for event in events {
        assert!(export.contains(event), "an event is not there any more: {event}");
    }
    audit(&export).unwrap_or_else(|no| panic!("{no}"));
    game.referee.close().await;
}

/// The rules file of the corpus means what it meant, and one without the tables that came later is
/// loaded too.
#[test]
fn a_rules_file_of_the_corpus_is_loaded() {
    let rules = Rules::load("rules.toml", &kept("rules.toml")).unwrap();
    assert!(
        kept("export.jsonl").contains(&rules.sha256.to_string()),
        "the corpus was fought by it"
    );
}
