//! What is kept beside the events, and found without reading them.

use crate::helper::{file, store};
use drumhead::digest::Digest;
use drumhead::protocol::{Place, Recorded, RequestId, Who};
use drumhead::record::{Append, AppendError, Record};
use drumhead::referee::{Ask, Asker, Referee, Refusal, RulesLibrary};
use drumhead::terminal::{Line, read_line};
use std::path::Path;

/// The ford and the mill of one server, and a channel of another.
pub(super) const FORD: (u64, u64) = (7, 42);
pub(super) const MILL: (u64, u64) = (7, 43);
pub(super) const ELSEWHERE: (u64, u64) = (8, 44);

pub(super) fn place((server, channel): (u64, u64)) -> Place {
    Place::channel("chat", server, channel)
}

fn id(id: &str) -> RequestId {
    RequestId::new("chat", id).unwrap()
}

/// A referee over a record, asked in the places of a chat.
pub(super) struct Chat(pub Referee);

impl Chat {
    pub async fn over(file: &Path) -> Self {
        Self(Referee::new(store::open(file).await, RulesLibrary::shipped()))
    }

    /// Asks a line in a place; it must be granted.
    pub async fn asks(&self, at: (u64, u64), asked: &str, person: u64, line: &str) -> Recorded {
        self.tries(at, asked, person, line).await.unwrap_or_else(|no| panic!("{line}: {no}"))
    }

    /// Asks a line in a place.
    pub async fn tries(
        &self,
        at: (u64, u64),
        asked: &str,
        person: u64,
        line: &str,
    ) -> Result<Recorded, Refusal> {
        let Ok(Line::Request(request, _)) = read_line(line) else { panic!("no request: {line}") };
        let ask = Ask { place: place(at), asked: id(asked), asker: Asker::person(person), request };
        Ok(self.0.ask(&ask).await?.event)
    }
}

/// A chat with a battle at the ford, asked by one person, and a throw at the mill by another.
async fn at_the_ford(file: &Path) -> (Chat, Record) {
    let chat = Chat::over(file).await;
    for (asked, line) in [
        ("1", "open \"Harrow Ford\" --scale 20"),
        ("2", "muster A --side Vale --class \"line foot\" --men 200"),
        ("3", "muster B --side Grey --class \"line foot\" --men 200"),
        ("4", "melee A B"),
        ("5", "turn"),
    ] {
        chat.asks(FORD, asked, 1, line).await;
    }
    chat.asks(MILL, "6", 2, "throw 3d6").await;
    (chat, store::open(file).await)
}

#[tokio::test]
async fn an_answer_is_found_at_its_place_whatever_became_of_the_battle() {
    let (_guard, file) = file("record.db");
    let (chat, record) = at_the_ford(&file).await;
    let melee = record.answered(&place(FORD), &id("4")).await.unwrap().expect("it was answered");
    assert_eq!(melee.event.event.seq, 4);
    let asked = serde_json::to_vec(&melee.event.event.request).unwrap();
    assert_eq!(melee.asked_sha256, Digest::of(&asked));
    assert_eq!(record.answered(&place(FORD), &id("99")).await.unwrap(), None);
    assert_eq!(record.answered(&place(MILL), &id("4")).await.unwrap(), None, "not elsewhere");
    // The quick rulings of a place are at that very place.
    assert_eq!(record.answered(&place(FORD).quick(), &id("4")).await.unwrap(), Some(melee.clone()));
    chat.asks(FORD, "7", 1, "close").await;
    let throw = chat.asks(FORD, "8", 2, "throw 3d6").await;
    let found = record.answered(&place(FORD), &id("8")).await.unwrap().expect("a quick answer");
    assert_eq!(found.event, throw);
    assert_eq!(record.answered(&place(FORD), &id("4")).await.unwrap(), Some(melee));
}

#[tokio::test]
async fn an_id_is_refused_a_second_time_and_nothing_of_it_is_written() {
    let (_guard, file) = file("record.db");
    let (_chat, record) = at_the_ford(&file).await;
    let battle = record.open_battle(&place(FORD)).await.unwrap().unwrap();
    let last = record.events_after(&battle.battle, battle.seq - 1, 1).await.unwrap().remove(0);
    let mut event = last.event.clone();
    (event.seq, event.prev) = (event.seq + 1, last.hash);
    let again = Recorded::write(event);
    let append = Append {
        place: &place(FORD),
        via: None,
        event: &again,
        asked_sha256: Digest::ZERO,
        new_battle: None,
        next_chain: None,
    };
    let before = record.owed(&place(FORD)).await.unwrap().len();
    assert!(matches!(record.append(&append).await, Err(AppendError::Answered)));
    assert_eq!(record.open_battle(&place(FORD)).await.unwrap(), Some(battle.clone()));
    assert_eq!(record.events_after(&battle.battle, battle.seq, 9).await.unwrap(), []);
    assert_eq!(record.owed(&place(FORD)).await.unwrap().len(), before);
    // An event for a battle that is gone would belong to nothing.
    let mut event = again.event.clone();
    (event.battle, event.asked) = ("0000000000000000".to_owned(), id("10"));
    let orphan = Recorded::write(event);
    let refused = record.append(&Append { event: &orphan, ..append }).await;
    assert!(matches!(refused, Err(AppendError::Overtaken)), "{refused:?}");
    assert_eq!(record.answered(&place(FORD), &id("10")).await.unwrap(), None);
}

#[tokio::test]
async fn an_imported_battle_answers_nothing_here_and_owes_nothing() {
    let (_guard, file) = file("record.db");
    let (chat, _record) = at_the_ford(&file).await;
    let head = chat.0.choose(Some("Harrow Ford")).await.unwrap();
    let mut export = Vec::new();
    chat.0.write_export(&head, &mut export).await.unwrap();
    let record = store::fresh().await;
    let there = Referee::new(record.clone(), RulesLibrary::shipped());
    there.import(&place(FORD), export.as_slice(), |_| {}).await.unwrap();
    let [imported] = &record.battles(None).await.unwrap()[..] else { panic!("one battle") };
    assert_eq!((imported.seq, imported.head, imported.open), (head.seq, head.head, false));
    assert_eq!(record.answered(&place(FORD), &id("4")).await.unwrap(), None);
    assert!(record.owed_on("chat").await.unwrap().is_empty());
    assert_eq!(record.traces_of(Who::Person(1)).await.unwrap(), []);
}

/// What is owed, who asked how often, where a battle stands and which event threw a roll are found
/// although no other event can be read.
#[tokio::test]
async fn looking_reads_no_events() {
    let (_guard, file) = file("record.db");
    let (chat, record) = at_the_ford(&file).await;
    let battle = record.open_battle(&place(FORD)).await.unwrap().unwrap();
    for event in record.owed_on("chat").await.unwrap().iter().flat_map(|owed| &owed.events) {
        record.posted(&event.event.battle, event.event.seq).await.unwrap();
    }
    record.close().await;
    chat.0.close().await;
    assert_eq!(store::tamper(&file, "UPDATE events SET text = '' WHERE seq <> 4").await, 4 + 2);
    let record = store::open(&file).await;
    assert_eq!(record.owed_on("chat").await.unwrap().len(), 0);
    let traces = record.traces_of(Who::Person(1)).await.unwrap();
    let traces: Vec<(&str, u64)> =
        traces.iter().map(|trace| (trace.battle.as_str(), trace.requests)).collect();
    assert_eq!(traces, [("Harrow Ford", 5)]);
    // The opening that the throw needed first was not asked by anybody.
    let traces = record.traces_of(Who::Person(2)).await.unwrap();
    assert_eq!((traces[0].place.clone(), traces[0].requests), (place(MILL).quick(), 1));
    assert_eq!(record.traces_of(Who::Person(3)).await.unwrap(), []);
    assert_eq!(record.open_battle(&place(FORD)).await.unwrap(), Some(battle.clone()));
    let thrown = record.event_of_roll(&battle.battle, 1).await.unwrap().expect("a roll");
    assert_eq!(thrown.event.seq, 4);
    assert_eq!(record.event_of_roll(&battle.battle, 2).await.unwrap(), None);
    record.events_after(&battle.battle, 0, 9).await.expect_err("the others were spoiled");
}

/// One request made two events, and somebody else asked in between: they are owed together, in the
/// order in which they were asked first.
#[tokio::test]
async fn posts_of_one_request_are_owed_together() {
    let (_guard, file) = file("record.db");
    let chat = Chat::over(&file).await;
    chat.asks(MILL, "1", 1, "open Mill --scale 20").await;
    chat.asks(FORD, "2", 2, "throw 3d6").await;
    chat.asks(ELSEWHERE, "3", 2, "throw 2d6").await;
    let record = store::open(&file).await;
    let owed = record.owed_on("chat").await.unwrap();
    let seen: Vec<(String, usize)> =
        owed.iter().map(|owed| (owed.place.to_string(), owed.events.len())).collect();
    let expected = [("chat:7/43", 1), ("chat:7/42#quick", 2), ("chat:8/44#quick", 2)]
        .map(|(place, n)| (place.to_owned(), n));
    assert_eq!(seen, expected);
    assert!(record.owed_on("other").await.unwrap().is_empty());
    assert!(record.owed(&place(FORD)).await.unwrap().is_empty(), "its quick rulings are beside it");
    // Each event's post is taken by itself; the rest of the request stays owed.
    let first = &owed[1].events[0].event;
    assert!(record.is_owed(&first.battle, first.seq).await.unwrap());
    record.posted(&first.battle, first.seq).await.unwrap();
    assert!(!record.is_owed(&first.battle, first.seq).await.unwrap());
    let rest = record.owed(&place(FORD).quick()).await.unwrap();
    assert_eq!(rest[0].events, [owed[1].events[1].clone()]);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn newcomers_at_once_each_get_a_number_of_their_own() {
    let (_guard, file) = file("record.db");
    let record = store::open(&file).await;
    let users: Vec<u64> = (0..40).collect();
    let known: Vec<_> = users
        .iter()
        // Each comes twice at once.
        .flat_map(|user| [*user, *user])
        .map(|user| {
            let record = record.clone();
            tokio::spawn(async move { (user, record.person("chat", user).await.unwrap()) })
        })
        .collect();
    let mut numbers = std::collections::BTreeMap::new();
    for known in known {
        let (user, who) = known.await.unwrap();
        assert_eq!(*numbers.entry(user).or_insert(who), who, "one number each");
    }
    let different: std::collections::BTreeSet<Who> = numbers.values().copied().collect();
    assert_eq!(different.len(), users.len());
    let other = record.person("other", 0).await.unwrap();
    assert!(!different.contains(&other), "the same id on another platform is somebody else");
    assert_eq!(record.user("chat", numbers[&7]).await.unwrap(), Some(7));
    assert_eq!(record.user("other", numbers[&7]).await.unwrap(), None);
}
