//! Kills at random points: what was answered is there, nothing is there twice.

use crate::helper::{DRUMHEAD, Game, audit, file};
use drumhead::record::Record;
use drumhead::referee::{Referee, Shelf};
use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::{Duration, Instant};

/// How often the program is killed.
const KILLS: u64 = 100;

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
    let k = n / 4;
    let request = match n % 4 {
        0 => format!("muster A{k} --side Vale --class \"heavy foot\" --men 200"),
        1 => format!("muster B{k} --side Grey --class \"light foot\" --men 200"),
        2 => format!("melee A{k} B{k}"),
        _ => format!("dismiss A{}", k.saturating_sub(1)),
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

/// Runs the program from request `from` for a while, kills it, and returns the ids it answered.
fn run_and_kill(record: &Path, from: u64, after: Duration) -> BTreeSet<u64> {
    let mut child = start(record);
    let input = child.stdin.take().unwrap();
    let feeder = std::thread::spawn(move || feed(input, from));
    let output = BufReader::new(child.stdout.take().unwrap());
    let reader = std::thread::spawn(move || {
        let mut answered = BTreeSet::new();
        let mut asked: Option<u64> = None;
        for line in output.lines().map_while(Result::ok) {
            match line.strip_prefix("> @r") {
                Some(rest) => asked = rest.split(' ').next().and_then(|n| n.parse().ok()),
                // Any word after the echo is the answer, and the answer comes after the commit.
                None if !line.is_empty() => answered.extend(asked),
                None => {}
            }
        }
        answered
    });
    std::thread::sleep(after);
    child.kill().unwrap();
    child.wait().unwrap();
    feeder.join().unwrap();
    reader.join().unwrap()
}

#[test]
fn a_hundred_kills_lose_nothing_and_double_nothing() {
    let (_guard, record) = file("record.db");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let mut opening = start(&record);
    opening.stdin.take().unwrap().write_all(b"open X --scale 20\n").unwrap();
    assert!(opening.wait().unwrap().success());

    // A kill must come after the program has begun to answer, and at points spread over its work.
    let begun = Instant::now();
    let first = run_and_kill(&record, 0, Duration::from_millis(500));
    assert!(!first.is_empty(), "half a second brought no answer");
    let mut answered = first;
    let mut bore_fruit = 1;
    for kill in 1..KILLS {
        // Lines already answered are asked again: they must give the same and throw nothing.
        let from = answered.iter().next_back().map_or(0, |last| last.saturating_sub(3));
        let after = Duration::from_micros(8_000 + kill * 7_919 % 37_000);
        let now = run_and_kill(&record, from, after);
        bore_fruit += u64::from(!now.is_empty());
        answered.extend(now);
    }
    assert!(bore_fruit > KILLS / 4, "only {bore_fruit} of {KILLS} runs answered anything");

    runtime.block_on(async {
        let kept = Record::open(&record).await.unwrap();
        let game = Game::over(Referee::new(kept, Shelf::shipped()));
        let events = game.events().await;
        let mut seen = BTreeSet::new();
        for event in &events {
            assert!(seen.insert(event.event.asked.clone()), "twice: {}", event.event.asked);
        }
        for n in &answered {
            assert!(seen.contains(&format!("table:r{n}")), "answered and lost: r{n}");
        }
        let sound = audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
        assert_eq!(sound.events, events.len() as u64);
        let url = format!("sqlite:{}", record.display());
        let sql = sqlx::SqlitePool::connect(&url).await.unwrap();
        let verdict: String =
            sqlx::query_scalar("PRAGMA integrity_check").fetch_one(&sql).await.unwrap();
        assert_eq!(verdict, "ok");
        println!(
            "{KILLS} kills, {} answers, {} events, {:?}",
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
        let kept = Record::open(&record).await.unwrap();
        let game = Game::over(Referee::new(kept, Shelf::shipped()));
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
