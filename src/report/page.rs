//! A report put in order: headings, sentences, lists, tables, pictures and lines for a machine.

use super::data::{Chapter, Entry, ReportData};
use super::luck::{MeleeLuck, ThrowLuck};
use crate::pictures::Picture;
use crate::protocol::Unit;
use crate::words::{count, figures, men, number, rare, standing};

/// How many throws or melees a list of the most uncommon ones has.
const LISTED: usize = 3;

/// A report in order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Page {
    pub title: String,
    pub blocks: Vec<Block>,
}

/// One part of a page.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Block {
    /// A heading; level 2 begins a section, level 3 a part of it.
    Heading(u8, String),
    /// A sentence or two.
    Text(String),
    Items(Vec<Item>),
    Table(Table),
    Picture(Box<Picture>),
    /// Lines for a machine, each ending with LF, as a file of that name.
    File {
        name: &'static str,
        lines: String,
    },
}

/// One item of a list, with what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    pub text: String,
    pub under: Vec<String>,
}

/// A table whose first column names its rows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Table {
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

pub(super) fn page(tale: &ReportData) -> Page {
    let mut page =
        Page { title: format!("Report of {}", tale.battle.name), blocks: vec![summary(tale)] };
    if let Some(course) = &tale.course {
        page.heading(2, "Course");
        page.blocks.push(Block::Picture(Box::new(Picture::Course(course.clone()))));
    }
    losses(&mut page, tale);
    happened(&mut page, tale);
    luck(&mut page, tale);
    receipts(&mut page, tale);
    page
}

impl Page {
    fn heading(&mut self, level: u8, text: impl Into<String>) {
        self.blocks.push(Block::Heading(level, text.into()));
    }

    fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    /// A list, or a sentence that nothing belongs on it.
    fn list(&mut self, items: Vec<String>) {
        if items.is_empty() {
            return self.text("None stands out.");
        }
        let item = |text| Item { text, under: Vec::new() };
        self.blocks.push(Block::Items(items.into_iter().map(item).collect()));
    }
}

fn summary(tale: &ReportData) -> Block {
    let battle = &tale.battle;
    let day = |at: &str| at.chars().take(10).collect::<String>();
    let state = if battle.open { "still open" } else { "closed" };
    let lost = battle.field.sides.iter().map(|side| {
        let units = units(tale, side);
        let lost: u32 = units.iter().map(|unit| unit.men_lost()).sum();
        format!("{side} lost {} of {}.", number(lost), men(sum(&units, |unit| unit.muster.men)))
    });
    let lost = lost.map(|sentence| sentence + " ").collect::<Vec<_>>().concat();
    let (from, until) = (day(&battle.opened), day(&tale.last));
    let when = if from == until { format!("On {from}") } else { format!("From {from} to {until}") };
    Block::Text(format!(
        "{lost}{when}, {}, {}, scale {}, rules {}, {state}.",
        count(battle.field.turn, "turn", "turns"),
        count(battle.rolls, "roll", "rolls"),
        battle.field.scale,
        battle.rules_name
    ))
}

/// The units of a side, those last that were taken off the list.
fn units<'a>(tale: &'a ReportData, side: &str) -> Vec<&'a Unit> {
    let units = tale.battle.field.units.iter().chain(&tale.dismissed).map(AsRef::as_ref);
    units.filter(|unit: &&Unit| unit.side == side).collect()
}

fn now(tale: &ReportData, unit: &Unit) -> &'static str {
    let gone = tale.dismissed.iter().any(|gone| std::ptr::eq(gone.as_ref(), unit));
    if gone { "off the list" } else { standing(unit.standing) }
}

fn sum(units: &[&Unit], of: fn(&Unit) -> u32) -> u32 {
    units.iter().map(|unit| of(unit)).sum()
}

fn losses(page: &mut Page, tale: &ReportData) {
    page.heading(2, "Losses");
    page.text(format!("Figures are counted at {}.", tale.battle.field.scale));
    for side in tale.battle.field.sides.iter() {
        page.heading(3, side);
        let units = units(tale, side);
        let of = |lost: u32, all: u32| format!("{} of {}", number(lost), number(all));
        let mut rows: Vec<Vec<String>> = units
            .iter()
            .map(|unit| {
                vec![
                    unit.name.clone(),
                    of(unit.figures_lost(), unit.muster.figures),
                    of(unit.men_lost(), unit.muster.men),
                    now(tale, unit).to_owned(),
                ]
            })
            .collect();
        rows.push(vec![
            "All".to_owned(),
            of(sum(&units, Unit::figures_lost), sum(&units, |unit| unit.muster.figures)),
            of(sum(&units, Unit::men_lost), sum(&units, |unit| unit.muster.men)),
            String::new(),
        ]);
        let head = ["Unit", "Figures lost", "Men lost", "Now"].map(str::to_owned).to_vec();
        page.blocks.push(Block::Table(Table { head, rows }));
    }
}

fn happened(page: &mut Page, tale: &ReportData) {
    page.heading(2, "What happened");
    for chapter in tale.entries.chunk_by(|a, b| a.chapter == b.chapter) {
        page.heading(
            3,
            match chapter[0].chapter {
                Chapter::Muster => "Muster".to_owned(),
                Chapter::Turn(turn) => format!("Turn {turn}"),
            },
        );
        page.blocks.push(Block::Items(chapter.iter().map(item).collect()));
    }
}

fn item(entry: &Entry) -> Item {
    let mark = if entry.taken_back { "Taken back. " } else { "" };
    let post = &entry.post;
    let mut under: Vec<String> = post.lines.iter().map(|line| line.text.clone()).collect();
    // A ruling's line that stands out to the left says what it was; plain dice have none.
    let title = post.lines.iter().position(|line| line.depth == 0);
    let text = match (entry.roll, title) {
        (Some(roll), Some(title)) => {
            let what = std::mem::replace(&mut under[title], post.headline.clone());
            format!("{mark}Roll {roll}. {what}")
        }
        (Some(roll), None) => format!("{mark}Roll {roll}. {}", post.headline),
        (None, _) => format!("{mark}{}", post.headline),
    };
    Item { text, under }
}

fn luck(page: &mut Page, tale: &ReportData) {
    if tale.throws.is_empty() {
        return;
    }
    page.heading(2, "Luck");
    let throws = u32::try_from(tale.throws.len()).expect("a battle has few throws");
    let mut how = format!(
        "Each throw that may kill is held against all throws of as many dice: how often do as \
         many dice kill, or more, or fewer? The chances are exact. Among {}, one with a chance of {} \
         is no surprise.",
        count(throws, "throw", "throws"),
        rare(1.0 / f64::from(throws))
    );
    if tale.taken_back > 0 {
        how.push_str(" Rolls taken back are left out.");
    }
    page.text(how);
    for (heading, how, chance) in LISTS {
        page.heading(3, heading);
        let listed = extreme(&tale.throws, chance).map(|throw| {
            let ThrowLuck { roll, label, dice, hits, luck } = throw;
            let dice = count(*dice, "die kills", "dice kill");
            let (expected, chance) = (luck.expected, rare(chance(throw)));
            format!(
                "Roll {roll}, {label}: {hits} of {dice}, {expected:.1} expected. {how}: {chance}."
            )
        });
        page.list(listed.collect());
    }
    melees(page, tale);
}

/// A list of throws: its heading, what its chance is of, and that chance.
type List = (&'static str, &'static str, fn(&ThrowLuck) -> f64);

const LISTS: [List; 2] = [
    ("Luckiest throws", "As many or more", |throw| throw.luck.as_well),
    ("Unluckiest throws", "As many or fewer", |throw| throw.luck.as_badly),
];

/// The few with the least chance, the rarest first; what comes every other time is not uncommon.
fn extreme<T>(all: &[T], chance: impl Fn(&T) -> f64) -> impl Iterator<Item = &T> {
    let mut rare: Vec<&T> = all.iter().filter(|one| chance(one) < 0.5).collect();
    rare.sort_by(|a, b| chance(a).total_cmp(&chance(b)));
    rare.into_iter().take(LISTED)
}

fn melees(page: &mut Page, tale: &ReportData) {
    if tale.melees.is_empty() && tale.unmeasured == 0 {
        return;
    }
    page.heading(3, "Melees as a whole");
    if tale.unmeasured > 0 {
        let melees = count(tale.unmeasured, "melee is", "melees are");
        page.text(format!("{melees} too large to be measured as a whole."));
    }
    if tale.melees.is_empty() {
        return;
    }
    page.text("The most uncommon ones by figures killed less figures lost.");
    let listed = extreme(&tale.melees, MeleeLuck::rarity).map(|melee| {
        let MeleeLuck { roll, sides: [ours, theirs], killed, lost, luck, .. } = melee;
        let (how, chance) = if luck.as_well <= luck.as_badly {
            ("well or better", luck.as_well)
        } else {
            ("badly or worse", luck.as_badly)
        };
        format!(
            "Roll {roll}, {ours} against {theirs}: {ours} killed {} and lost {}. As {how} for \
             {ours}: {}.",
            figures(*killed),
            number(*lost),
            rare(chance)
        )
    });
    page.list(listed.collect());
    if let Some(odds) = &tale.odds {
        page.blocks.push(Block::Picture(Box::new(Picture::Losses(odds.clone()))));
    }
}

fn receipts(page: &mut Page, tale: &ReportData) {
    page.heading(2, "Receipts");
    if tale.receipts.is_empty() {
        page.text("No dice were thrown.");
        return;
    }
    let name = "receipts.jsonl";
    page.text(format!(
        "One line a roll, those taken back too. To check the dice, save the lines as {name} and \
         run: drumhead check {name}"
    ));
    let lines = tale.receipts.iter().fold(String::new(), |all, line| all + line + "\n");
    page.blocks.push(Block::File { name, lines });
}
