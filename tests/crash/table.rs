//! Kills at random points: what was answered is there, nothing is there twice.

use super::kills;
use crate::helper::{DRUMHEAD, Game, audit, file, store};
use drumhead::referee::{Referee, RulesLibrary};
use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::{Duration, Instant};

fn start(record: &Path) -> Child {
    Command::new(DRUMHEAD)
        .args(["table", "--record"])
        .arg(record)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Request number `n`: units come, fight and go, so that every line can be granted.
fn line(n: u64) -> String {
    let k = n / 5;
    let request = match n % 5 {
        0 => format!("muster A{k} --side Vale --class \"line foot\" --men 200"),
        1 => format!("muster B{k} --side Grey --class \"skirmishers\" --men 200"),
        2 => format!("melee A{k} B{k}"),
        3 => format!("dismiss A{k}"),
        _ => format!("dismiss B{k}"),
    };
    format!("@r{n} {request}\n")
}

/// Sends every line that is to come, until the program is gone.
fn feed(mut to: ChildStdin, from: u64) {
    for n in from.. {
        if to.write_all(line(n).as_bytes()).and_then(|()| to.flush()).is_err() {
            return;
        }
    }
}

/// When the program is killed: counted from its start, or from its first answer that is new.
#[derive(Clone, Copy)]
enum When {
    AfterStart(Duration),
    AfterAnswer(Duration),
}

/// Runs the program for a while, kills it, and returns the ids it answered.
///
/// The last three of the requests before `new` are asked again: they must give the same and throw
/// nothing.
fn run_and_kill(record: &Path, new: u64, when: When) -> BTreeSet<u64> {
    let mut child = start(record);
    let input = child.stdin.take().unwrap();
    let feeder = std::thread::spawn(move || feed(input, new.saturating_sub(3)));
    let output = BufReader::new(child.stdout.take().unwrap());
    let (first_answer, answers) = std::sync::mpsc::channel();
    let reader = std::thread::spawn(move || {
        let mut answered: BTreeSet<u64> = BTreeSet::new();
        let mut asked: Option<u64> = None;
        for line in output.lines().map_while(Result::ok) {
            match line.strip_prefix("> @r") {
                Some(rest) => asked = rest.split(' ').next().and_then(|n| n.parse().ok()),
                // Any word after the echo is the answer, and the answer comes after the commit.
                None if !line.is_empty() => {
                    answered.extend(asked);
                    if asked.is_some_and(|asked| asked >= new) {
                        // Nobody listens after the first, or where the start is what counts.
                        let _ = first_answer.send(());
                    }
                }
                None => {}
            }
        }
        answered
    });
    match when {
        When::AfterStart(time) => std::thread::sleep(time),
        When::AfterAnswer(time) => {
            // However slow the machine is: a program without an answer in a minute has failed.
            answers.recv_timeout(Duration::from_mins(1)).expect("an answer");
            std::thread::sleep(time);
        }
    }
    child.kill().unwrap();
    child.wait().unwrap();
    feeder.join().unwrap();
    reader.join().unwrap()
}

#[test]
fn kills_at_the_table_lose_nothing_and_double_nothing() {
    let kills = kills(40);
    let (_guard, record) = file("record.db");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let mut opening = start(&record);
    opening.stdin.take().unwrap().write_all(b"open X --scale 20\n").unwrap();
    assert!(opening.wait().unwrap().success());

    let begun = Instant::now();
    let mut answered = BTreeSet::new();
    for kill in 0..kills {
        let new = answered.iter().next_back().map_or(0, |last: &u64| last + 1);
        let time = Duration::from_micros(kill * 7_919 % 30_000);
        // Most kills fall into the work, spread over it; every fourth may fall into the start.
        let when = if kill % 4 == 3 { When::AfterStart(time) } else { When::AfterAnswer(time) };
        answered.extend(run_and_kill(&record, new, when));
    }
    assert!(answered.len() as u64 >= kills * 3 / 4, "only {} answers", answered.len());

    runtime.block_on(async {
        let kept = store::open(&record).await;
        let game = Game::over(Referee::new(kept, RulesLibrary::shipped()));
        let events = game.events().await;
        let melees = events.iter().filter(|event| event.event.receipt().is_some()).count();
        assert!(melees as u64 >= kills / 8, "only {melees} melees");
        let mut seen = BTreeSet::new();
        for event in &events {
            assert!(seen.insert(event.event.asked.to_string()), "twice: {}", event.event.asked);
        }
        for n in &answered {
            assert!(seen.contains(&format!("table:r{n}")), "answered and lost: r{n}");
        }
        let sound = audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
        assert_eq!(sound.events, events.len() as u64);
        store::open(&record).await.is_sound().await.expect("the file is sound");
        println!(
            "{kills} kills, {} answers, {} events, {:?}",
            answered.len(),
            events.len(),
            begun.elapsed()
        );
    });
}

/// Two real programs on one file: each request is granted or clearly refused, and nothing forks.
#[test]
fn two_programs_share_a_file_without_a_fork() {
    let (_guard, record) = file("record.db");
    let mut opening = start(&record);
    opening.stdin.take().unwrap().write_all(b"open X --scale 20\n").unwrap();
    assert!(opening.wait().unwrap().success());
    let programs: Vec<_> = ["one", "two"]
        .into_iter()
        .map(|name| {
            let record = record.clone();
            std::thread::spawn(move || {
                let mut granted = 0;
                for n in 0..15 {
                    let output = Command::new(DRUMHEAD)
                        .args(["table", "--record"])
                        .arg(&record)
                        .stdin(script(&format!("@{name}{n} turn\nturn\n")))
                        .output()
                        .unwrap();
                    let said = String::from_utf8(output.stdout).unwrap();
                    let refused = String::from_utf8(output.stderr).unwrap();
                    // What the other program has not marked as printed yet may come before.
                    let own = said.find("> @").map_or("", |at| &said[at..]);
                    granted += own.matches(" begins.").count();
                    let clear = refused.contains("The battle moved on while you asked");
                    assert!(output.status.success() || clear, "{refused}");
                }
                granted
            })
        })
        .collect();
    let granted: usize = programs.into_iter().map(|program| program.join().unwrap()).sum();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let kept = store::open(&record).await;
        let game = Game::over(Referee::new(kept, RulesLibrary::shipped()));
        assert_eq!(game.events().await.len(), 1 + granted, "each answer is one event");
        audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
    });
}

/// Standard input that says `text`.
fn script(text: &str) -> Stdio {
    let mut file = tempfile::tempfile().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    std::io::Seek::rewind(&mut file).unwrap();
    file.into()
}
