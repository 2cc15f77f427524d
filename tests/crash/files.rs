//! Commands that work on whole files, killed at any point: each leaves all or nothing under the
//! name it was asked for, and can be asked again.

use super::kills;
use crate::helper::{DRUMHEAD, audit, file, store};
use drumhead::protocol::{Place, RequestId};
use drumhead::referee::{Ask, Asker, Referee, RulesLibrary};
use drumhead::terminal::{Line, read_line};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

/// The two servers that have a battle.
const SERVERS: [u64; 2] = [7, 8];
/// Events of each battle.
const EVENTS: u64 = 400;

/// A command whose time is known, to be killed at moments spread over it.
struct Killed<'a> {
    folder: &'a Path,
    command: &'a [&'a str],
    takes: Duration,
}

impl<'a> Killed<'a> {
    /// Runs the command once, to know how long it takes.
    fn timed(folder: &'a Path, command: &'a [&'a str]) -> Self {
        let begun = Instant::now();
        let output = run(folder, command);
        assert!(output.status.success(), "{command:?}: {}", said(&output));
        Self { folder, command, takes: begun.elapsed() }
    }

    /// Kills it at moment `kill` of `kills`, none twice; whether it was still at work.
    fn kill(&self, kill: u64, kills: u64) -> bool {
        let mut child = Command::new(DRUMHEAD)
            .args(self.command)
            .current_dir(self.folder)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let part = u32::try_from(kill + 1).unwrap();
        std::thread::sleep(self.takes * part / u32::try_from(kills + 1).unwrap());
        let at_work = child.try_wait().unwrap().is_none();
        child.kill().unwrap();
        child.wait().unwrap();
        at_work
    }
}

fn run(folder: &Path, command: &[&str]) -> Output {
    Command::new(DRUMHEAD).args(command).current_dir(folder).stdin(Stdio::null()).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

/// A record with a battle of each server.
async fn two_battles(record: &Path) {
    let referee = Referee::new(store::open(record).await, RulesLibrary::shipped());
    for server in SERVERS {
        for n in 0..EVENTS {
            let line = match n {
                0 => format!("open \"Harrow {server}\" --scale 20"),
                n if n % 2 == 0 => "turn".to_owned(),
                _ => "throw 8d6".to_owned(),
            };
            let Ok(Line::Request(request, _)) = read_line(&line) else { panic!("{line}") };
            let place = Place::channel("discord", server, server);
            let asked = RequestId::new("chat", &format!("{server}-{n}")).unwrap();
            let ask = Ask { place, asked, asker: Asker::person(1), request };
            referee.ask(&ask).await.unwrap_or_else(|no| panic!("{line}: {no}"));
        }
    }
    referee.close().await;
}

/// Every battle of a record as exported, the file found to be sound and each battle to hold.
async fn exports(record: &Path) -> Vec<String> {
    let kept = store::open(record).await;
    kept.is_sound().await.expect("the file is sound");
    let battles = kept.battles(None).await.unwrap();
    let referee = Referee::new(kept, RulesLibrary::shipped());
    let mut exports = Vec::new();
    for head in battles {
        let mut export = Vec::new();
        referee.write_export(&head, &mut export).await.unwrap();
        let export = String::from_utf8(export).unwrap();
        audit(&export).unwrap_or_else(|no| panic!("{no}"));
        exports.push(export);
    }
    referee.close().await;
    exports.sort();
    exports
}

/// Takes a record away with whatever lies beside it.
fn remove(record: &Path) {
    for ending in ["", "-wal", "-shm", "-journal"] {
        let mut name = record.as_os_str().to_owned();
        name.push(ending);
        let _ = std::fs::remove_file(PathBuf::from(name));
    }
}

#[tokio::test]
async fn a_killed_import_took_the_whole_battle_or_nothing_of_it() {
    let (guard, record) = file("record.db");
    let folder = guard.path();
    two_battles(&record).await;
    let before = exports(&record).await;
    std::fs::write(folder.join("battle.jsonl"), &before[0]).unwrap();
    let command = ["import", "--record", "other.db", "battle.jsonl"];
    let other = folder.join("other.db");
    let import = Killed::timed(folder, &command);
    let kills = kills(10);
    for kill in 0..kills {
        remove(&other);
        import.kill(kill, kills);
        let again = run(folder, &command);
        let there = "This battle is in the record already";
        assert!(again.status.success() || said(&again).contains(there), "{}", said(&again));
        assert_eq!(exports(&other).await, before[..1]);
    }
}

#[tokio::test]
async fn a_killed_backup_leaves_a_whole_copy_or_none() {
    let (guard, record) = file("record.db");
    let folder = guard.path();
    two_battles(&record).await;
    let before = exports(&record).await;
    let command = ["backup", "record.db", "copy.db"];
    let copy = folder.join("copy.db");
    let backup = Killed::timed(folder, &command);
    let kills = kills(10);
    for kill in 0..kills {
        remove(&copy);
        backup.kill(kill, kills);
        if !copy.exists() {
            let again = run(folder, &command);
            assert!(again.status.success(), "{}", said(&again));
        }
        assert_eq!(exports(&copy).await, before);
    }
    assert_eq!(exports(&record).await, before);
}

#[tokio::test]
async fn a_killed_restore_leaves_a_whole_record_or_none() {
    let (guard, record) = file("record.db");
    let folder = guard.path();
    two_battles(&record).await;
    let before = exports(&record).await;
    assert!(run(folder, &["backup", "record.db", "copy.db"]).status.success());
    let command = ["restore", "copy.db", "back.db"];
    let back = folder.join("back.db");
    let restore = Killed::timed(folder, &command);
    let kills = kills(10);
    for kill in 0..kills {
        remove(&back);
        restore.kill(kill, kills);
        if !back.exists() {
            let again = run(folder, &command);
            assert!(again.status.success(), "{}", said(&again));
        }
        assert_eq!(exports(&back).await, before);
    }
}

#[tokio::test]
async fn a_killed_erasing_harms_no_other_server_and_can_be_asked_again() {
    let (guard, record) = file("record.db");
    let folder = guard.path();
    two_battles(&record).await;
    let before = exports(&record).await;
    let whole = folder.join("whole.db");
    assert!(run(folder, &["backup", "record.db", "whole.db"]).status.success());
    std::fs::write(folder.join("serve.toml"), "record = \"record.db\"\n").unwrap();
    let server = SERVERS[1].to_string();
    let command = ["erase", "--config", "serve.toml", "--server", &server];
    let erase = Killed::timed(folder, &command);
    let others = exports(&record).await;
    assert_eq!(others.len(), before.len() - 1);
    let kills = kills(10);
    for kill in 0..kills {
        remove(&record);
        std::fs::copy(&whole, &record).unwrap();
        erase.kill(kill, kills);
        let left = exports(&record).await;
        assert!(left == before || left == others, "all of the server's battles, or none");
        let again = run(folder, &command);
        assert!(again.status.success(), "{}", said(&again));
        assert_eq!(exports(&record).await, others);
    }
}
