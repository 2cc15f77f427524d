//! The referee's speed: a pure melee, a fold, durable melees. Run: cargo bench --bench referee

mod measure;

use drumhead::battle::Battle;
use drumhead::combat::{Dice, Melee};
use drumhead::digest::Digest;
use drumhead::fair::Faces;
use drumhead::protocol::{Place, Recorded, RequestId, ThrowPurpose};
use drumhead::record::Record;
use drumhead::referee::{Ask, Asker, Referee, RulesLibrary};
use drumhead::rules::{OPEN_FIELD, Rules};
use drumhead::terminal::{Line, read_line};
use std::hint::black_box;
use std::path::Path;

/// Melees in the battle that is folded; with musters and dismissals 10,000 events.
const EVENTS: usize = 10_000;

#[tokio::main]
async fn main() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    pure_melee().await;
    fold(&folder.path().join("fold.db")).await;
    durable(folder.path()).await;
}

async fn ask(referee: &Referee, id: &str, line: &str) -> Recorded {
    let Ok(Line::Request(request, _)) = read_line(line) else { panic!("{line}") };
    let asked = RequestId::new("bench", id).expect("an id");
    let ask = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
    referee.ask(&ask).await.unwrap_or_else(|no| panic!("{line}: {no}")).event
}

/// A referee with a battle in which A and B never tire: each melee's units are fresh.
async fn referee(record: Record, scale: u32) -> Referee {
    let referee = Referee::new(record, RulesLibrary::shipped());
    ask(&referee, "open", &format!("open X --scale {scale}")).await;
    referee
}

/// Faces from a public stream, as in a real roll.
struct Public(Faces);

impl Dice for Public {
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        let label = self.0.label(&what.label());
        self.0.throw(&label, dice, sides)
    }
}

async fn pure_melee() {
    let referee = referee(Record::throwaway().await.unwrap(), 1).await;
    for (name, side) in [("A", "Vale"), ("B", "Grey")] {
        let line = format!("muster {name} --side {side} --class \"line foot\" --men 60");
        ask(&referee, name, &line).await;
    }
    let battle = battle(&referee).await;
    let rules = Rules::load("open-field.toml", OPEN_FIELD).unwrap();
    let contacts = [drumhead::protocol::ContactAsk::new("A", "B")];
    let link = Digest::of(b"link");
    let statement = "a statement of about the usual length, with its lines\n".repeat(8);
    let fought = |times: u32| {
        for _ in 0..times {
            let mut dice = Public(Faces::new(&link, statement.as_bytes()));
            let bout = Melee::join(&rules, &battle.field, &contacts, 1).unwrap();
            black_box(bout.fight(&mut dice));
        }
    };
    measure::pair(
        "a melee of 60 figures a side at 1:1, pure",
        "its 124 faces alone",
        2_000,
        fought,
        |times| {
            for _ in 0..times {
                black_box(Faces::new(&link, statement.as_bytes()).throw("a", 124, 6));
            }
        },
    );
    measure::pair(
        "the same melee",
        "its four throws alone, each in a stream of its own",
        2_000,
        fought,
        |times| {
            for _ in 0..times {
                streams(&link, &statement);
            }
        },
    );
}

/// What the protocol takes by itself: the faces of the melee's throws, each in a stream of its own.
fn streams(link: &Digest, statement: &str) {
    let mut dice = Public(Faces::new(link, statement.as_bytes()));
    for (purpose, count, sides) in [
        (ThrowPurpose::Strike { by: "A", at: "B" }, 60, 20),
        (ThrowPurpose::Strike { by: "B", at: "A" }, 60, 20),
        (ThrowPurpose::Morale("A"), 2, 6),
        (ThrowPurpose::Morale("B"), 2, 6),
    ] {
        black_box(dice.throw(purpose, count, sides));
    }
}

async fn battle(referee: &Referee) -> Battle {
    let look = drumhead::referee::Look::Show { unit: None };
    match referee.look(&Place::table(), &look).await {
        Ok(drumhead::words::Shown::Battle(battle)) => *battle,
        other => panic!("{other:?}"),
    }
}

async fn fold(file: &Path) {
    let referee = referee(Record::open(file).await.unwrap(), 20).await;
    let mut n = 0;
    while battle(&referee).await.seq < EVENTS as u64 {
        for line in melee_lines(n) {
            ask(&referee, &format!("f{n}-{}", line.len()), &line).await;
        }
        n += 1;
    }
    let id = battle(&referee).await.id;
    let events = referee.events_after(&id, 0, 1_000_000).await.unwrap();
    let texts: Vec<String> = events.iter().map(|event| event.text.clone()).collect();
    measure::pair(
        &format!("folding a battle of {} events", events.len()),
        "reading the same events' JSON",
        1,
        |_| drop(black_box(Battle::fold(&events).unwrap())),
        |_| texts.iter().for_each(|text| drop(black_box(Recorded::read(text.clone()).unwrap()))),
    );
}

/// Two fresh units meet, and are dismissed.
fn melee_lines(n: usize) -> [String; 5] {
    [
        format!("muster A{n} --side Vale --class \"line foot\" --men 160"),
        format!("muster Bb{n} --side Grey --class \"skirmishers\" --men 200"),
        format!("melee A{n} Bb{n}"),
        format!("dismiss A{n}"),
        format!("dismiss Bb{n}"),
    ]
}

async fn durable(folder: &Path) {
    let referee = referee(Record::open(&folder.join("durable.db")).await.unwrap(), 1).await;
    for (name, side) in [("A", "Vale"), ("B", "Grey")] {
        let line = format!(
            "muster {name} --side {side} --class \"great beasts\" --men 1000 --frontage 1 --grade guard"
        );
        ask(&referee, name, &line).await;
    }
    let bare = bare(&folder.join("bare.db")).await;
    let (mut asked, mut committed) = (0_u32, 0_i64);
    let referee = &referee;
    let bare = &bare;
    let ratio = measure::pair_async(
        "a durable melee through the referee",
        "one row and one FULL commit through sqlx",
        100,
        |times| {
            asked += times;
            async move {
                for n in asked - times..asked {
                    melee(referee, n).await;
                }
            }
        },
        |times| {
            committed += i64::from(times);
            async move {
                for n in committed - i64::from(times)..committed {
                    sqlx::query("INSERT INTO rows (n, text) VALUES (?, 'a row')")
                        .bind(n)
                        .execute(bare)
                        .await
                        .unwrap();
                }
            }
        },
    )
    .await;
    println!("  durable melees against the bare rate: {:.3}", 1.0 / ratio);
}

/// One melee; its units stay so large that they stand nearly always, and are set up again if not.
async fn melee(referee: &Referee, n: u32) {
    let Ok(Line::Request(request, _)) = read_line("melee A B") else { panic!("a melee") };
    let asked = RequestId::new("bench", &format!("d{n}")).expect("an id");
    let ask_melee = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
    if referee.ask(&ask_melee).await.is_err() {
        for unit in ["A", "B"] {
            let line = format!("change {unit} --men 1000 --standing steady");
            let Ok(Line::Request(request, _)) = read_line(&line) else { panic!("a change") };
            let asked = RequestId::new("bench", &format!("again-{n}-{unit}")).expect("an id");
            let again = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
            drop(referee.ask(&again).await);
        }
        referee.ask(&ask_melee).await.unwrap();
    }
}

async fn bare(file: &Path) -> sqlx::SqlitePool {
    use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
    let options = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full);
    let pool = sqlx::SqlitePool::connect_with(options).await.unwrap();
    sqlx::query("CREATE TABLE rows (n INTEGER PRIMARY KEY, text TEXT)")
        .execute(&pool)
        .await
        .unwrap();
    pool
}
