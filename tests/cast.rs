//! The cast against those who would cheat with it: an operator who holds the secret of the dice and
//! tries whatever the program lets them choose, and a caster who stalls.
//!
//! What the dice must be is worked out here from the announcement, the link and the cast alone, by
//! the text of docs/checking.md.

use crate::helper::{Game, audit, file, store};
use drumhead::digest::Digest;
use drumhead::fair::{Chain, Faces, Receipt};
use drumhead::protocol::{Body, Place, Recorded, RequestId, Who};
use drumhead::referee::{Answer, Ask, Asker, Referee, Refusal, RulesLibrary};
use drumhead::requests::{self, Asked};
use drumhead::rules::OPEN_FIELD;
use drumhead::terminal::{Line, read_line};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Whoever opened the battle and runs the program.
const OPERATOR: Asker = Asker::person(9);
/// The captains of the two sides, and somebody without an office.
const VALE: Asker = Asker::person(1);
const GREY: Asker = Asker::person(2);
const NOBODY: Asker = Asker::person(3);

const MELEE: &str = "melee \"Ford Wardens\" \"Banner Spears\"";
const TEXT: &str = "red reeds, cold hands";

/// A battle in which the Vale has announced a melee against the Grey Banner.
struct Announced {
    folder: tempfile::TempDir,
    game: Game,
    announcement: Recorded,
    /// What the operator knows and nobody else does.
    chain: Chain,
}

impl Announced {
    /// After so many rolls of a chain of four links.
    async fn after(rolls: u32) -> Self {
        let (folder, file) = file("record.db");
        let referee = Referee::new(store::open(&file).await, RulesLibrary::shipped());
        let game = Game::over(referee.with_chain_length(4));
        for (n, line) in [
            "open \"Harrow Ford\" --scale 20 --side Vale --side \"Grey Banner\" --casts",
            "muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160 --leader Ida",
            "muster \"Banner Spears\" --side \"Grey Banner\" --class \"line foot\" --men 200",
            "muster Bows --side Vale --class levy --men 120 --weapon bows",
            "appoint person-1 --side Vale",
            "appoint person-2 --side \"Grey Banner\"",
            "change Bows --standing shaken",
        ]
        .into_iter()
        .enumerate()
        {
            asks(&game, &OPERATOR, &format!("setup-{n}"), line).await.unwrap();
        }
        asks(&game, &GREY, "word", "word Orm \"grey cloth\"").await.unwrap();
        for n in 0..rolls {
            asks(&game, &NOBODY, &format!("throw-{n}"), "throw 2d6").await.unwrap();
        }
        let announcement = asks(&game, &VALE, "announced", MELEE).await.unwrap().event;
        assert!(matches!(announcement.event.body, Body::Announced { .. }));
        let battle = game.battle().await;
        let record = store::open(&file).await;
        let chain = record.chain(&battle.id, battle.chain.anchor).await.unwrap();
        record.close().await;
        Self { folder, game, announcement, chain: chain.unwrap() }
    }

    /// The same battle once more, in a program of its own over a copy of the record.
    async fn branch(&self, name: &str, library: RulesLibrary) -> Game {
        let file: PathBuf = self.folder.path().join(name);
        self.game.referee.back_up(&file).await.unwrap();
        Game::over(Referee::new(store::open(&file).await, library))
    }

    fn roll(&self, battle: &drumhead::battle::Battle) -> (u32, Digest) {
        let roll = battle.rolls + 1;
        (roll, self.chain.link(roll - battle.chain.before).unwrap())
    }

    /// The statement, but for the cast, as anybody can write it down once the roll is announced.
    fn statement(&self, battle: &drumhead::battle::Battle, end: impl Fn(&str) -> String) -> String {
        let (roll, _) = self.roll(battle);
        let last = roll - battle.chain.before == 4;
        let next = if last { format!("next {}\n", battle.chain.next) } else { String::new() };
        let begin = format!(
            "drumhead roll 1\nbattle {}\nanchor {}\nroll {roll}\nasked table:announced\nword Orm: grey cloth\n{next}rules open-field {}\nrecord {}\n",
            battle.id,
            battle.chain.anchor,
            Digest::of(OPEN_FIELD.as_bytes()),
            self.announcement.hash,
        );
        begin + &end(&format!("request {MELEE}\n"))
    }

    fn with_cast(&self, battle: &drumhead::battle::Battle, text: &str) -> String {
        self.statement(battle, |request| format!("cast {text}\n{request}"))
    }
}

/// Asks a line of the table as somebody.
async fn asks(game: &Game, who: &Asker, id: &str, line: &str) -> Result<Answer, Refusal> {
    let Ok(Line::Request(request, _)) = read_line(line) else { panic!("no request: {line}") };
    let asked = RequestId::new("table", id).unwrap();
    let ask = Ask { place: Place::table(), asked, asker: who.clone(), request };
    game.referee.ask(&ask).await
}

fn receipt(event: &Recorded) -> Receipt {
    event.event.receipt().expect("it threw").clone()
}

/// The faces that a link and a statement give under a receipt's labels.
fn faces(link: Digest, statement: &str, like: &Receipt) -> Vec<Vec<u32>> {
    let drawn = Faces::new(&link, statement.as_bytes());
    let dice = |faces: &Vec<u32>| u32::try_from(faces.len()).unwrap();
    like.throws.iter().map(|t| drawn.throw(&t.purpose, dice(&t.faces), t.sides)).collect()
}

/// What could be asked while the roll waits, at least one line for each request that the table
/// takes; none of it may come between the announcement and the cast.
const BETWEEN: &[&str] = &[
    "open \"Harrow Mill\" --scale 10",
    "reopen \"Harrow Ford\"",
    "side \"Free Riders\"",
    "muster Late --side Vale --class levy --men 40",
    "change \"Ford Wardens\" --men 800",
    "change \"Ford Wardens\" --rename \"Vale Wardens\"",
    "dismiss Bows",
    "attach Ida Bows",
    "detach \"Ford Wardens\"",
    "lead \"Ford Wardens\" back",
    "rescale 1",
    "part Bows --why dusk",
    "condition fog",
    "lift fog",
    "melee \"Ford Wardens\" \"Banner Spears\"",
    "melee \"Ford Wardens\" \"Banner Spears\" --higher ours",
    "again",
    "shoot Bows \"Banner Spears\"",
    "rally Bows",
    "duel Ida Orm --meet",
    "harm \"Banner Spears\" --men 3d6 --why \"a ball of fire\"",
    "harm Bows --figures 1 --why \"the bank slides\"",
    "nerve \"Banner Spears\" --why dusk",
    "reinforce \"Ford Wardens\" --men 40 --why \"the late company\"",
    "turn",
    "word Ida \"high water\"",
    "word Orm \"other cloth\"",
    "appoint person-2 --side \"Grey Banner\"",
    "relieve person-1 --side \"Grey Banner\"",
    "cast reeds",
    "ruling \"8 line foot\" \"3 levy\"",
    "throw 3d6",
];
/// What takes the roll back, which spends it.
const TAKES_BACK: [&str; 5] = [
    "undo \"thought better of it\"",
    "close",
    "appoint person-4 --side Vale",
    "appoint person-4",
    "relieve person-2 --side \"Grey Banner\"",
];

#[test]
fn every_request_of_the_table_is_tried_by_the_operator() {
    let tried: BTreeSet<&str> =
        BETWEEN.iter().chain(&TAKES_BACK).filter_map(|line| line.split(' ').next()).collect();
    for spec in requests::all().iter().filter(|spec| spec.fronts.table()) {
        let example = spec.examples.first().copied().unwrap_or(spec.name);
        let asks = matches!(read_line(example), Ok(Line::Request(..)));
        assert!(!asks || tried.contains(spec.name), "{} is not tried", spec.name);
    }
    let throws = requests::find("throw").unwrap();
    let read = throws.read(&requests::Values::new().and("dice", "3d6"));
    assert!(matches!(read, Ok(Asked::Request(_))), "what asks is told from what looks");
}

/// Whoever holds the secret knows what each text would throw, and can choose nothing once the roll
/// is announced: whatever they try, the dice are those of announcement, link and cast, also with a
/// chain's last link.
#[tokio::test]
async fn the_operator_cannot_change_a_cast_roll() {
    for rolls in [0, 3] {
        let there = Announced::after(rolls).await;
        let before = there.game.battle().await;
        let (roll, link) = there.roll(&before);
        for (n, line) in BETWEEN.iter().enumerate() {
            for (who, asker) in [&OPERATOR, &VALE, &GREY, &NOBODY].into_iter().enumerate() {
                let answer = asks(&there.game, asker, &format!("try-{n}-{who}"), line).await;
                let elsewhere =
                    answer.as_ref().is_ok_and(|answer| answer.event.event.battle != before.id);
                assert!(answer.is_err() || elsewhere, "“{line}” came between: {answer:?}");
                let now = there.game.battle().await;
                assert_eq!((now.head, now.rolls), (before.head, before.rolls), "{line}");
            }
        }
        let statement = there.with_cast(&before, TEXT);
        let cast = asks(&there.game, &GREY, "the-cast", &format!("cast \"{TEXT}\"")).await;
        let thrown = receipt(&cast.unwrap().event);
        assert_eq!((thrown.roll, thrown.link), (roll, link));
        assert_eq!(thrown.statement, statement, "anybody could write it down beforehand");
        let expected = faces(link, &statement, &thrown);
        assert!(thrown.throws.iter().map(|throw| &throw.faces).eq(&expected));
        audit(&there.game.export().await).unwrap();
    }
}

/// The ways in which a cast reaches the program are the operator's to choose too.
#[tokio::test]
async fn neither_id_nor_program_nor_another_rules_file_nor_the_next_secret_changes_the_dice() {
    // A library that has another file under the name of the battle's rules.
    let altered = || {
        let mut library = RulesLibrary::shipped();
        let other = OPEN_FIELD.replacen("sides = 6", "sides = 8", 1);
        assert_ne!(other, OPEN_FIELD);
        library.add("open-field.toml", &other).unwrap();
        library
    };
    for rolls in [0, 3] {
        let there = Announced::after(rolls).await;
        let battle = there.game.battle().await;
        let statement = there.with_cast(&battle, TEXT);
        let mut thrown = Vec::new();
        for (name, id) in [("a.db", "c-1"), ("b.db", "another-id"), ("c.db", "c-1")] {
            // The program was stopped and started in between, and draws another secret, which is
            // the next chain's but one where the roll takes a chain's last link.
            let game = there.branch(name, altered()).await;
            let cast = asks(&game, &GREY, id, &format!("cast \"{TEXT}\"")).await.unwrap();
            thrown.push(receipt(&cast.event));
            // A cast that seems lost is made again, and gives the same.
            let again = asks(&game, &GREY, id, &format!("cast \"{TEXT}\"")).await.unwrap();
            assert!(again.again && again.event == cast.event);
        }
        assert!(thrown.iter().all(|one| one.statement == statement && *one == thrown[0]));
        // Another text gives other dice: it is the caster who decides them.
        let game = there.branch("d.db", altered()).await;
        let other = asks(&game, &GREY, "c-1", "cast \"red reeds, cold feet\"").await.unwrap();
        assert_ne!(receipt(&other.event).throws, thrown[0].throws);
    }
}

/// An operator who does not like what they fear can have the roll taken back, and everyone sees it.
#[tokio::test]
async fn whatever_dodges_a_roll_spends_it_in_front_of_everyone() {
    for rolls in [0, 3] {
        let there = Announced::after(rolls).await;
        let before = there.game.battle().await;
        let (roll, link) = there.roll(&before);
        for (n, line) in TAKES_BACK.into_iter().enumerate() {
            let game = there.branch(&format!("{n}.db"), RulesLibrary::shipped()).await;
            let answer = asks(&game, &OPERATOR, "dodges", line).await.unwrap();
            let events = game.referee.events_after(&before.id, before.seq, 10).await.unwrap();
            assert_eq!(answer.first.as_ref().unwrap_or(&answer.event), &events[0], "{line}");
            assert_eq!(events.len(), if line.starts_with("undo") { 1 } else { 2 });
            let spent = receipt(&events[0]);
            assert_eq!((spent.roll, spent.link), (roll, link), "{line}");
            let statement = there.statement(&before, |request| format!("{request}taken back\n"));
            assert_eq!(spent.statement, statement, "{line}");
            assert!(spent.throws.is_empty());
            let sound = audit(&game.export().await).unwrap();
            assert_eq!(sound.taken_back.get(&Who::Person(9)), Some(&1), "{line}");
            assert_eq!(sound.rolls, roll);
            // The caster comes too late, and with their text anyone sees what was dodged.
            assert!(asks(&game, &GREY, "late", &format!("cast \"{TEXT}\"")).await.is_err());
            let game = there.branch(&format!("{n}-cast.db"), RulesLibrary::shipped()).await;
            let cast = asks(&game, &GREY, "the-cast", &format!("cast \"{TEXT}\"")).await;
            let thrown = receipt(&cast.unwrap().event);
            let dodged = faces(spent.link, &there.with_cast(&before, TEXT), &thrown);
            assert!(thrown.throws.iter().map(|throw| &throw.faces).eq(&dodged), "{line}");
        }
    }
}

/// The referee may be the operator: where the threatened side has captains, only they cast.
/// Otherwise another text could be cast on the same announcement, now that the dice are known.
#[tokio::test]
async fn a_cast_that_is_taken_back_takes_its_announcement_along() {
    let announced = Announced::after(0).await;
    let game = &announced.game;
    let cast = format!("cast \"{TEXT}\"");
    asks(game, &GREY, "cast", &cast).await.unwrap();
    asks(game, &OPERATOR, "undo", "undo \"the dice did not please\"").await.unwrap();
    assert_eq!(game.battle().await.field.pending, None);
    let again = asks(game, &GREY, "again", &cast).await.unwrap_err();
    assert_eq!(
        again.to_string(),
        "No roll is waiting for a cast. Announce one: melee UNIT UNIT --cast"
    );
    // Whoever asks anew announces anew: another roll, from another link, and counted.
    asks(game, &VALE, "anew", MELEE).await.unwrap();
    let thrown = asks(game, &GREY, "cast-anew", &cast).await.unwrap();
    assert_eq!(thrown.event.event.receipt().map(|receipt| receipt.roll), Some(2));
    let sound = audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
    assert_eq!(sound.undone, [1]);
    drop(announced.folder);
}

#[tokio::test]
async fn nobody_casts_for_a_side_that_has_captains() {
    let there = Announced::after(0).await;
    let before = there.game.battle().await;
    for (n, asker) in [&OPERATOR, &VALE, &NOBODY].into_iter().enumerate() {
        let no = asks(&there.game, asker, &format!("c-{n}"), &format!("cast \"{TEXT}\"")).await;
        assert_eq!(
            no.unwrap_err().to_string(),
            "Only Grey Banner may cast this roll. Ask them, or have the roll taken back."
        );
    }
    assert_eq!(there.game.battle().await.head, before.head);
    // Without a captain the side is whoever sits there, but for the captains of the other.
    asks(&there.game, &OPERATOR, "relieve", "relieve person-2 --side \"Grey Banner\"")
        .await
        .unwrap();
    asks(&there.game, &VALE, "announced-again", MELEE).await.unwrap();
    asks(&there.game, &VALE, "own", &format!("cast \"{TEXT}\"")).await.unwrap_err();
    asks(&there.game, &NOBODY, "theirs", &format!("cast \"{TEXT}\"")).await.unwrap();
    audit(&there.game.export().await).unwrap();
}

/// A refusal changes nothing: what would be refused takes no roll back first.
#[tokio::test]
async fn what_is_refused_spends_no_roll() {
    let there = Announced::after(0).await;
    let before = there.game.battle().await;
    for (n, (asker, line)) in [
        (&VALE, "close"),
        (&VALE, "appoint person-4 --side Vale"),
        (&NOBODY, "close"),
        (&OPERATOR, "appoint person-1 --side Vale"),
        (&OPERATOR, "appoint person-4 --side Valley"),
        (&OPERATOR, "relieve person-4 --side Vale"),
    ]
    .into_iter()
    .enumerate()
    {
        asks(&there.game, asker, &format!("r-{n}"), line).await.unwrap_err();
        assert_eq!(there.game.battle().await.head, before.head, "{line}");
    }
    // Whoever manages the server may close, whatever waits.
    let manager = Asker { manages: true, ..Asker::person(8) };
    let closed = asks(&there.game, &manager, "close", "close").await.unwrap();
    assert!(closed.first.is_some() && closed.event.event.body == Body::Closed);
    let sound = audit(&there.game.export().await).unwrap();
    assert_eq!(sound.taken_back.get(&Who::Person(8)), Some(&1));
}

/// A caster who never casts, casts too late, nothing, too little, too much, hidden marks, or twice.
#[tokio::test]
async fn a_caster_who_stalls_gains_nothing() {
    let there = Announced::after(0).await;
    let before = there.game.battle().await;
    let (_, link) = there.roll(&before);
    // Before the cast, nothing that anyone can get at tells the link.
    for line in ["show", "log --all", "odds"] {
        assert!(!there.game.says_at(300, line).await.contains(&link.to_string()), "{line}");
    }
    assert!(!there.game.export().await.contains(&link.to_string()));
    let long = "x".repeat(81);
    let too_short =
        "A cast is a text of your own: 8 to 80 characters, on one line. Type one: cast TEXT";
    let hides = |shown: &str| {
        format!(
            "What stands in square brackets in “{shown}” cannot be seen, or only looks like a \
             space. Type the name or the text anew, with plain spaces."
        )
    };
    for (n, (text, said)) in [
        ("", too_short.to_owned()),
        ("        ", too_short.to_owned()),
        ("reeds", too_short.to_owned()),
        ("1234567", too_short.to_owned()),
        (long.as_str(), too_short.to_owned()),
        ("red\u{202e} reeds", hides("red[U+202E] reeds")),
        ("red\u{200b}reeds", hides("red[U+200B]reeds")),
        ("red\u{a0}reeds", hides("red[U+00A0]reeds")),
        ("red reeds\u{1b}[2J", hides("red reeds[U+001B][2J")),
    ]
    .into_iter()
    .enumerate()
    {
        let request = drumhead::protocol::Request::Cast { text: text.to_owned() };
        let asked = RequestId::new("table", &format!("s-{n}")).unwrap();
        let ask = Ask { place: Place::table(), asked, asker: GREY, request };
        let no = there.game.referee.ask(&ask).await.unwrap_err();
        assert_eq!(no.to_string(), said, "{text:?}");
        assert_eq!(there.game.battle().await.head, before.head, "{text:?}");
    }
    // Never: the asking side need not wait for ever, and what it gives up is on record.
    asks(&there.game, &VALE, "enough", "undo \"no cast came\"").await.unwrap();
    // Late, after taking back: there is nothing to cast.
    let late = asks(&there.game, &GREY, "late", &format!("cast \"{TEXT}\"")).await;
    assert_eq!(
        late.unwrap_err().to_string(),
        "No roll is waiting for a cast. Announce one: melee UNIT UNIT --cast"
    );
    // The same text for the next announcement meets another link and another statement.
    asks(&there.game, &VALE, "announced-again", MELEE).await.unwrap();
    let cast = asks(&there.game, &GREY, "once", &format!("cast \"{TEXT}\"")).await.unwrap();
    let thrown = receipt(&cast.event);
    assert_eq!(thrown.roll, 2);
    assert_ne!(thrown.link, link);
    let old = faces(link, &there.with_cast(&before, TEXT), &thrown);
    assert!(!thrown.throws.iter().map(|throw| &throw.faces).eq(&old));
    // The same again under another id throws nothing.
    asks(&there.game, &GREY, "twice", &format!("cast \"{TEXT}\"")).await.unwrap_err();
    assert_eq!(there.game.battle().await.rolls, 2);
    let sound = audit(&there.game.export().await).unwrap();
    assert_eq!(sound.taken_back.get(&Who::Person(1)), Some(&1), "who gave up is counted");
}
