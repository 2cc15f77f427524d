//! Rules files drawn at random, kept as the numbers they were written from.

use crate::rules::{Deep, Morale, Rate, Rules, Steps};
use proptest::prelude::*;
use std::fmt::Write as _;

/// The troop classes of every drawn file: two on foot, one mounted.
pub const CLASSES: [(&str, bool); 3] = [("spears", false), ("levies", false), ("riders", true)];
/// The grades of every drawn file.
pub const GRADES: [&str; 2] = ["raw", "trained"];

/// What being dismayed adds to nerve in every drawn file.
pub const DISMAYED: i32 = -2;

/// The numbers of a drawn rules file.
#[derive(Debug, Clone)]
pub struct Draft {
    pub sides: u32,
    pub minimum: u32,
    pub leader_dice: u32,
    /// Dice of a test, and sides of each.
    pub test: (u32, u32),
    /// Ranks that fight: in general, and with long spears.
    pub ranks: (u32, u32),
    /// Weight and presence of each class.
    pub classes: Vec<(i32, u32)>,
    pub lowest: i32,
    pub rungs: Vec<Rate>,
    /// A cell for each pair of classes, or none: striker by striker.
    pub cells: Vec<Option<Rate>>,
    pub steps: Steps,
    /// The scores on which a leader falls: in general, half lost, destroyed.
    pub risk: [u32; 3],
    pub grades: [i32; 2],
    /// What moves morale; its degrees of being outnumbered are drawn apart.
    pub morale: Morale,
    /// Degrees of being outnumbered: theirs, ours, modifier.
    pub outnumbered: Vec<(u32, u32, i32)>,
}

/// Expected kills of a figure in twelfths of one die's face: whole for up to 4 figures a rate.
pub fn twelfths(rate: Rate, sides: u32) -> i64 {
    12 * i64::from(rate.dice) * i64::from(sides + 1 - rate.kills_on) / i64::from(rate.figures)
}

fn rate(sides: u32) -> impl Strategy<Value = Rate> {
    (prop::sample::select(&[1, 1, 1, 1, 2, 3][..]), 1_u32..=4, 1..=sides)
        .prop_map(|(dice, figures, kills_on)| Rate { dice, figures, kills_on })
}

/// 3 to 13 rungs, each with more expected kills than the one below it.
fn rungs(sides: u32) -> impl Strategy<Value = Vec<Rate>> {
    (3_usize..=13, prop::collection::vec(rate(sides), 30)).prop_filter_map(
        "too few different rates",
        move |(count, mut rates)| {
            rates.truncate(3 * count);
            rates.sort_by_key(|rate| twelfths(*rate, sides));
            rates.dedup_by_key(|rate| twelfths(*rate, sides));
            rates.truncate(count);
            (rates.len() >= 3).then_some(rates)
        },
    )
}

/// Dice of a test: 1 to 4 of 2 to 20 sides, in few enough ways to go through all.
fn test_dice() -> impl Strategy<Value = (u32, u32)> {
    prop_oneof![
        6 => (Just(1), 2_u32..=5),
        2 => (Just(1), 6_u32..=20),
        2 => (Just(2), 2_u32..=3),
        1 => (Just(2), 4_u32..=8),
        1 => (Just(3), 2_u32..=4),
        1 => (Just(4), Just(2)),
    ]
}

fn steps() -> impl Strategy<Value = Steps> {
    prop::array::uniform10(-3_i32..=3).prop_map(|by| Steps {
        charge: by[0],
        long_spears: by[1],
        against_long_spears: by[2],
        flank: by[3],
        rear: by[4],
        struck_flank: by[5],
        struck_rear: by[6],
        higher_ground: by[7],
        obstacle: by[8],
        shaken: by[9],
    })
}

fn morale(most: u32) -> impl Strategy<Value = Morale> {
    let most = i32::try_from(most).expect("a test has few dice");
    let later = (
        prop::option::of(prop::sample::select(&[1_u32, 2, 3, 10][..])),
        prop::option::of(-3_i32..=1),
        prop::option::of((1_u32..=4, -1_i32..=2)),
    );
    ((-2..=most + 3, 0..=4), prop::array::uniform4(-3_i32..=3), 0_u32..=4, later).prop_map(
        |((stands_on, gap), by, quarters_counted, (tested_share, comrade, deep))| Morale {
            stands_on,
            falls_back_on: stands_on - gap,
            leader: by[0],
            quarter_lost: by[1],
            quarters_counted,
            lost_more: by[2],
            struck_side_or_rear: by[3],
            tested_share,
            comrade,
            deep: deep.map(|(ranks, modifier)| Deep { ranks, modifier }),
            outnumbered: Vec::new(),
        },
    )
}

/// Up to three degrees over 1:1, the mildest first.
fn outnumbered() -> impl Strategy<Value = Vec<(u32, u32, i32)>> {
    prop::collection::vec((2_u32..=9, 1_u32..=4, -3_i32..=1), 0..=3).prop_map(|mut degrees| {
        degrees.retain(|(theirs, ours, _)| theirs > ours);
        degrees.sort_by_key(|(theirs, ours, _)| 12 * theirs / ours);
        degrees.dedup_by_key(|(theirs, ours, _)| 12 * *theirs / *ours);
        degrees
    })
}

/// Any rules file whose faces are few enough to go through.
pub fn draft() -> impl Strategy<Value = Draft> {
    let sides = prop_oneof![3 => 2_u32..=6, 1 => 7_u32..=20];
    (sides, test_dice()).prop_flat_map(|(sides, test)| {
        let most = test.0 * test.1;
        let cell = prop_oneof![3 => Just(None), 1 => rate(sides).prop_map(Some)];
        let dice = (0_u32..=2, 0_u32..=2, (1_u32..=2, 1_u32..=3));
        let table = (-4_i32..=0, rungs(sides), prop::collection::vec(cell, 9), steps());
        let classes = prop::collection::vec((-3_i32..=3, 1_u32..=4), 3);
        let nerve = (prop::array::uniform2(-1_i32..=3), morale(most), outnumbered());
        (dice, classes, table, prop::array::uniform3(2..=most + 1), nerve).prop_map(
            move |(
                (minimum, leader_dice, ranks),
                classes,
                (lowest, rungs, cells, steps),
                risk,
                (grades, morale, outnumbered),
            )| Draft {
                sides,
                minimum,
                leader_dice,
                test,
                ranks,
                classes,
                lowest,
                rungs,
                cells,
                steps,
                risk,
                grades,
                morale,
                outnumbered,
            },
        )
    })
}

impl Draft {
    /// The rules that the program reads from the file.
    pub fn rules(&self) -> Rules {
        Rules::load("drawn.toml", &self.text()).unwrap()
    }

    fn text(&self) -> String {
        let Self { sides, minimum, leader_dice, test, ranks, lowest, risk, .. } = self;
        let (steps, morale) = (&self.steps, &self.morale);
        let mut text = format!(
            "form = 1\nname = \"drawn\"\ntitle = \"Drawn\"\n\
             [dice]\nsides = {sides}\nminimum = {minimum}\nleader = {leader_dice}\n\
             [test]\ndice = {}\nsides = {}\n\
             [ranks]\nfighting = {}\nlong_spears = {}\nshooting = 2\nmassed = 3\n\
             [leader]\nfalls_on = {}\nhalf_lost = {}\ndestroyed = {}\n\
             [rally]\nsteady_on = 7\nshaken_on = 9\n\
             [shooting]\nlight_cover = -1\nworks = -2\nshaken = -1\nmassed = 1\n",
            test.0, test.1, ranks.0, ranks.1, risk[0], risk[1], risk[2]
        );
        let mut entry = |line: String| writeln!(text, "{line}").expect("a String takes all");
        let fields = |of: &dyn std::fmt::Debug| {
            let shown = format!("{of:#?}");
            let lines =
                shown.lines().filter_map(|line| line.trim().trim_end_matches(',').split_once(": "));
            lines.map(|(key, value)| format!("{key} = {value}")).collect::<Vec<_>>().join("\n")
        };
        entry(format!("[steps]\n{}", fields(steps)));
        let degrees = self.outnumbered.iter().map(|(theirs, ours, by)| {
            format!("{{ theirs = {theirs}, ours = {ours}, modifier = {by} }}")
        });
        let degrees = degrees.collect::<Vec<_>>().join(", ");
        let plain = Morale { tested_share: None, comrade: None, deep: None, ..morale.clone() };
        let plain = fields(&plain).replace("[]", &format!("[{degrees}]"));
        let plain: Vec<&str> = plain.lines().filter(|line| !line.ends_with("None")).collect();
        entry(format!("[morale]\n{}", plain.join("\n")));
        for (key, value) in [
            ("tested_share", morale.tested_share.map(i64::from)),
            ("comrade", morale.comrade.map(i64::from)),
        ] {
            if let Some(value) = value {
                entry(format!("{key} = {value}"));
            }
        }
        if let Some(deep) = morale.deep {
            entry(format!("[morale.deep]\n{}", fields(&deep)));
        }
        for ((name, mounted), (weight, presence)) in CLASSES.iter().zip(&self.classes) {
            entry(format!(
                "[[class]]\nname = \"{name}\"\nweight = {weight}\npresence = {presence}\n\
                 mounted = {mounted}\nprotection = 0"
            ));
        }
        for (name, by) in GRADES.iter().zip(self.grades) {
            let default = *name == "trained";
            entry(format!("[[grade]]\nname = \"{name}\"\nmodifier = {by}\ndefault = {default}"));
        }
        for (rung, rate) in (*lowest..).zip(&self.rungs) {
            entry(format!("[[rung]]\nrung = {rung}\n{}", fields(rate)));
        }
        for (place, cell) in self.cells.iter().enumerate() {
            let [striker, target] = [place / 3, place % 3].map(|class| CLASSES[class].0);
            if let Some(rate) = cell {
                let rate = fields(rate);
                entry(format!("[[cell]]\nstriker = \"{striker}\"\ntarget = \"{target}\"\n{rate}"));
            }
        }
        entry(format!("[[condition]]\nname = \"dismayed\"\non = [\"side\"]\nnerve = {DISMAYED}"));
        text
    }
}
