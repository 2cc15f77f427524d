//! Every limit of a rules file: what stands on it is taken, what is one past it is refused.

use super::*;
use toml::Value;

/// The file with one value replaced; entries of a list are counted from 0.
fn with(text: &str, path: &str, value: impl Into<Value>) -> Result<Rules, RulesError> {
    let mut file: Value = toml::from_str(text).unwrap();
    *at(&mut file, path) = value.into();
    Rules::load("x.toml", &toml::to_string(&file).unwrap())
}

fn at<'v>(file: &'v mut Value, path: &str) -> &'v mut Value {
    path.split('.').fold(file, |at, part| match part.parse::<usize>() {
        Ok(n) => &mut at[n],
        Err(_) => &mut at[part],
    })
}

/// What is wrong and what to do, where the key itself is refused; another key may be, when a limit
/// of it hangs from this one.
fn refused(loaded: Result<Rules, RulesError>, key: &str) -> Option<String> {
    let error = loaded.err().filter(|error| error.key == key)?;
    Some(format!("{}; {}", error.what, error.mend))
}

/// The limits are those that stand beside each key in `file.rs`.
#[test]
fn every_number_is_held_to_its_range() {
    for (text, paths, least, most) in [
        (SIX_SIDED, "dice.sides", 2, 100),
        (SIX_SIDED, "dice.minimum dice.leader", 0, 10),
        (SIX_SIDED, "test.dice", 1, 4),
        (SIX_SIDED, "test.sides", 2, 20),
        (SIX_SIDED, "ranks.fighting ranks.long_spears ranks.shooting ranks.massed", 1, 10),
        (SIX_SIDED, "class.1.presence", 1, 100),
        (SIX_SIDED, "class.1.weight class.1.protection rung.0.rung", -20, 20),
        (SIX_SIDED, "rung.1.dice rung.1.figures", 1, 20),
        (CELL_BY_CELL, "cell.1.dice cell.1.figures", 1, 20),
        (SIX_SIDED, "rung.1.kills_on", 1, 6),
        (CELL_BY_CELL, "cell.1.kills_on", 1, 20),
        (SIX_SIDED, "steps.charge steps.long_spears steps.against_long_spears", -10, 10),
        (SIX_SIDED, "steps.flank steps.rear steps.struck_flank steps.struck_rear", -10, 10),
        (SIX_SIDED, "steps.higher_ground steps.obstacle steps.shaken", -10, 10),
        (SIX_SIDED, "shooting.light_cover shooting.works", -10, 10),
        (SIX_SIDED, "shooting.shaken shooting.massed", -10, 10),
        // Two dice of six sides score 12 at the most, and one more is never thrown: nobody falls.
        (SIX_SIDED, "leader.falls_on leader.half_lost leader.destroyed", 2, 13),
        (SIX_SIDED, "grade.1.modifier morale.outnumbered.1.modifier", -10, 10),
        (SIX_SIDED, "morale.leader morale.quarter_lost morale.lost_more", -10, 10),
        (SIX_SIDED, "morale.struck_side_or_rear", -10, 10),
        (SIX_SIDED, "morale.quarters_counted", 0, 4),
        (SIX_SIDED, "morale.stands_on rally.steady_on rally.shaken_on", -50, 100),
        // It falls back on what does not stand, and a unit stands on 6.
        (SIX_SIDED, "morale.falls_back_on", -50, 6),
        (SIX_SIDED, "weapon.2.short weapon.2.long", -20, 20),
    ] {
        for path in paths.split(' ') {
            is_held(text, path, least, most);
        }
    }
}

fn is_held(text: &str, path: &str, least: i64, most: i64) {
    let key = counted_from_1(path);
    for value in [least, most] {
        assert_eq!(refused(with(text, path, value), &key), None, "{path} = {value}");
    }
    // A number that is never below 0 is refused by its kind before its range is looked at.
    for value in [least - 1, most + 1].into_iter().filter(|value| least != 0 || *value > 0) {
        let expected =
            format!("{value} is out of range; use a whole number from {least} to {most}");
        assert_eq!(refused(with(text, path, value), &key), Some(expected), "{path}");
    }
}

/// Shares of a degree hang together, so that only what is past both ends can be told alone.
#[test]
fn the_shares_of_a_degree_are_held_to_their_range() {
    for (path, value) in [
        ("morale.outnumbered.0.theirs", 0),
        ("morale.outnumbered.0.theirs", 101),
        ("morale.outnumbered.0.ours", 0),
        ("morale.outnumbered.0.ours", 101),
    ] {
        let expected = format!("{value} is out of range; use a whole number from 1 to 100");
        let key = counted_from_1(path);
        assert_eq!(refused(with(SIX_SIDED, path, value), &key), Some(expected), "{path}");
    }
    assert_eq!(degrees(&[(100, 1)]), None);
    assert_eq!(degrees(&[(100, 99)]), None);
}

#[test]
fn degrees_of_being_outnumbered_go_from_mild_to_bad() {
    let out_of_place = |shares: &str| {
        let what = format!("{shares} does not come after what stands before it");
        Some(format!("{what}; give degrees over 1:1, the mildest first"))
    };
    for (shares, expected) in [
        (&[(3, 2), (2, 1), (3, 1)][..], None),
        (&[(10, 9), (100, 60)], None),
        (&[], None),
        (&[(2, 2)], out_of_place("2:2")),
        (&[(1, 2)], out_of_place("1:2")),
        (&[(3, 2), (6, 4)], out_of_place("6:4")),
        (&[(3, 1), (30, 19)], out_of_place("30:19")),
        (&[(3, 1), (2, 1)], out_of_place("2:1")),
    ] {
        assert_eq!(degrees(shares), expected, "{shares:?}");
    }
}

/// The shipped rules with these degrees of being outnumbered: why the last of them is refused.
fn degrees(shares: &[(i64, i64)]) -> Option<String> {
    let degree = |(theirs, ours): &(i64, i64)| {
        let parts = [("theirs", *theirs), ("ours", *ours), ("modifier", -1)];
        Value::Table(parts.map(|(key, value)| (key.to_owned(), value.into())).into_iter().collect())
    };
    let degrees: Vec<Value> = shares.iter().map(degree).collect();
    let loaded = with(SIX_SIDED, "morale.outnumbered", degrees);
    if let Err(error) = &loaded {
        assert_eq!(error.key, format!("morale.outnumbered.{}", shares.len()), "{error}");
    }
    refused(loaded, &format!("morale.outnumbered.{}", shares.len()))
}

#[test]
fn a_name_has_1_to_40_characters_on_one_line() {
    let refusal = "this cannot be a name; use 1 to 40 characters on one line, without a space at \
                   either end";
    for path in ["name", "title", "class.6.name", "grade.0.name", "weapon.0.name"] {
        let refused = |name: &str| refused(with(SIX_SIDED, path, name), &counted_from_1(path));
        for name in ["é", &"é".repeat(40), "Märsch und Moor"] {
            assert_eq!(refused(name), None, "{path} = {name}");
        }
        for name in ["", &"é".repeat(41), " levy", "levy ", "le\nvy"] {
            assert_eq!(refused(name).as_deref(), Some(refusal), "{path} = {name}");
        }
    }
}

#[test]
fn no_list_is_empty_but_that_of_weapons() {
    let empty = "the list is empty; give at least one entry";
    for (path, expected) in [
        ("class", Some(empty)),
        ("grade", Some(empty)),
        ("rung", Some("there is no rung; give at least one")),
        ("weapon", None),
    ] {
        let loaded = with(SIX_SIDED, path, Vec::<Value>::new());
        assert_eq!(refused(loaded, path).as_deref(), expected, "{path}");
    }
    // Rules may be without missiles altogether.
    let without = with(SIX_SIDED, "weapon", Vec::<Value>::new()).expect("no weapon is needed");
    assert_eq!(without.weapons, []);
}

#[test]
fn no_list_names_one_thing_twice() {
    for (path, name) in
        [("class.2.name", "Levy"), ("grade.2.name", "RAW"), ("weapon.2.name", "slings")]
    {
        let expected = format!("“{name}” is given twice; give each a name of its own");
        let loaded = with(SIX_SIDED, path, name);
        assert_eq!(refused(loaded, &counted_from_1(path)), Some(expected));
    }
}

#[test]
fn exactly_one_grade_is_what_a_unit_has_with_none_given() {
    let text = SIX_SIDED.replacen("name = \"raw\"", "name = \"raw\"\ndefault = true", 1);
    let expected = "2 grades are marked `default = true`; mark exactly one";
    assert_eq!(refused(Rules::load("x.toml", &text), "grade").as_deref(), Some(expected));
}

/// A class needs no weight where every pair that it is in has a cell, as striker and as target.
#[test]
fn a_class_without_a_weight_needs_a_cell_for_each_of_its_pairs() {
    let nothing = |striker: &str, target: &str| {
        let what = format!("nothing says how {striker} meets {target}");
        Some(format!("{what}; give both classes a weight, or add a [[cell]] for this pair"))
    };
    let mut file: Value = toml::from_str(CELL_BY_CELL).unwrap();
    at(&mut file, "cell").as_array_mut().unwrap().remove(2);
    let loaded = Rules::load("x.toml", &toml::to_string(&file).unwrap());
    assert_eq!(refused(loaded, "class.1"), nothing("militia", "riders"));
    // With weights of both, the same pair is found by them.
    for (n, weight) in [(0, 1), (2, 3)] {
        let class = at(&mut file, &format!("class.{n}")).as_table_mut().unwrap();
        class.insert("weight".to_owned(), weight.into());
    }
    let rules = Rules::load("x.toml", &toml::to_string(&file).unwrap()).expect("weights do");
    assert_eq!(meets(&rules, "militia", "riders", 0).0, Some(-2));
}

/// The path as a person counts: entries of a list from 1.
fn counted_from_1(path: &str) -> String {
    let part = |part: &str| part.parse().map_or(part.to_owned(), |n: usize| (n + 1).to_string());
    path.split('.').map(part).collect::<Vec<_>>().join(".")
}
