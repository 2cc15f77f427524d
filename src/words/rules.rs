//! The rules in words: every number of a rules file.

use super::Post;
use super::condition::effects;
use super::phrases::{list, rate, signed};
use crate::rules::{Morale, Rules, StandsOn};

/// A post that lists every number of the rules, and the file's SHA-256.
pub(super) fn rules(rules: &Rules) -> Post {
    let mut post = Post::new(format!("The rules {}", rules.title));
    dice_and_ranks(&mut post, rules);
    post.line(0, "Troop classes: weight, presence, protection");
    for class in &rules.classes {
        let weight = class.weight.map_or("by table".to_owned(), |weight| weight.to_string());
        let mounted = if class.mounted { ", mounted" } else { "" };
        post.line(
            1,
            format!("{}: {weight}, {}, {}{mounted}", class.name, class.presence, class.protection),
        );
    }
    post.line(0, "Rungs: dice for figures");
    for (rung, at) in rules.ladder.rungs() {
        post.line(1, format!("{}: {}", signed(rung), rate(at, rules.dice.sides)));
    }
    if !rules.cells.is_empty() {
        post.line(0, "The table: striker against target");
        for ((striker, target), cell) in &rules.cells {
            post.line(1, format!("{striker} against {target}: {}", rate(*cell, rules.dice.sides)));
        }
    }
    let grades = rules.grades.iter().map(|grade| {
        let usual = if grade.default { " (the usual)" } else { "" };
        format!("{} {}{usual}", grade.name, signed(grade.modifier))
    });
    post.line(0, format!("Grades: {}", list(grades)));
    if !rules.weapons.is_empty() {
        post.line(0, "Missile weapons: power at short and long range");
        for weapon in &rules.weapons {
            let long = weapon.long.map_or("none".to_owned(), signed);
            post.line(1, format!("{}: {}, {long}", weapon.name, signed(weapon.short)));
        }
    }
    procedures(&mut post, rules);
    conditions(&mut post, rules);
    post.line(0, format!("SHA-256 of the file: {}", rules.sha256));
    post
}

/// What combat dice are, and who of a unit with a frontage takes part.
fn dice_and_ranks(post: &mut Post, rules: &Rules) {
    let (dice, ranks) = (&rules.dice, &rules.ranks);
    post.line(
        0,
        format!(
            "Combat dice: d{}; a side that would get none against a unit it reaches, {}; a leader \
             adds {} to one contact",
            dice.sides, dice.minimum, dice.leader
        ),
    );
    post.line(
        0,
        format!(
            "Ranks of a unit with a frontage: {} fight, {} with long spears, {} shoot; massed from \
             {}",
            ranks.fighting, ranks.long_spears, ranks.shooting, ranks.massed
        ),
    );
    if let Some(rounds) = rules.rounds {
        post.line(0, format!("A melee is fought at most {rounds} times a turn"));
    }
    if rules.smallest > 1 {
        let least = rules.smallest;
        post.line(0, format!("Smallest unit: {least} figures, at any scale but 1:1"));
    }
}

/// Steps, leaders, morale and rally, so that every term of a ruling can be looked up.
fn procedures(post: &mut Post, rules: &Rules) {
    let (steps, shooting) = (&rules.steps, &rules.shooting);
    post.line(0, "Steps in a melee");
    for (name, by) in [
        ("charge, first round", steps.charge),
        ("long spears against mounted", steps.long_spears),
        ("mounted against long spears", steps.against_long_spears),
        ("on the flank", steps.flank),
        ("from the rear", steps.rear),
        ("struck on the flank", steps.struck_flank),
        ("struck from the rear", steps.struck_rear),
        ("higher ground", steps.higher_ground),
        ("across an obstacle", steps.obstacle),
        ("shaken", steps.shaken),
    ] {
        post.line(1, format!("{name} {}", signed(by)));
    }
    post.line(
        0,
        format!(
            "Steps in shooting: light cover {}, behind works {}, shooter shaken {}, shooter moved {}, massed target {}",
            signed(shooting.light_cover),
            signed(shooting.works),
            signed(shooting.shaken),
            signed(shooting.moved),
            signed(shooting.massed)
        ),
    );
    let (leader, morale, rally) = (&rules.leader, &rules.morale, &rules.rally);
    let quarters = match rally.quarter_lost {
        0 => String::new(),
        by => format!(", each quarter lost {}", signed(by)),
    };
    let dice = format!("{}d{}", rules.test.dice, rules.test.sides);
    post.line(
        0,
        format!(
            "Leaders at risk: {dice}, falls on {}; on {} if half was lost; on {} if destroyed",
            leader.falls_on, leader.half_lost, leader.destroyed
        ),
    );
    post.line(
        0,
        format!(
            "Morale: {dice} and grade, {} stands, {} falls back, less routs",
            morale.stands_on, morale.falls_back_on
        ),
    );
    post.line(1, format!("leader {}", signed(morale.leader)));
    let most = morale.quarters_counted;
    post.line(1, format!("each quarter lost {}, at most {most}", signed(morale.quarter_lost)));
    post.line(1, format!("lost more than it killed {}", signed(morale.lost_more)));
    let side = signed(morale.struck_side_or_rear);
    post.line(1, format!("struck on the flank or from the rear {side}"));
    for degree in &morale.outnumbered {
        let (theirs, ours) = (degree.theirs, degree.ours);
        post.line(1, format!("outnumbered {theirs}:{ours} {}", signed(degree.modifier)));
    }
    if let Some(by) = morale.comrade {
        post.line(1, format!("comrades gone {}", signed(by)));
    }
    if let Some(deep) = morale.deep {
        post.line(1, format!("deep, {} full ranks {}", deep.ranks, signed(deep.modifier)));
    }
    post.line(1, tested(morale));
    if let Some(duel) = rules.duel {
        post.line(
            0,
            format!(
                "Single combat: {dice} and might each; {} apart is a wound, {} apart two; a press of \
                 rounds has {}; the unit of the fallen tests with {}",
                duel.wound,
                duel.two_wounds,
                duel.rounds,
                signed(duel.nerve)
            ),
        );
    }
    post.line(
        0,
        format!(
            "Rally: {dice}, grade and leader{quarters}; shaken is steady on {}, routing is shaken on {}",
            rally.steady_on, rally.shaken_on
        ),
    );
}

/// Who tests after a round.
fn tested(morale: &Morale) -> String {
    let share = match morale.tested_share {
        None | Some(1) => "a figure".to_owned(),
        Some(share) => format!("1 figure in {share}"),
    };
    let comrades = if morale.comrade.is_some() { ", or comrades gone" } else { "" };
    format!("tested: lost {share} or more, lost more than it killed, outnumbered{comrades}")
}

/// The conditions that can be set by name, and on what each may stand.
fn conditions(post: &mut Post, rules: &Rules) {
    if rules.conditions.is_empty() {
        return;
    }
    post.line(0, "Conditions");
    for known in &rules.conditions {
        let on = known.on.iter().map(|on| match on {
            StandsOn::Unit => "unit",
            StandsOn::Side => "side",
            StandsOn::Battle => "battle",
        });
        let (name, does) = (&known.name, effects(&known.effects));
        post.line(1, format!("{name} ({}): {does}", list(on.map(str::to_owned))));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::SHIPPED;

    /// What a rules file says, without the SHA-256 that changes with every byte of the file.
    fn said(text: &str) -> Option<String> {
        let rules = Rules::load("rules.toml", text).ok()?;
        let mut post = rules_without_digest(&rules);
        post.headline.clear();
        Some(post.text(usize::MAX))
    }

    fn rules_without_digest(rules: &Rules) -> Post {
        let mut post = super::rules(rules);
        let digest = post.lines.pop().expect("the last line is the digest");
        assert!(digest.text.starts_with("SHA-256"), "{}", digest.text);
        post
    }

    /// The file with only that entry of its table of entries: rungs, and degrees of being
    /// outnumbered, hold each other in place, so that alone each can be changed. Another side's
    /// share is so great there that ours can be anything.
    fn alone(lines: &[&str], at: usize) -> (Vec<String>, usize) {
        let begins = |line: &str| line.starts_with('[');
        let start = (0..=at).rev().find(|n| begins(lines[*n])).expect("a number has a table");
        let table = lines[start];
        let (mut kept, mut here, mut left_out) = (Vec::new(), 0, false);
        for (n, line) in lines.iter().enumerate() {
            if begins(line) {
                left_out = table.starts_with("[[") && *line == table && n != start;
            }
            if n == at {
                here = kept.len();
            }
            let theirs = n != at && table.contains("outnumbered") && line.starts_with("theirs = ");
            if !left_out {
                kept.push(if theirs { "theirs = 90" } else { line }.to_owned());
            }
        }
        (kept, here)
    }

    /// Texts of the file with the number of that line changed, those near it first.
    fn changed(lines: &[String], at: usize, key: &str, number: i64) -> Vec<String> {
        let others = (1..=20).flat_map(|by| [number + by, number - by]);
        let with = |other: i64| {
            let mut lines = lines.to_vec();
            lines[at] = format!("{key} = {other}");
            lines.join("\n")
        };
        others.map(with).collect()
    }

    #[test]
    fn every_number_of_a_rules_file_is_listed() {
        for (file, text) in SHIPPED {
            let lines: Vec<&str> = text.lines().collect();
            let mut numbers = 0;
            for (at, line) in lines.iter().enumerate() {
                let Some((key, value)) = line.split_once(" = ") else { continue };
                let value = value.split('#').next().unwrap_or_default().trim();
                // The number of the file's form is the program's and no rule.
                let Some(number) = value.parse::<i64>().ok().filter(|_| key != "form") else {
                    continue;
                };
                let whole: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
                let (single, here) = alone(&lines, at);
                let differs = [(whole, at), (single, here)].into_iter().find_map(|(lines, at)| {
                    let before = said(&lines.join("\n"))?;
                    let mut after = changed(&lines, at, key, number).into_iter();
                    after.find_map(|text| said(&text)).map(|after| before != after)
                });
                assert_eq!(differs, Some(true), "{file}, line {}: {line}", at + 1);
                numbers += 1;
            }
            assert!(numbers > 50, "{file} has {numbers} numbers");
        }
    }
}
