//! The shipped rules against the facts of the trade, and what loading refuses.

use super::*;

mod ladder;
mod limits;

fn six_sided() -> Rules {
    Rules::load("six-sided.toml", SIX_SIDED).expect("the rules load")
}

fn meets(rules: &Rules, striker: &str, target: &str, steps: i32) -> (Option<i32>, Rate) {
    let class = |name| rules.class(name).expect(name);
    let matchup = rules.matchup(class(striker), class(target), steps);
    (matchup.rung, matchup.rate)
}

const fn rate(dice: u32, figures: u32, kills_on: u32) -> Rate {
    Rate { dice, figures, kills_on }
}

/// Five matchups: common practice, no source.
#[test]
fn matchups_agree_with_common_practice() {
    let rules = six_sided();
    for (striker, target, rung, expected) in [
        ("heavy foot", "heavy foot", 0, rate(1, 1, 6)),
        ("heavy foot", "light foot", 1, rate(1, 1, 5)),
        ("light foot", "heavy foot", -1, rate(1, 2, 6)),
        ("heavy foot", "medium horse", -2, rate(1, 3, 6)),
        ("medium horse", "heavy foot", 2, rate(2, 1, 5)),
    ] {
        let found = meets(&rules, striker, target, 0);
        assert_eq!(found, (Some(rung), expected), "{striker} against {target}");
    }
}

#[test]
fn a_matchup_is_held_within_the_ladder() {
    let rules = six_sided();
    assert_eq!(meets(&rules, "levy", "great beasts", -9).0, Some(-3));
    assert_eq!(meets(&rules, "levy", "great beasts", 2).0, Some(-3), "-6 and 2 are -4");
    assert_eq!(meets(&rules, "great beasts", "levy", 1).0, Some(3));
}

#[test]
fn a_cell_stands_as_given_until_a_step_moves_it() {
    let text = format!(
        "{SIX_SIDED}\n[[cell]]\nstriker = \"levy\"\ntarget = \"levy\"\ndice = 3\nfigures = 2\nkills_on = 6\n"
    );
    let rules = Rules::load("cells.toml", &text).expect("cells may be added");
    // 3 for 2 kills 1.5/6 for a figure: as near to rung 0 (1/6) as to rung 1 (2/6); the lower it is.
    assert_eq!(meets(&rules, "levy", "levy", 0), (None, rate(3, 2, 6)));
    assert_eq!(meets(&rules, "levy", "levy", 1), (Some(1), rate(1, 1, 5)));
    assert_eq!(meets(&rules, "levy", "levy", -1), (Some(-1), rate(1, 2, 6)));
    assert_eq!(
        meets(&rules, "levy", "light foot", 0).0,
        Some(-1),
        "other pairs keep their weights"
    );
}

#[test]
fn the_example_given_cell_by_cell_reaches_every_pair() {
    let rules = Rules::load("cell-by-cell.toml", CELL_BY_CELL).expect("the example loads");
    assert!(rules.classes.iter().all(|class| class.weight.is_none()));
    assert_eq!(rules.cells.len(), rules.classes.len().pow(2));
    for striker in &rules.classes {
        for target in &rules.classes {
            let cell = rules.cells[&(striker.name.clone(), target.name.clone())];
            assert_eq!(rules.matchup(striker, target, 0).rate, cell);
        }
    }
}

#[test]
fn a_rules_file_is_named_by_the_sha256_of_its_bytes() {
    assert_eq!(six_sided().sha256, Digest::of(SIX_SIDED.as_bytes()));
}

#[test]
fn what_is_wrong_is_refused_with_file_line_key_and_mend() {
    for (from, to, expected) in [
        ("form = 1 ", "form = 2 ", "x.toml, line 7, form: 2 is out of range; use 1."),
        (
            "minimum = 1 ",
            "minimun = 1 ",
            "x.toml, line 13, dice.minimun: unknown field `minimun`, expected one of `sides`, \
             `minimum`, `leader`; remove it, or correct its spelling.",
        ),
        (
            "sides = 6               # every",
            "# every",
            "x.toml, line 11, dice: missing field `sides`; add it.",
        ),
        (
            "charge = 1 ",
            "charge = 11 ",
            "x.toml, line 122, steps.charge: 11 is out of range; use a whole number from -10 to 10.",
        ),
        (
            "charge = 1 ",
            "charge = \"one\" ",
            "x.toml, line 122, steps.charge: invalid type: string \"one\", expected i32; correct it.",
        ),
        (
            "rung = -2\ndice = 1\nfigures = 3",
            "rung = -2\ndice = 1\nfigures = 4",
            "x.toml, line 84, rung.2: rung -2 kills no more than rung -3; give each rung more \
             expected kills for a figure than the one below it.",
        ),
        (
            "rung = -1\n",
            "rung = 4\n",
            "x.toml, line 91, rung.3.rung: rung 4 stands where rung -1 should; give the rungs \
             lowest first, each one more than the last.",
        ),
        (
            "name = \"light foot\"\nweight = 1\n",
            "name = \"light foot\"\n",
            "x.toml, line 34, class.2: nothing says how levy meets light foot; give both classes \
             a weight, or add a [[cell]] for this pair.",
        ),
        (
            "name = \"light foot\"",
            "name = \"Levy\"",
            "x.toml, line 35, class.2.name: “Levy” is given twice; give each a name of its own.",
        ),
        (
            "default = true ",
            "default = false ",
            "x.toml, line 139, grade: 0 grades are marked `default = true`; mark exactly one.",
        ),
        (
            "theirs = 2\nours = 1",
            "theirs = 3\nours = 2",
            "x.toml, line 171, morale.outnumbered.2: 3:2 does not come after what stands before \
             it; give degrees over 1:1, the mildest first.",
        ),
        ("[rally]", "[rally", "x.toml, line 181, rally: unclosed table, expected `]`; correct it."),
        // A comment behind a heading may hold what looks like a key.
        (
            "[dice]\nsides = 6               # every",
            "[dice] # sides = 6\n# every",
            "x.toml, line 11, dice: missing field `sides`; add it.",
        ),
        (
            "form = 1 ",
            "form = \"one\" ",
            "x.toml, line 7, form: invalid type: string \"one\", expected u32; correct it.",
        ),
        ("form = 1 ", "# ", "x.toml, line 1, the file: missing field `form`; add it."),
    ] {
        assert!(SIX_SIDED.contains(from), "the test's own text {from:?} is out of date");
        let text = SIX_SIDED.replacen(from, to, 1);
        let error = Rules::load("x.toml", &text).expect_err(to).to_string();
        assert_eq!(error, expected);
    }
}

/// An export holds the whole file, and in an export nothing hides.
#[test]
fn what_cannot_be_seen_is_refused() {
    for c in ['\u{202e}', '\u{7}', '\u{200b}', '\u{feff}'] {
        let text = SIX_SIDED.replacen("# Rules", &format!("# R{c}ules"), 1);
        let error = Rules::load("x.toml", &text).unwrap_err().to_string();
        let expected = format!(
            "x.toml, line 1, text: it holds a character that cannot be seen, U+{:04X}; take it out.",
            u32::from(c)
        );
        assert_eq!(error, expected);
    }
    let elsewhere = SIX_SIDED.replace('\n', "\r\n").replace("    ", "\t");
    assert!(Rules::load("x.toml", &elsewhere).is_ok(), "line breaks and tabs of any editor");
    let marked = format!("\u{feff}{SIX_SIDED}");
    assert!(Rules::load("x.toml", &marked).is_ok(), "the mark that some editors begin a file with");
}

#[test]
fn a_cell_for_an_unknown_class_or_given_twice_is_refused() {
    let cell = |striker: &str| {
        format!(
            "[[cell]]\nstriker = \"{striker}\"\ntarget = \"levy\"\ndice = 1\nfigures = 1\nkills_on = 6\n"
        )
    };
    let unknown = Rules::load("x.toml", &format!("{SIX_SIDED}{}", cell("levies")));
    assert_eq!(
        unknown.expect_err("unknown class").to_string(),
        "x.toml, line 221, cell.1.striker: there is no class “levies”; name a class of this \
         file, written the same way."
    );
    let broken = Rules::load("x.toml", &format!("{SIX_SIDED}{}", cell("le\\nvy")));
    assert_eq!(
        broken.expect_err("a name on two lines").to_string(),
        "x.toml, line 221, cell.1.striker: there is no class “le[U+000A]vy”; name a class of \
         this file, written the same way."
    );
    let twice = Rules::load("x.toml", &format!("{SIX_SIDED}{}{}", cell("levy"), cell("levy")));
    assert_eq!(
        twice.expect_err("twice").to_string(),
        "x.toml, line 226, cell.2: levy against levy is given twice; remove one of the two."
    );
}

#[test]
fn a_name_that_turns_the_text_around_is_refused() {
    let text = SIX_SIDED.replacen("name = \"levy\"", "name = \"le\\u202Evy\"", 1);
    assert_ne!(text, SIX_SIDED);
    let refused = Rules::load("x.toml", &text).expect_err("a turned name").to_string();
    assert!(
        refused.ends_with(
            "this cannot be a name; use 1 to 40 characters on one line, without a space at either \
             end."
        ),
        "{refused}"
    );
}
