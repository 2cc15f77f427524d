//! The record: nothing answered is lost, nothing is answered twice.

mod copies;
mod erasing;
mod imports;
mod kept;

use crate::helper::{DRUMHEAD, Game, audit, file, store};
use drumhead::battle::Battle;
use drumhead::record::Record;
use drumhead::referee::{Referee, Refusal, RulesLibrary};
use std::path::Path;
use std::process::{Command, Stdio};

async fn game_on(file: &Path) -> Game {
    Game::over(Referee::new(store::open(file).await, RulesLibrary::shipped()))
}

async fn set_up(game: &Game) {
    for (id, line) in [
        ("open", "open X --scale 1"),
        ("a", "muster A --side Vale --class \"line foot\" --men 500 --grade guard"),
        ("b", "muster B --side Grey --class \"line foot\" --men 500 --grade guard"),
    ] {
        game.asks(id, line).await.unwrap();
    }
}

#[tokio::test]
async fn asking_again_gives_the_same_ruling_and_throws_nothing() {
    let game = Game::at_the_ford().await;
    let line = "melee \"Ford Wardens\" \"Banner Foot\"";
    let first = game.asks("m", line).await.unwrap();
    let second = game.asks("m", line).await.unwrap();
    assert_eq!(first.event, second.event);
    assert_eq!((first.again, second.again), (false, true));
    assert_eq!(game.battle().await.rolls, 1);
    let other = game.asks("m", "turn").await.unwrap_err().to_string();
    assert_eq!(
        other,
        "The id table:m belongs to an earlier request that asked something else. Use a new id."
    );
}

#[tokio::test]
async fn a_battle_goes_on_after_the_program_ends() {
    let (_guard, file) = file("record.db");
    let before = {
        let game = game_on(&file).await;
        set_up(&game).await;
        game.asks("m", "melee A B").await.unwrap();
        game.referee.close().await;
        game.asks("n", "turn").await.unwrap_err();
        game_on(&file).await.battle().await
    };
    let game = game_on(&file).await;
    assert_eq!(game.battle().await.field, before.field);
    let again = game.asks("m", "melee A B").await.unwrap();
    assert!(again.again, "the ruling is still there");
    game.asks("m2", "throw 3d6").await.unwrap();
    assert_eq!(game.battle().await.rolls, 2);
    assert!(audit(&game.export().await).is_ok());
}

#[tokio::test]
async fn a_chain_that_is_used_up_is_followed_by_the_one_it_announced() {
    let (_guard, file) = file("record.db");
    let record = store::open(&file).await;
    let game = Game::over(Referee::new(record, RulesLibrary::shipped()).with_chain_length(3));
    set_up(&game).await;
    for n in 0..8 {
        game.asks(&format!("m{n}"), "throw 3d6").await.unwrap();
    }
    let rolls = game.battle().await.rolls;
    assert_eq!(rolls, 8);
    let anchors: std::collections::BTreeSet<String> = game
        .events()
        .await
        .iter()
        .filter_map(|event| event.event.receipt().map(|receipt| receipt.anchor.to_string()))
        .collect();
    assert_eq!(anchors.len(), 3, "3 + 3 + 2 rolls need three chains");
    let last_of_chain = game.says("proof 3").await;
    assert!(
        last_of_chain.contains("This chain of rolls is used up. Anchor of the next:"),
        "{last_of_chain}"
    );
    let sound = audit(&game.export().await).expect("the battle holds across chains");
    assert_eq!(sound.rolls, 8);
    assert_eq!(game_on(&file).await.battle().await.rolls, 8, "it loads in the middle of a chain");
}

/// Two programs on one file: each roll is thrown once, and no battle forks.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_programs_on_one_file_never_fork_a_battle() {
    let (_guard, file) = file("record.db");
    let (one, two) = (game_on(&file).await, game_on(&file).await);
    set_up(&one).await;
    let race = |game: Game, name: &'static str| async move {
        let mut overtaken = 0;
        for n in 0..40 {
            match game.asks(&format!("{name}{n}"), "turn").await {
                Ok(_) => {}
                Err(Refusal::Overtaken) => overtaken += 1,
                Err(other) => panic!("{other}"),
            }
        }
        (game, overtaken)
    };
    let one = tokio::spawn(race(one, "one"));
    let two = tokio::spawn(race(two, "two"));
    let ((one, lost_one), (two, lost_two)) = (one.await.unwrap(), two.await.unwrap());
    let events = one.events().await;
    assert_eq!(events.len(), 3 + 80 - lost_one - lost_two);
    let battle = Battle::fold(&events).expect("one unbroken record");
    assert_eq!(battle.field.turn as usize, 1 + 80 - lost_one - lost_two);
    assert_eq!(two.battle().await.head, battle.head);
    assert_eq!(
        Refusal::Overtaken.to_string(),
        "The battle moved on while you asked, so nothing was thrown and nothing has changed. Ask \
         again, once you have looked: show"
    );
}

/// What one program wrote, the other sees at its next request: no race, no error.
#[tokio::test]
async fn two_programs_take_turns_without_a_hitch() {
    let (_guard, file) = file("record.db");
    let (one, two) = (game_on(&file).await, game_on(&file).await);
    set_up(&one).await;
    for n in 0..5 {
        one.asks(&format!("one{n}"), "turn").await.unwrap();
        two.asks(&format!("two{n}"), "turn").await.unwrap();
    }
    assert_eq!(one.battle().await.field.turn, 11);
}

#[tokio::test]
async fn a_full_disk_refuses_and_loses_nothing() {
    let (_guard, file) = file("record.db");
    let game = game_on(&file).await;
    set_up(&game).await;
    game.referee.close().await;
    let capped = Record::open_capped(&file, Some(60)).await.unwrap();
    let game = Game::over(Referee::new(capped, RulesLibrary::shipped()));
    let mut answered = 0;
    let refusal = loop {
        match game.asks(&format!("m{answered}"), "turn").await {
            Ok(_) => answered += 1,
            Err(refusal) => break refusal,
        }
        assert!(answered < 10_000, "the cap was never reached");
    };
    assert_eq!(
        refusal.to_string(),
        "The disk is full, so nothing has changed. Make room, then ask again."
    );
    assert_eq!(game.battle().await.field.turn, 1 + answered);
    game.referee.close().await;
    let roomy = game_on(&file).await;
    assert_eq!(roomy.battle().await.field.turn, 1 + answered, "what was answered is there");
    roomy.asks(&format!("m{answered}"), "turn").await.expect("with room it goes on");
    assert!(audit(&roomy.export().await).is_ok());
}

/// Loading one battle reads no other: the others' events are spoiled, and nobody notices.
#[tokio::test]
async fn loading_one_battle_does_not_read_the_others() {
    let (_guard, file) = file("record.db");
    let game = game_on(&file).await;
    set_up(&game).await;
    game.asks("close", "close").await.unwrap();
    game.asks("open2", "open Y --scale 10").await.unwrap();
    game.referee.close().await;
    let spoil = "UPDATE events SET text = 'spoiled' \
        WHERE battle = (SELECT id FROM battles WHERE NOT is_open)";
    assert_eq!(store::tamper(&file, spoil).await, 4);
    let game = game_on(&file).await;
    assert_eq!(game.battle().await.name, "Y");
    game.asks("turn", "turn").await.unwrap();
    game.asks("x", "close").await.unwrap();
    let spoiled = game.asks("re", "reopen X").await.unwrap_err();
    assert!(matches!(spoiled, Refusal::Fault(_)), "{spoiled}");
}

#[tokio::test]
async fn a_record_of_a_later_release_is_left_alone() {
    let (folder, file) = file("record.db");
    game_on(&file).await.referee.close().await;
    let later = "INSERT INTO migrations (number, sha256) VALUES (9999, 'later')";
    assert_eq!(store::tamper(&file, later).await, 1);
    let before = std::fs::read(&file).unwrap();
    let sentence = format!(
        "The record {} cannot be used: it was written by a newer drumhead. Use that release or a \
         later one.",
        file.display()
    );
    assert_eq!(Record::open(&file).await.unwrap_err().to_string(), sentence);
    let name = file.to_str().unwrap();
    let config = folder.path().join("drumhead.toml");
    let keys = format!("record = \"{name}\"\n[platform]\nrest = \"http://127.0.0.1:9\"\n");
    std::fs::write(&config, keys).unwrap();
    for command in [
        &["table", "--record", name][..],
        &["export", "--record", name],
        &["receipts", "--record", name],
        &["report", "--record", name],
        &["import", "--record", name],
        &["demo", "--record", name],
        &["backup", name, "copy.db"],
        &["restore", name, "back.db"],
        &["serve", "--config", "drumhead.toml"],
        &["erase", "--config", "drumhead.toml", "--server", "7"],
    ] {
        let asked = Command::new(DRUMHEAD)
            .args(command)
            .env("DRUMHEAD_TOKEN", "MTIz.NDU2.Nzg5")
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let said = String::from_utf8(asked.stderr).unwrap();
        // The bot has begun to look for its platform meanwhile, and traces that.
        let last = said.lines().last().unwrap_or_default();
        assert_eq!((last, asked.status.code()), (sentence.as_str(), Some(1)), "{command:?}");
    }
    assert_eq!(std::fs::read(&file).unwrap(), before);
    std::fs::remove_file(config).unwrap();
    let names: Vec<_> =
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names, ["record.db"], "nothing was begun beside it");
}

/// Whoever asks again under the same id gets the same answer, in another battle too; a ruling taken
/// back says so.
#[tokio::test]
async fn an_id_is_answered_once_at_its_place() {
    let game = Game::over(Referee::new(store::fresh().await, RulesLibrary::shipped()));
    for line in [
        "open \"Harrow Ford\" --scale 20",
        "muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160",
        "muster \"Banner Foot\" --side \"Grey Banner\" --class \"line foot\" --men 200",
    ] {
        game.says(line).await;
    }
    let line = "melee \"Ford Wardens\" \"Banner Foot\"";
    let first = game.asks("m", line).await.unwrap();
    game.says("undo \"a slip\"").await;
    let again = game.asks("m", line).await.unwrap();
    assert!(again.again && again.taken_back);
    assert_eq!(again.event, first.event);
    game.says("close").await;
    for line in [
        "open Other --scale 20",
        "muster \"Ford Wardens\" --side Vale --class levy --men 100",
        "muster \"Banner Foot\" --side Grey --class levy --men 100",
    ] {
        game.says(line).await;
    }
    let other = game.asks("m", line).await.unwrap();
    assert!(other.again, "it is answered from the closed battle");
    assert_eq!(other.event, first.event);
    assert_eq!(game.battle().await.rolls, 0, "and not thrown in this one");
}

/// Files that are no records are refused in plain words, and are not touched.
#[tokio::test]
async fn what_is_no_record_is_left_alone() {
    let (guard, file) = file("other.db");
    std::fs::write(&file, []).unwrap();
    store::tamper(&file, "CREATE TABLE foo (a)").await;
    let before = std::fs::read(&file).unwrap();
    let refused = |path: std::path::PathBuf| async move {
        let error = Record::open(&path).await.unwrap_err().to_string();
        error.replace(&path.display().to_string(), "FILE")
    };
    assert_eq!(
        refused(file.clone()).await,
        "The record FILE cannot be used: it is not a record of drumhead. Name another file."
    );
    let reading = Record::open_to_read(&file).await.unwrap_err().to_string();
    assert!(reading.ends_with("it is not a record of drumhead. Name another file."), "{reading}");
    assert_eq!(std::fs::read(&file).unwrap(), before, "not a byte of it has changed");
    let beside = std::fs::read_dir(guard.path()).unwrap().count();
    assert_eq!(beside, 1, "nothing was written beside it");
    assert_eq!(
        refused(guard.path().to_owned()).await,
        "The record FILE cannot be used: it cannot be opened as a file. Check its name, and \
         that its folder exists."
    );
    let text = guard.path().join("letter.txt");
    std::fs::write(&text, "dear referee, ".repeat(100)).unwrap();
    assert_eq!(
        refused(text).await,
        "The record FILE cannot be used: it is not a sound database. Bring back a copy that is, or \
         name another file."
    );
}

/// A pipe is refused at once, where opening it would wait for ever for somebody at its other end.
#[tokio::test]
async fn a_pipe_is_no_record() {
    let (guard, _) = file("record.db");
    let pipe = guard.path().join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let name = pipe.to_str().unwrap();
    for command in [
        &["table", "--record", name][..],
        &["export", "--record", name],
        &["backup", name, "copy.db"],
        &["restore", name, "back.db"],
    ] {
        let mut asked = Command::new(DRUMHEAD)
            .args(command)
            .current_dir(guard.path())
            .stdin(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let begun = std::time::Instant::now();
        while asked.try_wait().unwrap().is_none() {
            if begun.elapsed().as_secs() > 20 {
                asked.kill().unwrap();
                panic!("{command:?} waits");
            }
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
        let said = String::from_utf8(asked.wait_with_output().unwrap().stderr).unwrap();
        assert_eq!(
            said,
            format!(
                "The record {name} cannot be used: it is a device, a pipe or the like. Name a \
                 file.\n"
            ),
            "{command:?}"
        );
    }
}

/// An export that comes slowly holds nobody up: the record is written to once all of it is there.
#[tokio::test]
async fn a_slow_import_holds_nobody_up() {
    use std::io::Write as _;
    let (guard, file) = file("record.db");
    let game = game_on(&guard.path().join("other.db")).await;
    set_up(&game).await;
    for n in 0..600 {
        game.asks(&format!("turn-{n}"), "turn").await.unwrap();
    }
    let export = game.export().await;
    let (first, last) = export.split_at(export.trim_end().rfind('\n').unwrap() + 1);
    // More than a pipe holds, so that much of it has been read once it is written.
    assert!(first.len() > 2 * 65_536, "{} bytes", first.len());
    let here = game_on(&file).await;
    here.asks("open", "open Y --scale 20").await.unwrap();
    let mut import = Command::new(DRUMHEAD)
        .args(["import", "--record"])
        .arg(&file)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = import.stdin.take().unwrap();
    pipe.write_all(first.as_bytes()).unwrap();
    let begun = std::time::Instant::now();
    here.asks("turn", "turn").await.expect("it is answered while the import waits");
    assert!(begun.elapsed().as_secs() < 3, "{:?}", begun.elapsed());
    pipe.write_all(last.as_bytes()).unwrap();
    drop(pipe);
    let done = import.wait_with_output().unwrap();
    assert!(done.status.success());
    let said = String::from_utf8(done.stdout).unwrap();
    assert!(said.starts_with("X is in the record: 603 events, 0 rolls."), "{said}");
    let battles = here.referee.all_battles().await.unwrap();
    let imported = battles.iter().find(|head| head.name == "X").expect("it is there");
    let mut again = Vec::new();
    here.referee.write_export(imported, &mut again).await.unwrap();
    assert_eq!(String::from_utf8(again).unwrap(), export, "and just as it was");
}
