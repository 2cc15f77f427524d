//! A battle at the table, spoken line by line: whole answers and whole refusals.

mod harm;

use crate::helper::Game;

#[tokio::test]
async fn a_melee_shows_its_whole_working() {
    let game = Game::at_the_ford().await;
    insta::assert_snapshot!(
        game.says(
            "melee \"vale riders\" \"grey levies\" --charge --flank and \
             \"Ford Wardens\" \"Grey Levies\" and \"Ford Wardens\" \"Banner Foot\" --higher ours"
        )
        .await
    );
    insta::assert_snapshot!("state_after_a_melee", game.says("show").await);
}

#[tokio::test]
async fn posts_fit_a_phone() {
    let game = Game::at_the_ford().await;
    let post = game.says_at(40, "melee \"Ford Wardens\" \"Banner Foot\"").await;
    assert!(post.lines().all(|line| line.chars().count() <= 40), "{post}");
    insta::assert_snapshot!(post);
    insta::assert_snapshot!("state_on_a_phone", game.says_at(40, "show").await);
}

#[tokio::test]
async fn shooting_and_rally_show_their_working() {
    let game = Game::at_the_ford()
        .await
        .after("muster \"Harrow Bows\" --side Vale --class levy --men 200 --weapon bows")
        .await
        .after("change \"Grey Levies\" --standing routing --frontage 4")
        .await;
    insta::assert_snapshot!(game.says("shoot \"Harrow Bows\" \"Grey Levies\" --cover light").await);
    insta::assert_snapshot!("rally", game.says("rally \"Grey Levies\"").await);
    assert_eq!(
        game.refuses("shoot \"Ford Wardens\" \"Banner Foot\"").await,
        "Ford Wardens has no missile weapon. Give it one: change UNIT --weapon bows"
    );
}

#[tokio::test]
async fn muster_change_and_dismiss() {
    let game = Game::at_the_ford().await;
    assert_eq!(
        game.says("change \"ford wardens\" --men 120 --spears yes --frontage 3 --leader none")
            .await,
        "Ford Wardens is changed.\n  \
         strength at muster: 8 figures, 160 men, now 6 figures, 120 men\n  \
         strength: 8 figures, 160 men, now 6 figures, 120 men\n  \
         long spears: no, now yes\n  frontage: none, now 3 figures\n  leader: Ida, now none\n"
    );
    assert_eq!(game.says("dismiss \"Vale Riders\"").await, "Vale Riders is off the list.\n");
    assert_eq!(
        game.says("muster Reeds --side vale --class LEVY --men 30 --weapon slings").await,
        "Reeds musters for Vale.\n  2 figures, 30 men at 1:20\n  over a tenth off: 2 figures stand for 40 men\n  levy, trained, slings\n"
    );
    assert_eq!(
        game.says("show reeds").await,
        "Reeds of Vale\n  Reeds: 2 of 2 figures, 30 of 30 men\n    levy, trained, slings\n    steady\n"
    );
    for (line, sentence) in [
        (
            "muster X --side Vale --class levies --men 20",
            "“levies” is not a class in these rules. Use one of: levy, skirmishers, line foot, \
             shock foot, outriders, riders, lancers, great beasts.",
        ),
        (
            "muster X --side Valley --class levy --men 20",
            "“Valley” is not a side of this battle, whose sides are Vale and Grey Banner. To name \
             a further side: side NAME",
        ),
        (
            "muster \"FORD WARDENS\" --side Vale --class levy --men 20",
            "The name “Ford Wardens” is already taken in this battle. Choose another.",
        ),
        (
            "muster X --side Vale --class levy --men 0",
            "0 men is out of range. A unit has 1 to 100,000 men.",
        ),
        (
            "muster X --side Vale --class levy --men 50000",
            "50000 men at 1:20 would be 2500 figures, and a unit has at most 1,000. Use a coarser \
             figure scale.",
        ),
        (
            "muster and --side Vale --class levy --men 20",
            "“and” cannot be a name. Use 1 to 40 characters on one line, without quotation marks, \
             “\\” or “: ”, and not “-”, “@” or “#” at the start; “and” and “none” are taken.",
        ),
        (
            "show \"Ford Wardns\"",
            "No unit is called “Ford Wardns” in this battle. Did you mean “Ford Wardens”?",
        ),
        (
            "change reeds",
            "Nothing would change. Name something to change, such as: change UNIT --men 80",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
}

#[tokio::test]
async fn a_melee_is_fought_on_and_a_charge_counts_once() {
    let game = Game::at_the_ford().await;
    let melee = "melee \"Ford Wardens\" \"Banner Foot\"";
    assert_eq!(
        game.refuses("again").await,
        "No contact stands any more. Begin a new melee: melee UNIT UNIT"
    );
    game.says(melee).await;
    let battle = game.battle().await;
    assert_eq!(battle.field.engagements.len(), 1, "the dice of this test leave both standing");
    assert_eq!(
        game.refuses("melee \"Ford Wardens\" \"Banner Foot\" --charge").await,
        "Ford Wardens and Banner Foot are in contact already, and how they meet is settled. Leave \
         the options out to fight on."
    );
    assert!(game.says("again \"banner foot\"").await.contains("turn 1, round 2"));
    assert_eq!(
        game.refuses("again \"Vale Riders\"").await,
        "Vale Riders is not in a melee. Begin one: melee UNIT UNIT"
    );
}

#[tokio::test]
async fn sides_and_scales() {
    let game = Game::at_the_ford().await;
    game.says("side \"Free Riders\"").await;
    game.says("muster Hired --side \"free riders\" --class \"outriders\" --men 65").await;
    assert_eq!(
        game.refuses("side vale").await,
        "The side “Vale” is already in this battle. Muster units for it, or name another."
    );
    assert_eq!(
        game.refuses("rescale 1:20").await,
        "This battle is already at 1:20. Choose another scale."
    );
    assert_eq!(
        game.says("rescale 10").await,
        "The figure scale is 1:10; it was 1:20.\n  Ford Wardens: 8, now 16 figures\n  \
         Vale Riders: 4, now 8 figures\n  Banner Foot: 10, now 20 figures\n  \
         Grey Levies: 12, now 24 figures\n  Hired: 3, now 7 figures\n"
    );
    assert_eq!(
        game.refuses("melee \"Ford Wardens\" \"Vale Riders\"").await,
        "Ford Wardens and Vale Riders are on the same side. Name one unit from each of two sides."
    );
}

#[tokio::test]
async fn battles_are_opened_closed_listed_and_gone_on_with() {
    let game = Game::empty().await;
    assert_eq!(
        game.refuses("show").await,
        "No battle is open here. Go on with a closed one (reopen), or open one: open NAME --scale 20"
    );
    game.says("open \"Harrow Ford\" --scale 20").await;
    assert_eq!(
        game.refuses("open Other --scale 20").await,
        "The battle “Harrow Ford” is still open here, and a place holds one at a time. Close it \
         first: close"
    );
    assert_eq!(game.says("close").await, "The battle is closed.\nTo go on with it: reopen NAME\n");
    assert_eq!(
        game.refuses("open \"HARROW FORD\" --scale 20").await,
        "A battle here is already called “Harrow Ford”. Choose another name, or go on with it: \
         reopen NAME"
    );
    assert_eq!(
        game.refuses("reopen \"Harow Ford\"").await,
        "No battle here is called “Harow Ford”. Did you mean “Harrow Ford”?"
    );
    assert_eq!(
        game.refuses("open X --scale 20 --rules closed-field").await,
        "There are no rules called “closed-field”. The rules here are: open-field, cell-by-cell."
    );
    assert_eq!(game.says("reopen \"harrow ford\"").await, "The battle is open again.\n");
    assert_eq!(
        game.says("battles").await,
        "Battles here\n  Harrow Ford: open, 3 events, id 7b738f030b54d147\n"
    );
}

#[tokio::test]
async fn the_rules_can_be_read() {
    let game = Game::empty().await;
    insta::assert_snapshot!(game.says("rules").await);
    game.says("open X --scale 20 --rules cell-by-cell").await;
    insta::assert_snapshot!("rules_cell_by_cell", game.says("rules").await);
}

#[tokio::test]
async fn a_table_given_cell_by_cell_is_fought_by() {
    let game = Game::empty()
        .await
        .after("open X --scale 20 --rules cell-by-cell")
        .await
        .after("muster A --side Vale --class riders --men 100")
        .await
        .after("muster B --side Grey --class militia --men 120")
        .await;
    insta::assert_snapshot!(game.says("melee A B --charge").await);
}

#[tokio::test]
async fn an_undo_takes_back_and_the_roll_stays_spent() {
    let game = Game::at_the_ford().await;
    let before = game.battle().await.field;
    game.says("melee \"Ford Wardens\" \"Banner Foot\"").await;
    assert_ne!(game.battle().await.field, before);
    assert_eq!(
        game.says("undo the wrong unit was named").await,
        "Taken back: melee \"Ford Wardens\" \"Banner Foot\"\n  \
         Roll 1 stays in the record, and its link stays spent.\n  \
         Reason: the wrong unit was named\n"
    );
    assert_eq!(game.battle().await.field, before);
    assert!(game.says("melee \"Ford Wardens\" \"Banner Foot\"").await.contains("Roll 2 · link"));
    assert!(game.says("proof 1").await.contains("\"roll\":1"), "a roll taken back can be proved");
    for _ in 0..20 {
        game.says("turn").await;
    }
    for _ in 0..20 {
        game.says("undo again").await;
    }
    assert_eq!(
        game.refuses("undo again").await,
        "There is nothing left to undo. An undo reaches back over the last 20 changes."
    );
}

#[tokio::test]
async fn a_leader_whose_unit_is_gone_joins_another() {
    let game = Game::at_the_ford().await;
    game.says("change \"Ford Wardens\" --men 0").await;
    assert!(game.says("show").await.contains("Free leaders: Ida of Vale"));
    assert_eq!(
        game.refuses("attach Ida \"Banner Foot\"").await,
        "Ida fights for Vale and Banner Foot for Grey Banner. Choose a unit of the leader's own side."
    );
    assert_eq!(
        game.refuses("attach Orm \"Vale Riders\"").await,
        "No leader is called “Orm” in this battle. Its leaders are: Ida."
    );
    assert_eq!(game.says("attach ida \"vale riders\"").await, "Ida leads Vale Riders.\n");
    assert_eq!(
        game.refuses("melee \"Ford Wardens\" \"Banner Foot\"").await,
        "Ford Wardens cannot fight: it is destroyed. Choose another unit."
    );
}

#[tokio::test]
async fn leaders_never_get_lost_or_stuck() {
    let game = Game::at_the_ford().await;
    assert_eq!(
        game.says("dismiss \"Ford Wardens\"").await,
        "Ford Wardens is off the list. Its leader Ida is free.\n"
    );
    game.says("change \"Vale Riders\" --men 0").await;
    assert_eq!(
        game.refuses("change \"Vale Riders\" --leader Ida").await,
        "Vale Riders has no men left, so it can only be destroyed. Give it men first: change UNIT \
         --men 80"
    );
    game.says("muster Reeds --side Vale --class levy --men 60").await;
    game.says("change Reeds --leader Ida").await;
    game.says("change Reeds --men 0 --leader none").await;
    assert!(game.battle().await.field.free_leaders.is_empty(), "she was taken away by hand");
}

#[tokio::test]
async fn leaders_who_fight_are_mustered_and_changed() {
    let game = Game::at_the_ford().await;
    assert_eq!(
        game.says(
            "muster Reeds --side Vale --class levy --men 60 --leader Bram --might 2 --wounds 3 \
             --general --spare"
        )
        .await,
        "Reeds musters for Vale.\n  3 figures, 60 men at 1:20\n  \
         levy, trained, leader Bram (general, might 2, 3 wounds, spared)\n"
    );
    assert_eq!(
        game.says("change \"Ford Wardens\" --might 3 --wounds 2").await,
        "Ford Wardens is changed.\n  leader: Ida, now Ida (might 3, 2 wounds)\n"
    );
    assert_eq!(
        game.says("change Reeds --general no --spare no --wounds 1 --might 1").await,
        "Reeds is changed.\n  \
         leader: Bram (general, might 2, 3 wounds, spared), now Bram\n"
    );
    assert_eq!(
        game.says("change Reeds --general yes").await,
        "Reeds is changed.\n  leader: Bram, now Bram (general)\n"
    );
    for (line, sentence) in [
        (
            "change \"Ford Wardens\" --general yes",
            "Vale has the general Bram, and a side has one. Let him be general no more first.",
        ),
        (
            "muster X --side Vale --class levy --men 60 --might 2",
            "X has no leader. Give it one: change UNIT --leader NAME",
        ),
        (
            "change \"Vale Riders\" --wounds 2",
            "Vale Riders has no leader. Give it one: change UNIT --leader NAME",
        ),
        (
            "change Reeds --wounds 7",
            "“7” does not fit --wounds <NUMBER>: use a whole number from 1 to 6.",
        ),
        (
            "change Reeds --might 1",
            "Nothing would change. Name something to change, such as: change UNIT --men 80",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
}

#[tokio::test]
async fn leaders_come_go_and_take_their_place() {
    let game = Game::at_the_ford().await;
    for (line, post) in [
        ("lead \"ford wardens\" back", "Ida of Ford Wardens holds back.\n"),
        ("lead \"Ford Wardens\" front", "Ida of Ford Wardens leads from the front.\n"),
        ("attach ida \"vale riders\"", "Ida leaves Ford Wardens and leads Vale Riders.\n"),
        ("detach \"Vale Riders\"", "Ida leaves Vale Riders and stands alone.\n"),
        ("attach Ida \"Ford Wardens\"", "Ida leads Ford Wardens.\n"),
    ] {
        assert_eq!(game.says(line).await, post, "{line}");
    }
    for (line, sentence) in [
        (
            "lead \"Ford Wardens\" front",
            "Ida leads from the front already. Choose the other place, or another unit.",
        ),
        (
            "lead \"Vale Riders\" back",
            "Vale Riders has no leader. Give it one: change UNIT --leader NAME",
        ),
        (
            "lead \"Ford Wardens\" sideways",
            "“sideways” does not fit <front|back>. Use one of: front, back.",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
}

#[tokio::test]
async fn two_leaders_fight_each_other() {
    let game = Game::at_the_ford()
        .await
        .after("change \"Ford Wardens\" --might 2 --wounds 3")
        .await
        .after("change \"Banner Foot\" --leader Orm --wounds 3")
        .await;
    for (line, sentence) in [
        (
            "duel Ida Orm",
            "Ida and Orm do not lead units in contact with each other. To let them meet all the \
             same: duel LEADER LEADER --meet",
        ),
        ("duel Ida Sela", "No leader is called “Sela” in this battle. Its leaders are: Ida, Orm."),
        ("duel Ida Ida --meet", "Ida and Ida are not of two sides. Name a leader of each side."),
        (
            "duel Ida Orm --to death",
            "“death” does not fit --to <wound|rounds|end>. Use one of: wound, rounds, end.",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
    insta::assert_snapshot!("odds_of_a_single_combat", game.says("odds ida orm").await);
    insta::assert_snapshot!(game.says("duel ida orm --meet").await);
    assert_eq!(
        game.refuses("duel Orm Ida --meet").await,
        "Orm has fought another leader this turn already. Wait for the next turn."
    );
    game.says("turn").await;
    insta::assert_snapshot!(
        "a_single_combat_to_the_end",
        game.says("duel Ida Orm --to end --meet").await
    );
    insta::assert_snapshot!("state_after_a_single_combat", game.says("show").await);
    crate::helper::audit(&game.export().await).unwrap();
}

#[tokio::test]
async fn a_melee_adds_to_the_contacts_that_stand() {
    let game = Game::at_the_ford().await;
    // One figure of each fights, so that nobody's nerve is in question.
    for unit in ["Ford Wardens", "Banner Foot", "Grey Levies"] {
        game.says(&format!("change \"{unit}\" --grade guard --frontage 1 --men 800")).await;
    }
    game.says("melee \"Ford Wardens\" \"Banner Foot\" and \"Ford Wardens\" \"Grey Levies\"").await;
    let held = game.battle().await.field.engagements[0].contacts.len();
    assert_eq!(held, 2, "the dice of this test leave all three standing");
    let post = game.says("melee \"Ford Wardens\" \"Banner Foot\"").await;
    for named in ["Ford Wardens at Grey Levies", "Banner Foot at Ford Wardens", "turn 1, round 2"] {
        assert!(post.contains(named), "{post}");
    }
}

#[tokio::test]
async fn names_that_only_look_alike_are_refused() {
    let game = Game::at_the_ford().await;
    for hidden in
        "\u{200b}\u{200f}\u{feff}\u{202e}\u{a0}\u{2003}\u{3000}\u{2800}\u{3164}\u{ad}".chars()
    {
        let line = format!("muster \"Ford{hidden} Wardens\" --side Vale --class levy --men 40");
        assert_eq!(
            game.refuses(&line).await,
            format!(
                "What stands in square brackets in “Ford[U+{:04X}] Wardens” cannot be seen, or \
                 only looks like a space. Type the name or the text anew, with plain spaces.",
                u32::from(hidden)
            )
        );
    }
    for (line, like) in [
        ("muster \"F\u{43e}rd Wardens\" --side Vale --class levy --men 20", "Ford Wardens"),
        ("muster Reeds --side Vale --class levy --men 20 --leader lda", "Ida"),
        ("change \"Vale Riders\" --rename \"Bànner Foot\"", ""),
        ("change \"Bànner Foot\" --rename \"Banner F00t\"", "Banner Foot"),
        ("side \"V\u{430}le\"", "Vale"),
        ("word \"Person-4\" reeds", "person-4"),
        ("word Orm reeds", ""),
        ("word 0rm reeds", "Orm"),
        ("close", ""),
        ("open \"H\u{430}rrow Ford\" --scale 20", "Harrow Ford"),
        ("open \"Harrow Mill\" --scale 20 --side Ida --side lda", "Ida"),
    ] {
        if like.is_empty() {
            game.says(line).await;
            continue;
        }
        let refused = game.refuses(line).await;
        let said = format!("” looks too much like “{like}”, which is another's here.");
        assert!(refused.contains(&said), "{line}: {refused}");
    }
    let game = Game::at_the_ford().await;
    for whole in ["Wächter 🐎👨‍👩‍👧", "שומרי המעבר", "حراس", "می\u{200c}خواهم", "Kamin ⚔\u{fe0f}"]
    {
        let line = format!("muster \"{whole}\" --side Vale --class levy --men 40");
        assert!(game.says(&line).await.starts_with(whole), "{whole}");
    }
}

#[tokio::test]
async fn rally_is_once_a_turn_and_out_of_contact() {
    let game = Game::at_the_ford().await;
    game.says("change \"Grey Levies\" --standing shaken").await;
    // Shaken or steady after it, the levies have had their rally of this turn.
    game.says("rally \"Grey Levies\"").await;
    game.says("change \"Grey Levies\" --standing shaken --men 200").await;
    assert_eq!(
        game.refuses("rally \"Grey Levies\"").await,
        "Grey Levies has already tried to rally this turn. Begin the next turn first: turn"
    );
    game.says("turn").await;
    game.says("rally \"Grey Levies\"").await;
}

#[tokio::test]
async fn both_hands_on_the_dice() {
    let game = Game::at_the_ford().await;
    game.says("word Orm \"grey cloth\"").await;
    assert_eq!(
        game.says("melee \"Ford Wardens\" \"Banner Foot\" --cast").await,
        "Vale has announced a roll.\n  melee \"Ford Wardens\" \"Banner Foot\" --cast\n\
         Grey Banner casts it: cast TEXT\n  \
         The text is 8 to 80 characters of the caster's own. Together with the link it\n    \
         decides the dice.\n"
    );
    let waits = "A roll of Vale against Grey Banner is waiting for Grey Banner to cast it, and \
                 nothing else can be done before that. Take it back (undo, with a reason), or cast it: \
                 cast TEXT";
    let announced = game.battle().await;
    for line in
        ["turn", "word Orm \"something ground\"", "muster X --side Vale --class levy --men 40"]
    {
        assert_eq!(game.refuses(line).await, waits, "{line}");
    }
    assert_eq!(
        game.refuses("cast reeds").await,
        "A cast is a text of your own: 8 to 80 characters, on one line. Type one: cast TEXT"
    );
    assert_eq!(game.battle().await.head, announced.head, "nothing came between");
    game.asks("the-cast", "cast \"red reeds, cold hands\"").await.unwrap();
    let proof = game.says("proof").await;
    let asked =
        game.events().await[usize::try_from(announced.seq).unwrap() - 1].event.asked.clone();
    for stated in [
        format!("\\nasked {asked}\\n"),
        "\\nword Orm: grey cloth\\n".to_owned(),
        format!("\\nrecord {}\\ncast red reeds, cold hands\\n", announced.head),
        "request melee \\\"Ford Wardens\\\" \\\"Banner Foot\\\" --cast\\n".to_owned(),
    ] {
        assert!(proof.contains(&stated), "{stated}: {proof}");
    }
    assert_eq!(
        game.refuses("cast \"red reeds, cold hands\"").await,
        "No roll is waiting for a cast. Announce one: melee UNIT UNIT --cast"
    );
    assert_eq!(
        game.refuses("proof 9").await,
        "No roll 9 has been thrown in this battle. The only roll is 1."
    );
}

/// Every post ends with what binds the record up to it.
#[tokio::test]
async fn every_answer_ends_with_the_hash_of_its_event() {
    let game = Game::at_the_ford().await;
    for line in ["turn", "word Orm reeds", "melee \"Ford Wardens\" \"Banner Foot\"", "close"] {
        let text = game.says_at(200, line).await;
        let hash = game.referee.all_battles().await.unwrap()[0].battle.clone();
        let events = game.referee.events_after(&hash, 0, 1000).await.unwrap();
        let record = format!("record {}", events.last().unwrap().hash.short());
        assert!(text.trim_end().lines().last().unwrap().contains(&record), "{text}");
    }
}

#[tokio::test]
async fn odds_are_shown_and_nothing_is_thrown() {
    let game = Game::at_the_ford().await;
    insta::assert_snapshot!(
        game.says("odds \"Vale Riders\" \"Grey Levies\" --charge --flank").await
    );
    insta::assert_snapshot!(
        "odds_of_three_contacts",
        game.says(
            "odds \"Ford Wardens\" \"Grey Levies\" and \"Vale Riders\" \"Grey Levies\" and \
             \"Ford Wardens\" \"Banner Foot\""
        )
        .await
    );
    insta::assert_snapshot!("even_fight", game.says("match \"Vale Riders\" --class levy").await);
    assert_eq!(game.battle().await.rolls, 0);
    assert_eq!(
        game.refuses("odds").await,
        "No melee is being fought. Ask for the odds of one: odds UNIT UNIT"
    );
    assert_eq!(
        game.refuses("match \"Vale Riders\" --class levies").await,
        "“levies” is not a class in these rules. Use one of: levy, skirmishers, line foot, \
         shock foot, outriders, riders, lancers, great beasts."
    );
}

/// An even fight is sought for nobody's unit, so it needs no room in the battle.
#[tokio::test]
async fn an_even_fight_is_found_in_a_full_battle() {
    let game = Game::at_the_ford().await;
    let alone = game.says("match \"Vale Riders\" --class levy").await;
    for n in 4..200 {
        game.says(&format!("muster \"Reeds {n}\" --side Vale --class levy --men 40")).await;
    }
    assert!(
        game.refuses("muster Late --side Vale --class levy --men 40")
            .await
            .starts_with("This battle has 200 units")
    );
    assert_eq!(game.says("match \"Vale Riders\" --class levy").await, alone);
}

#[tokio::test]
async fn a_post_says_what_does_not_count_and_why() {
    let game = Game::empty().await;
    let spears = "8 line foot, long spears";
    for (struck, how, lines) in [
        (
            spears,
            "--charge",
            &["against long spears −3: rung −1", "charge does not count: into long spears"][..],
        ),
        ("8 line foot, long spears, shaken", "", &["long spears do not count: shaken"]),
        (spears, "--flank", &["long spears do not count: taken on the flank"]),
        (spears, "--rear", &["long spears do not count: taken from the rear"]),
        (spears, "--higher both", &["higher ground does not count: asked for both"]),
    ] {
        let post = game.says(&format!("ruling \"3 riders\" \"{struck}\" {how}")).await;
        for line in lines {
            assert!(post.contains(&format!("\n  {line}\n")), "{line} is not in:\n{post}");
        }
    }
    let plain = game.says("ruling \"3 riders\" \"8 line foot\" --charge").await;
    assert!(!plain.contains("count:"), "{plain}");
}

#[tokio::test]
async fn quick_rulings_and_plain_dice_need_no_battle() {
    let game = Game::empty().await;
    insta::assert_snapshot!(
        game.says(
            "ruling \"8 line foot, seasoned, led\" \"60 men of riders\" --scale 20 --higher ours"
        )
        .await
    );
    insta::assert_snapshot!("plain_dice", game.says("throw 3d6 d20 --for \"the weather\"").await);
    assert!(game.says("proof").await.contains("request throw 3d6 1d20 --for"));
    assert!(game.says("proof 1").await.contains("A quick ruling at 1:20"));
    for (line, sentence) in [
        (
            "ruling \"line foot\" \"3 levy\"",
            "“line foot” does not describe a unit. Say how many of what, then the rest after \
             commas: \"8 figures of line foot, seasoned, long spears\"",
        ),
        (
            "throw 3x6",
            "“3x6” cannot be thrown. Write how many dice, then d, then their sides: 3d6. At most 100 dice of 2 to \
             1,000,000 sides.",
        ),
        (
            "ruling \"8 line foot, brave\" \"3 levy\"",
            "“brave” is not a grade in these rules. Use one of: raw, trained, seasoned, guard.",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
    assert_eq!(
        game.refuses("show").await,
        "No battle is open here. Go on with a closed one (reopen), or open one: open NAME --scale 20"
    );
    let first = game.asks("t", "throw 2d6").await.unwrap();
    game.says("open X --scale 20").await;
    let again = game.asks("t", "throw 2d6").await.unwrap();
    assert!(again.again && again.event == first.event, "asked again after a battle was opened");
    game.says("throw 2d6").await;
    assert_eq!(game.battle().await.rolls, 1, "with a battle open, its own dice are thrown");
}

/// The odds of a quick ruling are those of the fights that the rules list, to the last digit.
#[tokio::test]
async fn quick_odds_come_as_data_with_every_digit() {
    let game = Game::empty().await;
    let line = "ruling \"8 line foot\" \"60 men of riders\" --scale 20 --odds --json";
    let odds: serde_json::Value = serde_json::from_str(&game.says(line).await).unwrap();
    let stands = odds["melees"][0]["finish"]["standing"]["first_alone"].as_f64().unwrap();
    assert!((stands - 0.624_198_974).abs() < 1e-8, "{stands}");
}

#[tokio::test]
async fn scales_are_compared_side_by_side() {
    let game = Game::at_the_ford().await;
    insta::assert_snapshot!(game.says("scale --at 50,1,20").await);
    let line = "scale \"Ford Wardens\" \"Banner Foot\" --at 20 --share 0 --json";
    let scales: serde_json::Value = serde_json::from_str(&game.says(line).await).unwrap();
    let odds: serde_json::Value =
        serde_json::from_str(&game.says("odds \"Ford Wardens\" \"Banner Foot\" --json").await)
            .unwrap();
    let row = &scales["scales"]["rows"][0];
    let odds = &odds["melees"][0];
    let standing = &odds["finish"]["standing"];
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let favourite = number(&standing["first_alone"]).max(number(&standing["second_alone"]));
    assert!((number(&row["favourite_wins"]) - favourite).abs() < 1e-12, "one fight, one chance");
    let lost = number(&odds["finish"]["units"][0]["losses"]["expected_men"]) / 160.0;
    assert!((number(&row["losses"][0]["expected"]) - lost).abs() < 1e-12);
    // 160, 80, 200 and 240 men: 1:40 shows each of them exactly, and nothing coarser does.
    let all: serde_json::Value =
        serde_json::from_str(&game.says("scale --at 20 --share 0 --json").await).unwrap();
    assert_eq!(all["scales"]["coarsest"], 40);
    assert_eq!(
        game.refuses("scale --at 1 --share 101").await,
        "“101” does not fit --percent <NUMBER>: use a whole number from 0 to 100."
    );
    assert_eq!(game.battle().await.rolls, 0);
}

#[tokio::test]
async fn a_frontage_stays_as_wide_on_the_ground() {
    let game = Game::at_the_ford().await;
    game.says("change \"Ford Wardens\" --frontage 4").await;
    game.says("rescale 10").await;
    assert!(game.says("show \"Ford Wardens\"").await.contains("frontage 8 figures"));
    game.says("rescale 150").await;
    assert!(game.says("show \"Ford Wardens\"").await.contains("frontage 1 figure"));
    game.says("rescale 20").await;
    assert!(game.says("show \"Ford Wardens\"").await.contains("frontage 4 figures"));
}

#[tokio::test]
async fn a_battle_has_forty_words_at_most() {
    let game = Game::at_the_ford().await;
    for n in 1..=40 {
        game.says(&format!("word Orm{n} reeds")).await;
    }
    assert_eq!(
        game.refuses("word Ida reeds").await,
        "This battle has 40 words, the most that go into its rolls. Give a word under a name \
         that already has one: show"
    );
    game.says("word Orm40 \"cold water\"").await;
}

/// A list of all is in memory at once; the latest are shown however many there are.
#[tokio::test]
async fn a_battle_too_long_to_list_is_refused() {
    let game = Game::empty().await.after("open X --scale 20").await;
    for n in 1..5_000 {
        game.asks(&format!("turn-{n}"), "turn").await.unwrap();
    }
    assert_eq!(game.says("log --all").await.lines().count(), 5_001);
    game.says("turn").await;
    assert_eq!(
        game.refuses("log --all").await,
        "This battle has 5001 events, and a list of all tells 5000 at most. The command “drumhead \
         export” writes all of it to a file."
    );
    assert!(game.says("log").await.contains("5001"));
}

/// The post shows each condition and each step by hand with its reason.
#[tokio::test]
async fn conditions_stand_count_and_end() {
    let game = Game::at_the_ford().await;
    assert_eq!(
        game.says("condition Weary --unit \"ford wardens\" --turns 2").await,
        "weary is on Ford Wardens.\n  weary (its throws −1, nerve −1) until turn 2 ends; set by \
         table\n"
    );
    let mud =
        "condition \"deep mud\" --side Vale --strike -1 --no-charge --why \"the bank gave way\"";
    assert_eq!(
        game.says(mud).await,
        "deep mud is on Vale.\n  deep mud (its throws −1, no charge): the bank gave way; set by \
         table\n"
    );
    let fought = game
        .says("melee \"Ford Wardens\" \"Banner Foot\" --theirs +1 --why \"fresh from the reeds\"")
        .await;
    assert!(fought.contains("  weary −1, deep mud −1: rung −2\n"), "{fought}");
    assert!(fought.contains("  fresh from the reeds +1: rung +1\n"), "{fought}");
    let listed = game.says("conditions").await;
    assert!(listed.starts_with("2 conditions stand.\n"), "{listed}");
    game.says("turn").await;
    game.says("turn").await;
    assert_eq!(game.battle().await.field.conditions.len(), 1, "weary ended with turn 2");
    assert_eq!(
        game.says("lift \"deep mud\" --side vale").await,
        "deep mud is no longer on Vale.\n"
    );
    for (line, sentence) in [
        (
            "condition mud --unit \"Ford Wardens\"",
            "“mud” is not a condition of these rules. Use one of: weary, heartened, dismayed, \
             disordered, soft ground, rain, fog, night; or make one up: say what it does, and why.",
        ),
        ("condition weary", "“weary” stands on a unit. Set it there."),
        (
            "condition weary --unit \"Ford Wardens\" --nerve -3 --why tired",
            "The rules say what “weary” does. Leave its effects out, or choose another name.",
        ),
        (
            "condition mud --strike -1",
            "A reason has 1 to 200 characters, on one line. Say briefly why.",
        ),
        ("lift fog", "“fog” does not stand there. Nothing does."),
        (
            "condition mud --strike -4 --why mud",
            "“-4” does not fit --strike <NUMBER>: use a whole number from -3 to +3.",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
}
