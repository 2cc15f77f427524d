//! Lines and requests: one form, read and written.

use drumhead::protocol::request_line;
use drumhead::protocol::{
    Amount, Appointee, Change, ConditionAsk, ContactAsk, Cover, Described, DiceAsk, DuelAsk,
    DuelEnd, Effects, Facing, Ground, HarmAsk, HarmHow, Holder, MeleeAsk, Muster, Open, QuickAsk,
    Reach, Request, Scale, Setting, ShootAsk, ShotRange, Standing,
};
use drumhead::terminal::{Line, read_line};
use proptest::option::of;
use proptest::prelude::*;

/// Names as people give them: several words, several scripts, marks that a shell would mind.
fn name() -> impl Strategy<Value = String> {
    "[A-Za-zÀ-öø-ÿא-ת0-9$`'()*;&|<>!?~#.:/+=_🐎-]{1,8}( [A-Za-zÀ-ÿ0-9$'#-]{1,8}){0,2}"
        .prop_filter("names that are refused", |name| {
            !name.starts_with(['-', '@', '#']) && !["and", "none"].contains(&name.as_str())
        })
}

fn contact() -> impl Strategy<Value = ContactAsk> {
    let facing = prop_oneof![Just(Facing::Front), Just(Facing::Flank), Just(Facing::Rear)];
    let ground = of(prop_oneof![Just(Ground::Striker), Just(Ground::Struck), Just(Ground::Both)]);
    let obstacle = of(prop_oneof![Just(Holder::Striker), Just(Holder::Struck)]);
    let width = of(any::<u32>());
    let by_hand = (-3..=3_i32, -3..=3_i32, of(name()));
    let places = (ground, obstacle, width);
    (name(), name(), any::<bool>(), any::<bool>(), facing, places, by_hand).prop_map(
        |(
            striker,
            struck,
            charge,
            countercharge,
            facing,
            (ground, obstacle, width),
            (ours, theirs, why),
        )| ContactAsk {
            ours,
            theirs,
            why,
            striker,
            struck,
            charge,
            countercharge,
            facing,
            ground,
            obstacle,
            width,
        },
    )
}

fn reach() -> impl Strategy<Value = Reach> {
    prop_oneof![name().prop_map(Reach::Unit), name().prop_map(Reach::Side), Just(Reach::Battle)]
}

fn condition() -> impl Strategy<Value = ConditionAsk> {
    let by = || -3..=3_i32;
    let effects = (by(), by(), by(), by(), by(), 0..=6_u32, any::<bool>(), any::<bool>()).prop_map(
        |(strike, struck, shoot, shot, nerve, dice, no_charge, no_shooting)| Effects {
            strike,
            struck,
            shoot,
            shot,
            nerve,
            dice,
            no_charge,
            no_shooting,
        },
    );
    (name(), reach(), of(1..=100_u32), of(effects), of(name())).prop_map(
        |(name, on, turns, effects, reason)| {
            let effects = effects.filter(Effects::any);
            ConditionAsk { name, on, turns, effects, reason }
        },
    )
}

fn setting<T: std::fmt::Debug + Clone>(
    value: impl Strategy<Value = T>,
) -> impl Strategy<Value = Option<Setting<T>>> {
    of(prop_oneof![value.prop_map(Setting::To), Just(Setting::None)])
}

fn change() -> impl Strategy<Value = Change> {
    let standing = of(prop_oneof![
        Just(Standing::Steady),
        Just(Standing::Shaken),
        Just(Standing::Routing),
        Just(Standing::Left),
        Just(Standing::Destroyed)
    ]);
    let first = (name(), of(name()), of(name()), of(name()), of(any::<u32>()), of(name()));
    // A frontage of 0 is said as none, so no line sets one to 0.
    let second =
        (of(any::<bool>()), setting(name()), setting(1..=u32::MAX), setting(name()), standing);
    let third = (of(1..=6_u32), of(1..=6_u32), of(any::<bool>()), of(any::<bool>()));
    (first, second, third).prop_map(
        |(
            (unit, rename, side, class, men, grade),
            (spears, weapon, frontage, leader, standing),
            (might, wounds, general, spare),
        )| {
            Change {
                unit,
                rename,
                side,
                class,
                men,
                grade,
                spears,
                weapon,
                frontage,
                leader,
                might,
                wounds,
                general,
                spare,
                standing,
            }
        },
    )
}

fn muster() -> impl Strategy<Value = Muster> {
    let strength = prop_oneof![
        any::<u32>().prop_map(|men| (men, None)),
        any::<u32>().prop_map(|hits| (0, Some(hits))),
    ];
    let first = (name(), name(), name(), strength, of(name()));
    let second = (any::<bool>(), of(name()), of(any::<u32>()), of(name()));
    let third = (of(1..=6_u32), of(1..=6_u32), any::<bool>(), any::<bool>());
    (first, second, third).prop_map(
        |(
            (unit, side, class, (men, hits), grade),
            (spears, weapon, frontage, leader),
            (might, wounds, general, spare),
        )| Muster {
            unit,
            side,
            class,
            men,
            hits,
            grade,
            spears,
            weapon,
            frontage,
            leader,
            might,
            wounds,
            general,
            spare,
        },
    )
}

fn described() -> impl Strategy<Value = Described> {
    let amount =
        prop_oneof![any::<u32>().prop_map(Amount::Figures), any::<u32>().prop_map(Amount::Men)];
    let class = prop::sample::select(vec!["levy", "line foot", "great beasts"]);
    let grade = of(prop::sample::select(vec!["raw", "guard"]));
    let flags = (any::<bool>(), any::<bool>(), any::<bool>());
    (amount, class, grade, flags, of(any::<u32>())).prop_map(
        |(strength, class, grade, (spears, shaken, led), frontage)| Described {
            strength,
            class: class.to_owned(),
            grade: grade.map(str::to_owned),
            spears,
            shaken,
            led,
            frontage,
        },
    )
}

fn scale() -> impl Strategy<Value = Scale> {
    (1..=Scale::COARSEST).prop_map(|men| Scale::new(men).unwrap())
}

fn dice() -> impl Strategy<Value = Vec<DiceAsk>> {
    let one = (1..=100_u32, 2..=1_000_000_u32);
    let one = one.prop_map(|(count, sides)| DiceAsk { count, sides });
    proptest::collection::vec(one, 1..4)
}

fn harm_how() -> impl Strategy<Value = HarmHow> {
    prop_oneof![
        (1..=200_u32, 1..=100_u32).prop_map(|(dice, kills_on)| HarmHow::Dice { dice, kills_on }),
        dice().prop_map(HarmHow::MenThrown),
        any::<u32>().prop_map(HarmHow::Men),
        (1..=1000_u32).prop_map(HarmHow::Figures),
    ]
}

fn request() -> impl Strategy<Value = Request> {
    let text = || "[^\\pC\"“”„«»\\\\]{1,30}".prop_map(|text: String| text.trim().to_owned());
    prop_oneof![
        (name(), scale(), of(name()), proptest::collection::vec(name(), 0..3), any::<bool>())
            .prop_map(|(name, scale, rules, sides, casts)| {
                Request::Open(Open { name, scale, rules, sides, casts })
            }),
        name().prop_map(|name| Request::Side { name }),
        muster().prop_map(Request::Muster),
        change().prop_map(Request::Change),
        (name(), of(name()), text()).prop_map(|(unit, from, reason)| Request::Part {
            unit,
            from,
            reason
        }),
        name().prop_map(|unit| Request::Dismiss { unit }),
        (name(), name()).prop_map(|(leader, unit)| Request::Attach { leader, unit }),
        (name(), any::<bool>(), any::<bool>()).prop_map(|(unit, lead, back)| {
            if lead { Request::Lead { unit, back } } else { Request::Detach { unit } }
        }),
        scale().prop_map(|scale| Request::Rescale { scale }),
        (proptest::collection::vec(contact(), 1..4), any::<bool>())
            .prop_map(|(contacts, cast)| Request::Melee(MeleeAsk { contacts, cast })),
        of(name()).prop_map(|unit| Request::Again { unit }),
        (
            proptest::collection::vec(name(), 1..4),
            name(),
            any::<bool>(),
            of(any::<bool>()),
            any::<bool>()
        )
            .prop_map(|(shooters, target, long, cover, moved)| {
                let range = if long { ShotRange::Long } else { ShotRange::Short };
                let cover = cover.map(|works| if works { Cover::Works } else { Cover::Light });
                Request::Shoot(ShootAsk { shooters, target, range, cover, moved })
            }),
        condition().prop_map(Request::Condition),
        (name(), reach()).prop_map(|(name, on)| Request::Lift { name, on }),
        name().prop_map(|unit| Request::Rally { unit }),
        (name(), name(), 0..3_usize, any::<bool>()).prop_map(|(first, second, to, meet)| {
            let to = [DuelEnd::Wound, DuelEnd::Rounds, DuelEnd::End][to];
            Request::Duel(DuelAsk { leaders: [first, second], to, meet })
        }),
        (name(), harm_how(), text())
            .prop_map(|(unit, how, reason)| { Request::Harm(HarmAsk { unit, how, reason }) }),
        (name(), text()).prop_map(|(unit, reason)| Request::Nerve { unit, reason }),
        (name(), any::<u32>(), text()).prop_map(|(unit, men, reason)| Request::Reinforce {
            unit,
            men,
            reason
        }),
        (name(), text()).prop_map(|(name, text)| Request::Word { name, text }),
        text().prop_map(|reason| Request::Undo { reason }),
        name().prop_map(|battle| Request::Reopen { battle }),
        (described(), described(), scale(), contact()).prop_map(|(striker, struck, scale, how)| {
            let how = ContactAsk { striker: String::new(), struck: String::new(), ..how };
            Request::Quick(QuickAsk { scale, striker, struck, how })
        }),
        (dice(), of(name())).prop_map(|(dice, purpose)| Request::Throw { dice, purpose }),
        (any::<bool>(), 1..u64::MAX, of(name()), any::<bool>()).prop_map(
            |(person, id, side, appoint)| {
                let who = if person { Appointee::Person(id) } else { Appointee::Role(id) };
                if appoint {
                    Request::Appoint { who, side }
                } else {
                    Request::Relieve { who, side }
                }
            }
        ),
        prop_oneof![
            text().prop_map(|text| Request::Cast { text }),
            Just(Request::Turn),
            Just(Request::Close)
        ],
    ]
}

proptest! {
    /// What is written of a request reads back as that very request.
    #[test]
    fn every_request_reads_back_from_its_line(request in request()) {
        let line = request_line(&request);
        prop_assert_eq!(read_line(&line), Ok(Line::Request(request, None)), "{}", line);
    }

    /// No line makes the reader panic.
    #[test]
    fn any_line_is_read_or_refused(line in "\\PC{0,60}") {
        let _ = read_line(&line);
    }
}

#[test]
fn curly_quotation_marks_and_ids_are_understood() {
    let plain = read_line("melee \"Ford Wardens\" Levies --charge and Riders Levies --flank");
    assert_eq!(read_line("melee “Ford Wardens” Levies --charge and Riders Levies --flank"), plain);
    assert_eq!(
        read_line("MELEE «Ford Wardens» Levies —charge AND Riders Levies –FLANK"),
        plain,
        "capitals, dashes and other quotation marks"
    );
    let unit = |line| match read_line(line) {
        Ok(Line::Request(Request::Rally { unit }, None)) => unit,
        other => panic!("{other:?}"),
    };
    assert_eq!(unit("rally O'Brien"), "O'Brien", "an apostrophe stands for itself");
    assert_eq!(unit("Rally \"O'Brien's Men\""), "O'Brien's Men");
    let long = "x".repeat(64 * 1024 + 1);
    assert_eq!(read_line(&long), Err("This line is longer than 64 KiB. Shorten it.".to_owned()));
    let Ok(Line::Request(request, Some(id))) = read_line("@m-1 turn") else { panic!("no id") };
    assert_eq!((request, id.as_str()), (Request::Turn, "m-1"));
    assert_eq!(read_line("  # a remark"), Ok(Line::Nothing));
    let men = |men: &str| read_line(&format!("muster A --side B --class levy --men {men}"));
    assert_eq!(men("1,000"), men("1000"), "numbers are read as they are written");
}

/// How odds are shown is written at the end of a line of several contacts, where people put it.
#[test]
fn the_form_of_odds_may_stand_last() {
    for (last, first) in [
        ("odds A B --charge and C D --flank --json", "odds A B --charge --json and C D --flank"),
        ("odds A B and C D --svg a.svg and E F", "odds A B --svg a.svg and C D and E F"),
    ] {
        let read = read_line(last);
        assert!(matches!(read, Ok(Line::Data(_) | Line::Drawn(..))), "{read:?}");
        assert_eq!(read, read_line(first));
    }
}

#[test]
fn what_cannot_be_read_gets_one_sentence() {
    for (line, sentence) in [
        ("melle A B", "“melle” is not a request. Did you mean melee?"),
        ("xyzzy", "“xyzzy” is not a request. See what you can ask: help"),
        (
            "export",
            "“export” is a command of the program and not of the table. Leave the table (quit), \
             then: drumhead export --help",
        ),
        ("melee \"A B", "A quotation mark is left open. Close it: \"Ford Wardens\""),
        ("melee A", "Something is missing: the unit it strikes. See an example: help melee"),
        (
            "melee A B and C",
            "Something is missing: the unit it strikes. See an example: help melee",
        ),
        ("melee A B --chrage", "“--chrage” does not fit here. Did you mean --charge?"),
        (
            "melee Ford Wardens Levies",
            "“Levies” is one word too many. Put a name of more than one word in double quotation \
             marks: \"Ford Wardens\"",
        ),
        ("melee A vs B", "“vs” does not fit here. Leave it out."),
        ("shoot A at B", "“at” does not fit here. Leave it out."),
        ("turn 2", "“2” does not fit here. Leave it out: turn takes no words."),
        ("open X scale 20", "“scale” does not fit here. Did you mean --scale?"),
        ("open X -scale 20", "“-scale” does not fit here. Did you mean --scale?"),
        (
            "muster A --side B --class levy",
            "Something is missing: men. See an example: help muster",
        ),
        (
            "officers",
            "“officers” is for a chat and not for the table. In a chat it is /battle officers. See \
             what you can ask here: help",
        ),
        (
            "melee A B --higher uphill",
            "“uphill” does not fit --higher <ours|theirs|both>. Use one of: ours, theirs, both.",
        ),
        (
            "harm A --why fire",
            "Something is missing: dice, men or figures. See an example: help harm",
        ),
        (
            "harm A --dice 3 --why fire",
            "Something is missing: --kills-on NUMBER. See an example: help harm",
        ),
        ("harm A --men 3d6", "Something is missing: --why WHY. See an example: help harm"),
        (
            "harm A --men 3d6 --figures 2 --why fire",
            "--men <MEN> and --figures <NUMBER> exclude each other. Use one of them.",
        ),
        (
            "harm A --dice 3 --kills-on 5 --men 3 --why fire",
            "--dice <NUMBER> and --men <MEN> exclude each other. Use one of them.",
        ),
        (
            "harm A --men many --why fire",
            "“many” does not fit --men <MEN>: use a whole number, or at most 100 dice of 2 to \
             1,000,000 sides, such as 3d6.",
        ),
        (
            "harm A --dice 201 --kills-on 5 --why fire",
            "“201” does not fit --dice <NUMBER>: use a whole number from 1 to 200.",
        ),
        ("nerve A", "Something is missing: --why WHY. See an example: help nerve"),
        (
            "reinforce A --why dusk",
            "Something is missing: --men NUMBER. See an example: help reinforce",
        ),
        ("melee A B --flank --rear", "--flank and --rear exclude each other. Use one of them."),
        (
            "muster A --side B --class levy --men many",
            "“many” does not fit --men <NUMBER>: men are a whole number from 1 to 100,000.",
        ),
        (
            "open A --scale 0",
            "“0” does not fit --scale <SCALE>: a figure scale is a whole number of men from 1 to \
             1000.",
        ),
        ("open A --scale", "--scale <SCALE> needs a value. Give one after it."),
        (
            "@ turn",
            "An @ID has 1 to 64 letters, digits, dots, hyphens or underscores. Shorten it, or leave it out.",
        ),
        ("@1 show", "Only a request that changes the battle takes an @ID."),
        ("@1", "Nothing was asked. See what you can ask: help"),
    ] {
        assert_eq!(read_line(line), Err(sentence.to_owned()), "{line}");
    }
}
