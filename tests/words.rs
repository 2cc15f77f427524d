//! A word belongs to whoever gave it: nobody changes another's, takes another's name or fills the
//! places of all, and where there are officers it is theirs to give.

use crate::helper::{Game, audit};
use drumhead::protocol::{Appointee, Place, Request, RequestId, Who};
use drumhead::referee::{Ask, Asker, Refusal};

/// Gives a word, or asks for something else, as a person of a chat.
async fn asks(game: &Game, n: u64, request: Request) -> Result<(), Refusal> {
    static ASKED: std::sync::atomic::AtomicU64 = std::sync::atomic::AtomicU64::new(1);
    let id = ASKED.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    let asked = RequestId::new("chat", &id.to_string()).unwrap();
    let ask = Ask { place: Place::table(), asked, asker: Asker::person(n), request };
    game.referee.ask(&ask).await.map(drop)
}

async fn gives(game: &Game, n: u64, name: &str, text: &str) -> Result<(), String> {
    let request = Request::Word { name: name.to_owned(), text: text.to_owned() };
    asks(game, n, request).await.map_err(|no| no.to_string())
}

/// A battle that person 1 has opened.
async fn opened() -> Game {
    let game = Game::empty().await;
    let Ok(drumhead::terminal::Line::Request(request, _)) = drumhead::terminal::read_line(
        "open \"Harrow Ford\" --scale 20 --side Vale --side \"Grey Banner\"",
    ) else {
        unreachable!("the line is a request")
    };
    asks(&game, 1, request).await.unwrap();
    game
}

/// The words of the battle: who gave each, under which name, and its text.
async fn words(game: &Game) -> Vec<(Who, String, String)> {
    let battle = game.battle().await;
    let words = battle.words.iter();
    words.map(|given| (given.by, given.word.name.clone(), given.word.text.clone())).collect()
}

#[tokio::test]
async fn nobody_takes_a_name_that_is_another_s_or_looks_like_it() {
    let game = opened().await;
    gives(&game, 2, "Orm", "grey cloth").await.unwrap();
    let before = words(&game).await;
    for name in ["Orm", "orm", "ORM", " Orm "] {
        let no = gives(&game, 3, name, "red cloth").await.unwrap_err();
        assert_eq!(
            no,
            "The word of “Orm” belongs to somebody else. Give yours under another name."
        );
    }
    for (name, like) in [
        ("0rm", "Orm"),
        ("\u{41e}rm", "Orm"),
        ("Ｏrｍ", "Orm"),
        ("Person-2", "person-2"),
        ("p\u{435}rson-2", "person-2"),
        ("Referee", "referee"),
        ("TABLE", "table"),
        ("Role-7", "role-7"),
    ] {
        let no = gives(&game, 3, name, "red cloth").await.unwrap_err();
        let said = ["belongs to somebody else", &format!("looks too much like “{like}”")];
        assert!(said.iter().any(|said| no.contains(said)), "{name}: {no}");
    }
    for name in ["person-2", "person-1", "person-40", "referee", "table", "role-7"] {
        let no = gives(&game, 3, name, "red cloth").await.unwrap_err();
        assert!(no.contains("belongs to somebody else"), "{name}: {no}");
    }
    assert_eq!(words(&game).await, before);
    // Their own number is theirs, and their own word theirs to change, name and all.
    gives(&game, 3, "person-3", "red cloth").await.unwrap();
    gives(&game, 2, "0rm", "grey wool").await.unwrap();
    let all = words(&game).await;
    assert_eq!(all[0], (Who::Person(2), "0rm".into(), "grey wool".into()));
    assert_eq!(all[1], (Who::Person(3), "person-3".into(), "red cloth".into()));
    audit(&game.export().await).unwrap();
}

#[tokio::test]
async fn one_person_has_one_place_among_forty() {
    let game = opened().await;
    for n in 0..60 {
        gives(&game, 2, &format!("Orm the {n}th"), "grey cloth").await.unwrap();
    }
    assert_eq!(words(&game).await, [(Who::Person(2), "Orm the 59th".into(), "grey cloth".into())]);
    for n in 3..=41 {
        gives(&game, n, &format!("person-{n}"), "reeds").await.unwrap();
    }
    assert!(gives(&game, 42, "person-42", "reeds").await.unwrap_err().contains("has 40 words"));
    gives(&game, 41, "person-41", "low reeds").await.unwrap();
    assert_eq!(words(&game).await.len(), 40);
    audit(&game.export().await).unwrap();
}

#[tokio::test]
async fn where_there_are_officers_a_word_is_theirs() {
    let game = opened().await;
    gives(&game, 5, "Ada", "before anybody was appointed").await.unwrap();
    let appoint = |who, side: Option<&str>| Request::Appoint { who, side: side.map(str::to_owned) };
    asks(&game, 1, appoint(Appointee::Person(2), Some("Vale"))).await.unwrap();
    gives(&game, 2, "Orm", "grey cloth").await.unwrap();
    let before = words(&game).await;
    for (n, name) in [(5, "Ada"), (5, "Orm"), (6, "person-6")] {
        let no = gives(&game, n, name, "reeds").await.unwrap_err();
        assert_eq!(no, "That is for the captains and the referee of this battle. Ask one of them.");
    }
    // Not even the referee changes a captain's word.
    assert!(
        gives(&game, 1, "Orm", "reeds").await.unwrap_err().contains("belongs to somebody else")
    );
    assert_eq!(words(&game).await, before);
    // Whoever is let in by the referee may give one.
    asks(&game, 1, appoint(Appointee::Person(6), Some("Grey Banner"))).await.unwrap();
    gives(&game, 6, "person-6", "reeds").await.unwrap();
    audit(&game.export().await).unwrap();
}
