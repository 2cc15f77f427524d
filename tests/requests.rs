//! The table of requests: what every front relies on, and its page in the documentation.

use crate::helper::Game;
use drumhead::battle::{Hint, Mistake};
use drumhead::protocol::{Appointee, Place, Request, Scale, Standing};
use drumhead::referee::Look;
use drumhead::requests::{
    Asked, ChatAsk, Group, Kind, Need, Slot, Spec, Values, all, find, page, spell_for_chat,
    spell_for_table,
};
use drumhead::terminal::{Line, read_line};
use drumhead::words::{event, shown};
use proptest::prelude::*;
use std::collections::HashSet;

/// Limits of commands, their descriptions and options: “Application Command Structure” in
/// <https://discord.com/developers/docs/interactions/application-commands>.
#[test]
fn every_request_fits_a_command_of_the_platform() {
    let fits = |name: &str| {
        (1..=32).contains(&name.len())
            && name
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-_+".contains(c))
    };
    let described = |about: &str| (1..=100).contains(&about.chars().count());
    let mut names = HashSet::new();
    for spec in all() {
        assert!(fits(spec.in_chat) && fits(spec.name), "{}", spec.name);
        assert!(described(spec.about), "{}: {}", spec.name, spec.about.chars().count());
        assert!(names.insert(spec.name), "two requests are called {}", spec.name);
        assert!(std::ptr::eq(find(spec.name).unwrap(), *spec));
        let options = spec.chat_options();
        assert!(options.len() <= 25, "{}", spec.name);
        let distinct: HashSet<_> = options.iter().map(|option| option.name).collect();
        assert_eq!(distinct.len(), options.len(), "{}", spec.name);
        assert!(options.iter().all(|option| fits(option.name)), "{}", spec.name);
        assert!(options.is_sorted_by_key(|option| !option.required()), "{}", spec.name);
        for slot in spec.slots {
            assert!(described(slot.about), "{} {}", spec.name, slot.name);
            for choice in slot.kind.choices() {
                assert!(fits(choice.name) && described(choice.about), "{}", choice.name);
            }
            for other in slot.needs.iter().chain(&slot.excludes) {
                assert!(spec.slot(other).is_some(), "{} {}: {other}", spec.name, slot.name);
            }
        }
    }
    for group in Group::ALL {
        let in_group: Vec<_> = all().iter().filter(|spec| spec.group == group).collect();
        let names: HashSet<_> = in_group.iter().map(|spec| spec.in_chat).collect();
        assert!((1..=25).contains(&in_group.len()) && names.len() == in_group.len(), "{group:?}");
        assert!(described(group.about()), "{group:?}");
    }
}

/// The table takes words by their place, so that one that may be left out must not stand first,
/// and no other word may mean two requests.
#[test]
fn every_request_can_be_read_from_a_line() {
    let mut said = HashSet::new();
    for spec in all().iter().filter(|spec| spec.fronts.table()) {
        for name in spec.aliases.iter().chain([&spec.name]) {
            assert!(said.insert(*name), "“{name}” means two requests");
        }
        for example in spec.examples {
            assert!(read_line(example).is_ok(), "{example}: {:?}", read_line(example));
        }
    }
    for harmful in ["close", "undo", "attach", "dismiss"] {
        assert_eq!(find(harmful).unwrap().aliases, [""; 0], "{harmful} has its own name only");
    }
}

/// The whole page; to write it anew: `UPDATE_DOCS=1 cargo test --test integration requests`.
#[test]
fn the_page_on_requests_is_what_the_table_says() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/requests.md");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(file, page()).unwrap();
    }
    let written = std::fs::read_to_string(file).unwrap();
    assert_eq!(written, page(), "write docs/requests.md anew: see its beginning");
}

/// Both fronts fill the same slots: the table from a line, a chat from its options.
#[test]
fn both_fronts_build_the_same_requests() {
    for (name, options, line) in [
        (
            "open",
            &[
                ("name", "Harrow Ford"),
                ("scale", "10"),
                ("first_side", "Vale"),
                ("second_side", "Grey Banner"),
            ][..],
            "open \"Harrow Ford\" --scale 1:10 --side Vale --side \"Grey Banner\"",
        ),
        (
            "melee",
            &[
                ("striker", "A"),
                ("struck", "B"),
                ("charge", "true"),
                ("facing", "rear"),
                ("higher", "theirs"),
                ("cast", "true"),
            ],
            "melee A B --charge --rear --higher theirs --cast",
        ),
        (
            "melee",
            &[
                ("striker", "A"),
                ("struck", "B"),
                ("facing", "front"),
                ("more", "and “Vale Riders” C --flank and D E --cast"),
            ],
            "melee A B and \"Vale Riders\" C --flank and D E --cast",
        ),
        (
            "odds",
            &[("striker", "A"), ("struck", "B"), ("more", "C D --flank"), ("share", "true")],
            "odds A B and C D --flank",
        ),
        ("odds", &[], "odds"),
        (
            "change",
            &[
                ("unit", "A"),
                ("frontage", "0"),
                ("weapon", "none"),
                ("spears", "false"),
                ("standing", "routing"),
            ],
            "change A --frontage none --weapon NONE --spears no --standing Routing",
        ),
        (
            "change",
            &[("unit", "A"), ("frontage", "6"), ("leader", "Ida")],
            "change A --frontage 6 --leader Ida",
        ),
        (
            "throw",
            &[("dice", "3d6 1d20"), ("for", "the weather")],
            "throw 3d6 1d20 --for \"the weather\"",
        ),
        ("cast", &[("text", "red reeds, cold hands")], "cast \"red reeds, cold hands\""),
        ("undo", &[("reason", "the wrong unit")], "undo the wrong unit"),
        ("word", &[("text", "cold water"), ("name", "Orm")], "word Orm \"cold water\""),
        (
            "scale",
            &[("at", "1, 10,20"), ("percent", "5"), ("unit", "A"), ("other", "B")],
            "scale A B --at 1,10,20 --share 5",
        ),
        (
            "ruling",
            &[
                ("striker", "8 levy"),
                ("struck", "3 levy, raw"),
                ("odds", "true"),
                ("facing", "flank"),
            ],
            "ruling \"8 levy\" \"3 levy, raw\" --odds --flank",
        ),
        ("proof", &[], "proof"),
        ("proof", &[("roll", "7")], "proof 7"),
        ("help", &[("request", "melee")], "help melee"),
    ] {
        let spec = find(name).unwrap();
        let asked = spec.read(&picked(spec, options)).unwrap();
        assert_eq!(as_line(asked), read_line(line).unwrap(), "{line}");
    }
}

/// Values as a chat hands them over: by the names of its options.
fn picked(spec: &Spec, options: &[(&str, &str)]) -> Values {
    let mut values = Values::new();
    for (name, text) in options {
        let known = spec.chat_options();
        let option = known.iter().find(|option| option.name == *name);
        values
            .put(option.unwrap_or_else(|| panic!("{} has no {name}", spec.name)).slot.name, *text);
    }
    values
}

fn as_line(asked: Asked) -> Line {
    match asked {
        Asked::Request(request) => Line::Request(request, None),
        Asked::Look(look) => Line::Look(look),
        Asked::Help(request) => Line::Help(request),
        Asked::Quit => Line::Quit,
        Asked::Chat(ask) => panic!("only a chat asks {ask:?}"),
    }
}

#[test]
fn what_only_a_chat_asks_is_read_too() {
    let read = |name: &str, options: &[(&str, &str)]| {
        let spec = find(name).unwrap();
        spec.read(&picked(spec, options)).map_err(|wrong| wrong.to_string())
    };
    let side = Some("Vale".to_owned());
    let who = Appointee::Person(7);
    assert_eq!(
        read("appoint", &[("side", "Vale"), ("person", "person-7")]),
        Ok(Asked::Request(Request::Appoint { side, who }))
    );
    let who = Appointee::Role(8);
    assert_eq!(
        read("relieve", &[("role", "role-8")]),
        Ok(Asked::Request(Request::Relieve { side: None, who }))
    );
    assert_eq!(read("appoint", &[]), Err("Name a person or a role.".to_owned()));
    assert_eq!(
        read("appoint", &[("person", "person-7"), ("role", "role-8")]),
        Err("person and role exclude each other. Use one of them.".to_owned())
    );
    assert_eq!(
        read("defaults", &[("scale", "25")]),
        Ok(Asked::Chat(ChatAsk::Defaults { scale: Scale::new(25), rules: None }))
    );
    assert_eq!(
        read("erase", &[("sure", "false")]),
        Ok(Asked::Chat(ChatAsk::Erase { sure: false }))
    );
}

/// A chat's own mistakes: what the platform let pass, in the words of the table.
#[test]
fn what_does_not_fit_is_refused_with_one_sentence() {
    for (name, options, sentence) in [
        (
            "muster",
            &[("unit", "A"), ("side", "B"), ("class", "levy"), ("men", "many")][..],
            "“many” does not fit men: men are a whole number from 1 to 100,000.",
        ),
        (
            "rescale",
            &[("scale", "0")],
            "“0” does not fit scale: a figure scale is a whole number of men from 1 to 1000.",
        ),
        (
            "melee",
            &[("striker", "A"), ("struck", "B"), ("higher", "uphill")],
            "“uphill” does not fit higher. Use one of: ours, theirs, both.",
        ),
        (
            "melee",
            &[("striker", "A"), ("struck", "B"), ("more", "\"Vale")],
            "A quotation mark is left open. Close it: \"Ford Wardens\"",
        ),
        (
            "melee",
            &[("striker", "A"), ("struck", "B"), ("more", "C")],
            "Something is missing: the unit it strikes. See an example: help melee",
        ),
        ("odds", &[("striker", "A")], "Something is missing: struck. See an example: help odds"),
        ("odds", &[("struck", "A")], "Something is missing: striker. See an example: help odds"),
        (
            "scale",
            &[("percent", "101")],
            "“101” does not fit percent: use a whole number from 0 to 100.",
        ),
        (
            "change",
            &[("unit", "A"), ("frontage", "wide")],
            "“wide” does not fit frontage: use a whole number of figures, or none.",
        ),
        (
            "throw",
            &[("dice", "3d6 x")],
            "“x” cannot be thrown. Write how many dice, then d, then their sides: 3d6. At most 100 dice of 2 to 1,000,000 sides.",
        ),
        (
            "proof",
            &[("roll", "-1")],
            "“-1” does not fit roll: use the number of a roll, such as 7.",
        ),
        ("melee", &[("striker", "A")], "Something is missing: struck. See an example: help melee"),
    ] {
        let spec = find(name).unwrap();
        let wrong = spec.read(&picked(spec, options)).unwrap_err();
        assert_eq!(wrong.to_string(), sentence, "{name} {options:?}");
    }
}

#[test]
fn hints_are_spelled_as_each_front_asks() {
    let told = Mistake::InContact("Vale Riders".to_owned()).told();
    let hint = told.hint.unwrap();
    assert_eq!(spell_for_table(&hint), "part UNIT --why REASON");
    assert_eq!(spell_for_chat(&hint), "/fight part unit: UNIT why: REASON");
    let open = Hint::new("open").word("name", "Harrow Ford").option("side", "Vale");
    assert_eq!(spell_for_table(&open), "open \"Harrow Ford\" --side Vale");
    assert_eq!(spell_for_chat(&open), "/battle open name: Harrow Ford first_side: Vale");
    assert_eq!(spell_for_chat(&Hint::new("turn")), "/turn next");
    assert_eq!(spell_for_chat(&Hint::new("help")), "/help");
}

/// The hints of posts; those of mistakes are held to the table beside it, in `src/requests`.
#[tokio::test]
async fn every_hint_of_a_post_is_a_request_with_its_slots() {
    let game = Game::empty().await;
    let look = async |look: Look| shown(&game.referee.look(&Place::table(), &look).await.unwrap());
    let mut posts = vec![look(Look::Battles).await];
    game.says("open \"Harrow Ford\" --scale 20").await;
    posts.push(look(Look::Show { unit: None }).await);
    for _ in 0..20 {
        game.says("turn").await;
    }
    posts.push(look(Look::Log { all: false }).await);
    posts.push(event(&game.asks("close", "close").await.unwrap().event));
    let announced = "melee \"Ford Wardens\" \"Banner Foot\" --cast";
    let ford = Game::at_the_ford().await;
    posts.push(event(&ford.asks("announced", announced).await.unwrap().event));
    let waiting = ford.referee.look(&Place::table(), &Look::Show { unit: None }).await;
    posts.push(shown(&waiting.unwrap()));
    let hints: Vec<Hint> =
        posts.iter().flat_map(|post| &post.lines).filter_map(|line| line.hint.clone()).collect();
    // Counted in the source, so that a hint that is added later is not forgotten here.
    let words = ["chances", "event", "odds", "rules", "ruling", "shown", "verdict"].map(|file| {
        let file = format!("{}/src/words/{file}.rs", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(file).unwrap().matches("post.hint(").count()
    });
    assert_eq!(hints.len(), words.iter().sum::<usize>());
    for hint in &hints {
        let spec = find(hint.request).unwrap_or_else(|| panic!("no request {}", hint.request));
        assert!(hint.given.iter().all(|given| spec.slot(given.slot).is_some()), "{hint}");
        assert!(read_line(&spell_for_table(hint)).is_ok(), "{hint}");
    }
}

/// Text that no slot wants: what moves a cursor, ends a line, opens a quotation, or has no end.
fn hostile() -> impl Strategy<Value = String> {
    prop_oneof![
        "[\\x00-\\x1f\\x7f\"'\\\\\u{201c}\u{201d}\u{202e}\u{2066}a-z0-9 ,:-]{0,20}",
        Just("x".repeat(70_000)),
        Just("9".repeat(400)),
        Just("\t--json\n@1 close".to_owned()),
        Just("\u{1b}[2J".to_owned()),
        any::<String>(),
    ]
}

proptest! {
    /// Whatever stands in a slot of any request, it is read or refused with one sentence.
    #[test]
    fn hostile_text_is_read_or_refused(text in hostile(), at in 0..1000_usize) {
        for spec in all() {
            let Some(slot) = spec.slots.get(at % spec.slots.len().max(1)) else { continue };
            let mut values = Values::new();
            for slot in spec.slots.iter().filter(|slot| slot.need != Need::Optional) {
                values.put(slot.name, usual(slot));
            }
            let mut values: Values = values.given()
                .filter(|(name, _)| *name != slot.name)
                .fold(Values::new(), |values, (name, text)| values.and(name, text));
            values.put(slot.name, text.as_str());
            if let Err(wrong) = spec.read(&values) {
                one_sentence(&wrong.to_string(), &text)?;
            }
            let line = format!("{} {}", spec.name, text);
            if let Err(sentence) = read_line(&line) {
                one_sentence(&sentence, &text)?;
            }
        }
    }
}

/// What would do in a slot that must be given.
fn usual(slot: &Slot) -> &'static str {
    match slot.kind {
        Kind::Scale | Kind::Men => "20",
        Kind::Dice => "3d6",
        Kind::Described => "8 levy",
        Kind::YesNo => "yes",
        _ => "Ford Wardens",
    }
}

fn one_sentence(sentence: &str, text: &str) -> Result<(), TestCaseError> {
    prop_assert!(!sentence.contains(char::is_control), "{sentence:?} for {text:?}");
    prop_assert!(sentence.chars().count() < 300, "{sentence:?}");
    prop_assert!(!sentence.is_empty());
    Ok(())
}

/// Synonyms by meaning; what ends, takes back or attaches is never guessed.
#[test]
fn other_words_for_a_request_are_understood_and_nothing_harmful_is_guessed() {
    for (said, meant) in [
        ("attack A B", "melee A B"),
        ("FIGHT A B --flank", "melee A B --flank"),
        ("hit A B and C D", "melee A B and C D"),
        ("charge A B", "melee A B --charge"),
        ("charge A B --charge", "melee A B --charge"),
        ("next turn", "turn"),
        ("End Turn", "turn"),
        ("fight on", "again"),
        ("status", "show"),
        ("units", "show"),
        ("list A", "show A"),
        ("?", "help"),
        ("-h", "help"),
        ("--help", "help"),
        ("? melee", "help melee"),
        ("melee --help", "help melee"),
        ("/", "help"),
        ("/help", "help"),
        ("/rally A", "rally A"),
        ("/fight melee A B", "melee A B"),
        ("/turn next", "turn"),
        ("/turn", "turn"),
        ("exit", "quit"),
        ("MELEE A B --CHARGE --HIGHER Ours", "melee A B --charge --higher ours"),
        ("roll 3d6", "throw 3d6"),
    ] {
        assert_eq!(read_line(said), read_line(meant), "{said}");
        assert!(read_line(said).is_ok(), "{said}");
    }
    let harmful = ["quit", "exit", "close", "undo", "attach", "dismiss", "rescale"];
    for typo in
        ["quti", "exti", "clsoe", "clos", "und", "undoo", "atach", "dismis", "rescal", "end"]
    {
        let sentence = read_line(typo).unwrap_err();
        for word in harmful {
            assert!(!sentence.contains(&format!("mean {word}")), "{typo}: {sentence}");
        }
    }
    assert_eq!(read_line("rully A").unwrap_err(), "“rully” is not a request. Did you mean rally?");
}

/// What is said in quotation marks is never taken for an option's name.
#[test]
fn a_value_keeps_its_capitals() {
    let Ok(Line::Request(Request::Word { text, .. }, _)) = read_line("word Orm \"--LOUD\"") else {
        panic!("a word is read")
    };
    assert_eq!(text, "--LOUD");
    let Ok(Line::Request(Request::Muster(ask), _)) =
        read_line("muster A --side B --class levy --men 20 --LEADER=Ida")
    else {
        panic!("a muster is read")
    };
    assert_eq!(ask.leader.as_deref(), Some("Ida"));
}

#[test]
fn a_melee_of_forty_contacts_with_the_longest_names_is_one_line() {
    use drumhead::protocol::{ContactAsk, Facing, Ground, Holder, MeleeAsk, request_line};
    let contact = |n: usize| ContactAsk {
        charge: true,
        countercharge: true,
        facing: Facing::Flank,
        ground: Some(Ground::Struck),
        obstacle: Some(Holder::Struck),
        ..ContactAsk::new(
            format!("{n:02} {}", "🐎".repeat(37)),
            format!("{n:02} {}", "🏹".repeat(37)),
        )
    };
    let request = Request::Melee(MeleeAsk { contacts: (0..40).map(contact).collect(), cast: true });
    let line = request_line(&request);
    assert!(line.len() > 15_000, "{}", line.len());
    assert_eq!(read_line(&line), Ok(Line::Request(request, None)));
}

/// Standing and looks are compared so that the compiler finds what is new.
#[test]
fn the_words_of_how_a_unit_stands_are_those_of_its_line() {
    use drumhead::protocol::{Change, request_line};
    for standing in
        [Standing::Steady, Standing::Shaken, Standing::Routing, Standing::Left, Standing::Destroyed]
    {
        let change = Change { unit: "A".to_owned(), standing: Some(standing), ..Change::default() };
        let request = Request::Change(change);
        assert_eq!(read_line(&request_line(&request)), Ok(Line::Request(request, None)));
    }
    assert_eq!(read_line("show"), Ok(Line::Look(Look::Show { unit: None })));
}
