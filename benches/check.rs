//! The speed of checking a battle at full depth. Run: cargo bench --bench check

mod measure;

use drumhead::digest::Digest;
use drumhead::fair::Faces;
use drumhead::protocol::{Place, Recorded, RequestId};
use drumhead::record::Record;
use drumhead::referee::audit::Audit;
use drumhead::referee::{Ask, Asker, Referee, RulesLibrary};
use drumhead::terminal::{Line, read_line};
use std::hint::black_box;

/// Rolls of the battle that is checked.
const ROLLS: u32 = 10_000;

#[tokio::main]
async fn main() {
    let referee = Referee::new(Record::throwaway().await.unwrap(), RulesLibrary::shipped());
    let text = battle(&referee).await;
    let lines: Vec<&str> = text.lines().collect();
    let events: Vec<Recorded> = lines[2..lines.len() - 1]
        .iter()
        .map(|line| Recorded::read((*line).to_owned()).unwrap())
        .collect();
    println!("a battle of {ROLLS} rolls, {} events, {} MB", events.len(), text.len() / 1_000_000);
    let before = resident();
    check(&lines);
    println!("  memory grew by {} KiB while it was checked", resident().saturating_sub(before));
    let mut took = std::time::Duration::ZERO;
    measure::pair(
        "checking it at full depth",
        "its bare SHA-256 and HMAC calls",
        1,
        |_| {
            let begun = std::time::Instant::now();
            check(&lines);
            took = begun.elapsed();
        },
        |_| bare(&lines, &events),
    );
    println!("  {:.0} rulings a second", f64::from(ROLLS) / took.as_secs_f64());
}

fn check(lines: &[&str]) {
    let mut audit = Audit::new();
    for line in lines {
        drop(black_box(audit.line(&[line.as_bytes(), b"\n"].concat()).unwrap()));
    }
    black_box(audit.finish().unwrap());
}

/// What no checker can do without: every event's hash, every link's, every face's blocks.
fn bare(lines: &[&str], events: &[Recorded]) {
    for line in lines {
        black_box(Digest::of(line.as_bytes()));
    }
    for receipt in events.iter().filter_map(|event| event.event.receipt()) {
        black_box(Digest::of(receipt.link.bytes()));
        let faces = Faces::new(&receipt.link, receipt.statement.as_bytes());
        for throw in &receipt.throws {
            black_box(faces.throw(
                &throw.purpose,
                u32::try_from(throw.faces.len()).unwrap(),
                throw.sides,
            ));
        }
    }
}

/// Melees between two units that are set up again whenever one of them does not stand.
async fn battle(referee: &Referee) -> String {
    say(referee, "open", "open X --scale 20").await;
    say(referee, "a", "muster A --side Vale --class \"line foot\" --men 400 --grade guard").await;
    say(referee, "b", "muster B --side Grey --class \"line foot\" --men 400 --grade guard").await;
    let mut n = 0;
    let mut rolls = 0;
    while rolls < ROLLS {
        n += 1;
        if say(referee, &format!("m{n}"), "melee A B").await {
            rolls += 1;
            continue;
        }
        for unit in ["A", "B"] {
            let line = format!("change {unit} --men 400 --standing steady");
            say(referee, &format!("{unit}{n}"), &line).await;
        }
    }
    let head = referee.choose(None).await.unwrap();
    let mut out = Vec::new();
    referee.write_export(&head, &mut out).await.unwrap();
    String::from_utf8(out).unwrap()
}

/// Asks a line; false if it was refused.
async fn say(referee: &Referee, id: &str, line: &str) -> bool {
    let Ok(Line::Request(request, _)) = read_line(line) else { panic!("{line}") };
    let asked = RequestId::new("bench", id).expect("an id");
    let ask = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
    referee.ask(&ask).await.is_ok()
}

/// Resident memory in KiB, where the system tells.
fn resident() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok()).unwrap_or(0)
}
