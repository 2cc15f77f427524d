//! The grammar of a line: requests, their options, and the help on each.
//!
//! To add a request, add it here and to `words::request_line`.

use crate::battle::Mistake;
use crate::protocol::{Described, DiceAsk, Scale, Setting};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

#[derive(Parser)]
#[command(no_binary_name = true, disable_help_subcommand = true, disable_help_flag = true)]
#[command(help_template = "{about}\n\n{usage-heading} {usage}\n\n{all-args}{after-help}")]
pub(super) struct Spoken {
    #[command(subcommand)]
    pub ask: Spelled,
}

#[derive(Subcommand)]
pub(super) enum Spelled {
    /// Open a battle at a figure scale.
    #[command(after_help = "Example: open \"Harrow Ford\" --scale 20")]
    Open(OpenWords),
    /// Name a third or further side; the first two come with their units.
    #[command(after_help = "Example: side \"Free Riders\"")]
    Side { name: String },
    /// Muster a unit: its side, its troop class and its men.
    #[command(after_help = "Example: muster \"Ford Wardens\" --side Vale --class \"heavy foot\" \
                            --men 160 --grade seasoned --spears --leader Ida")]
    Muster(MusterWords),
    /// Change a unit. What is not named stays as it is.
    #[command(after_help = "Example: change \"Ford Wardens\" --men 120 --leader none")]
    Change(ChangeWords),
    /// Take a unit off the list.
    #[command(after_help = "Example: dismiss \"Ford Wardens\"")]
    Dismiss { unit: String },
    /// Attach a free leader, whose unit was destroyed, to another unit of his side.
    #[command(after_help = "Example: attach Ida \"Vale Riders\"")]
    Attach { leader: String, unit: String },
    /// Change the figure scale of the running battle.
    #[command(after_help = "Example: rescale 10")]
    Rescale {
        /// Men that one figure stands for: 10 or 1:10.
        #[arg(value_parser = scale)]
        scale: Scale,
    },
    /// Fight one round of a melee. The asking side's unit comes first; more contacts follow
    /// after "and", each with options of its own.
    #[command(after_help = "Examples:\n  melee \"Ford Wardens\" \"Banner Spears\"\n  \
                            melee \"Vale Riders\" \"Grey Levies\" --charge --flank and \
                            \"Ford Wardens\" \"Grey Levies\" --higher ours")]
    Melee(MeleeArgs),
    /// Fight on: another round of the contacts that still stand.
    #[command(after_help = "Examples: again\n          again \"Ford Wardens\"")]
    Again {
        /// A unit of the melee; without it the latest melee goes on.
        unit: Option<String>,
    },
    /// Cast a roll that the other side announced, with a text of your own.
    #[command(after_help = "Example: cast \"red reeds, cold hands\"")]
    Cast {
        /// 8 to 80 characters of your own.
        text: String,
    },
    /// Shoot at a unit, at short range unless told otherwise.
    #[command(
        after_help = "Example: shoot \"Vale Archers\" \"Banner Spears\" --long --cover light"
    )]
    Shoot(ShootWords),
    /// Rally a shaken or routing unit, once a turn and out of contact.
    #[command(after_help = "Example: rally \"Grey Levies\"")]
    Rally { unit: String },
    /// Rule a clash of two units that nobody has mustered. No battle is needed.
    #[command(after_help = "Examples:\n  ruling \"8 heavy foot, seasoned\" \"3 medium horse\"\n  \
                            ruling \"160 men of levy, raw\" \"8 figures of light foot, shaken\" \
                            --scale 20 --flank\n\
                            A description: how many figures or men of which class; then after \
                            commas a grade, long spears, shaken, led, frontage N.")]
    Ruling(RulingArgs),
    /// Throw plain dice in public. No battle is needed.
    #[command(after_help = "Example: throw 3d6 1d20 --for \"the weather\"")]
    Throw {
        /// Dice such as 3d6.
        #[arg(required = true, value_parser = dice)]
        dice: Vec<DiceAsk>,
        /// What they are for.
        #[arg(long = "for", value_name = "WHAT")]
        purpose: Option<String>,
    },
    /// Begin the next turn.
    Turn,
    /// Give a word that goes into every later roll, so that nobody knows the dice beforehand.
    #[command(after_help = "Example: word Orm \"cold water, high reeds\"")]
    Word {
        name: String,
        #[arg(allow_hyphen_values = true)]
        text: String,
    },
    /// Take back the last change. A roll that was thrown stays in the record.
    #[command(after_help = "Example: undo \"wrong unit named\"")]
    Undo {
        /// Why; the record keeps it.
        #[arg(required = true, num_args = 1.., allow_hyphen_values = true)]
        reason: Vec<String>,
    },
    /// Close the battle.
    Close,
    /// Go on with a closed battle.
    #[command(after_help = "Example: reopen \"Harrow Ford\"")]
    Reopen { battle: String },
    /// Show the battle, or one unit.
    #[command(after_help = "Examples: show\n          show \"Ford Wardens\"")]
    Show { unit: Option<String> },
    /// Show the exact odds of a melee as it would be asked: one round, and fought to the finish.
    /// Nothing is thrown.
    #[command(after_help = "Examples:\n  odds \"Ford Wardens\" \"Banner Spears\"\n  \
                            odds \"Vale Riders\" \"Grey Levies\" --charge --flank\n  \
                            odds     (the melee that is being fought)")]
    Odds(OddsArgs),
    /// Show the same armies at several figure scales: time, luck, and what rounding does.
    /// Nothing is thrown.
    #[command(after_help = "Examples:\n  scale\n  scale \"Ford Wardens\" \"Banner Foot\" --at \
                            1,10,20 --share 5\n\
                            Without names each unit meets its opposite number in muster order.")]
    Scale(ScaleArgs),
    /// Show how many men of a class make an even fight against a unit. Nothing is thrown.
    #[command(after_help = "Example: match \"Grey Levies\" --class \"heavy foot\"")]
    Match(MatchArgs),
    /// List the battles of this table.
    Battles,
    /// List what the record holds, oldest first.
    Log {
        /// The whole record, not only the latest 20 events.
        #[arg(long)]
        all: bool,
    },
    /// Show a roll again with its whole receipt, by which anyone can check it.
    #[command(after_help = "Example: proof 7")]
    Proof {
        /// The roll's number; without it the latest.
        roll: Option<u32>,
    },
    /// Show the rules: troop classes, rungs, grades, weapons.
    Rules,
    /// Show what can be asked, or how to ask one thing.
    #[command(after_help = "Example: help melee")]
    Help { request: Option<String> },
    /// Leave the table. The battle stays in the record.
    #[command(alias = "exit")]
    Quit,
}

#[derive(Args)]
pub(super) struct OpenWords {
    pub name: String,
    /// Men that one figure stands for: 20 or 1:20.
    #[arg(long, value_parser = scale)]
    pub scale: Scale,
    /// The rules by name; without it those that ship.
    #[arg(long)]
    pub rules: Option<String>,
    /// A side, named at once; may be given again.
    #[arg(long = "side", value_name = "SIDE")]
    pub sides: Vec<String>,
    /// Every roll against a side is cast by that side.
    #[arg(long)]
    pub casts: bool,
}

#[derive(Args)]
pub(super) struct MusterWords {
    pub unit: String,
    /// Its side.
    #[arg(long)]
    pub side: String,
    /// Its troop class, as "rules" lists them.
    #[arg(long)]
    pub class: String,
    /// Its men, 1 to 100,000.
    #[arg(long, value_parser = men, allow_negative_numbers = true)]
    pub men: u32,
    /// Its grade, as "rules" lists them.
    #[arg(long)]
    pub grade: Option<String>,
    /// It has long spears.
    #[arg(long)]
    pub spears: bool,
    /// Its missile weapon, as "rules" lists them.
    #[arg(long)]
    pub weapon: Option<String>,
    /// Figures in its front rank; without it every figure fights.
    #[arg(long)]
    pub frontage: Option<u32>,
    /// The leader attached to it.
    #[arg(long)]
    pub leader: Option<String>,
}

#[derive(Args)]
pub(super) struct ChangeWords {
    pub unit: String,
    /// A new name.
    #[arg(long, value_name = "NAME")]
    pub rename: Option<String>,
    /// Another side.
    #[arg(long)]
    pub side: Option<String>,
    /// Another troop class.
    #[arg(long)]
    pub class: Option<String>,
    /// The men it has now, up to 100,000.
    #[arg(long, value_parser = men, allow_negative_numbers = true)]
    pub men: Option<u32>,
    /// Another grade.
    #[arg(long)]
    pub grade: Option<String>,
    /// Whether it has long spears.
    #[arg(long, value_name = "yes|no", value_parser = yes_or_no)]
    pub spears: Option<bool>,
    /// Its missile weapon, or none.
    #[arg(long)]
    pub weapon: Option<String>,
    /// Figures in its front rank, or none.
    #[arg(long, value_parser = frontage)]
    pub frontage: Option<Setting<u32>>,
    /// Its leader, or none.
    #[arg(long)]
    pub leader: Option<String>,
    /// How it stands.
    #[arg(long, value_enum, ignore_case = true)]
    pub standing: Option<StandingWord>,
    /// Take it out of every contact.
    #[arg(long)]
    pub apart: bool,
}

#[derive(Parser)]
#[command(no_binary_name = true, disable_help_flag = true)]
pub(super) struct MeleeWords {
    #[command(flatten)]
    pub contact: ContactWords,
    #[arg(long)]
    pub cast: bool,
}

#[derive(Args)]
pub(super) struct MeleeArgs {
    #[command(flatten)]
    pub contact: ContactWords,
    /// Only announce it: the other side's cast throws the dice.
    #[arg(long)]
    pub cast: bool,
}

#[derive(Args)]
pub(super) struct ContactWords {
    /// The striking unit, of the side that asks.
    pub striker: String,
    /// The unit it strikes.
    pub struck: String,
    #[command(flatten)]
    pub how: HowWords,
}

/// How the two units of a contact meet.
#[derive(Args)]
#[allow(clippy::struct_excessive_bools, reason = "each is an option that is given or not")]
pub(super) struct HowWords {
    /// The striker charges; mounted units only.
    #[arg(long)]
    pub charge: bool,
    /// The struck unit charges too; mounted units only.
    #[arg(long)]
    pub countercharge: bool,
    /// The striker comes in on the flank.
    #[arg(long)]
    pub flank: bool,
    /// The striker comes in from the rear.
    #[arg(long, conflicts_with = "flank")]
    pub rear: bool,
    /// Whose unit holds higher ground; if both do, it counts for neither.
    #[arg(long, value_name = "ours|theirs|both", value_enum, ignore_case = true)]
    pub higher: Option<Higher>,
    /// Whose unit defends an obstacle between the two.
    #[arg(long, value_name = "ours|theirs", value_enum, ignore_case = true)]
    pub obstacle: Option<Whose>,
}

#[derive(Args)]
pub(super) struct RulingArgs {
    /// The striking unit, described.
    #[arg(value_parser = described)]
    pub striker: Described,
    /// The unit it strikes, described.
    #[arg(value_parser = described)]
    pub struck: Described,
    /// Men that one figure stands for.
    #[arg(long, value_parser = scale, default_value = "1:1")]
    pub scale: Scale,
    #[command(flatten)]
    pub how: HowWords,
    /// Only show the odds; nothing is thrown.
    #[arg(long)]
    pub odds: bool,
    /// The odds as one line of JSON, with every digit.
    #[arg(long, requires = "odds")]
    pub json: bool,
    /// Draw the odds to this file too, as SVG.
    #[arg(long, value_name = "FILE", value_parser = svg_file, requires = "odds")]
    pub svg: Option<PathBuf>,
}

#[derive(Args)]
pub(super) struct OddsArgs {
    /// The striking unit; without names, the melee that is being fought.
    #[arg(requires = "struck")]
    pub striker: Option<String>,
    /// The unit it strikes.
    pub struck: Option<String>,
    #[command(flatten)]
    pub how: HowWords,
    #[command(flatten)]
    pub form: FormWords,
}

/// In what form chances are shown.
#[derive(Args)]
pub(super) struct FormWords {
    /// As one line of JSON, with every digit.
    #[arg(long)]
    pub json: bool,
    /// Draw the picture to this file too, as SVG.
    #[arg(long, value_name = "FILE", value_parser = svg_file, conflicts_with = "json")]
    pub svg: Option<PathBuf>,
}

#[derive(Args)]
pub(super) struct ScaleArgs {
    /// A unit; without names, every unit and its opposite number.
    #[arg(requires = "other")]
    pub unit: Option<String>,
    /// The unit it meets.
    pub other: Option<String>,
    /// The scales to compare.
    #[arg(long, value_parser = scale, value_delimiter = ',', default_value = "1,5,10,20,50,100")]
    pub at: Vec<Scale>,
    /// By how many percent of its men no unit should be misrepresented.
    #[arg(long, value_name = "PERCENT", default_value_t = 10,
          value_parser = clap::value_parser!(u32).range(0..=100))]
    pub share: u32,
    #[command(flatten)]
    pub form: FormWords,
}

#[derive(Args)]
pub(super) struct MatchArgs {
    /// The unit to be met.
    pub unit: String,
    /// The troop class of those who would meet it, as "rules" lists them.
    #[arg(long)]
    pub class: String,
    /// Their grade, as "rules" lists them.
    #[arg(long)]
    pub grade: Option<String>,
    /// They have long spears.
    #[arg(long)]
    pub spears: bool,
    /// Figures in their front rank; without it every figure fights.
    #[arg(long)]
    pub frontage: Option<u32>,
    #[command(flatten)]
    pub form: FormWords,
}

#[derive(Args)]
pub(super) struct ShootWords {
    pub shooter: String,
    pub target: String,
    /// At long range.
    #[arg(long)]
    pub long: bool,
    /// What protects the target.
    #[arg(long, value_enum, ignore_case = true)]
    pub cover: Option<CoverWord>,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum Whose {
    Ours,
    Theirs,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum Higher {
    Ours,
    Theirs,
    Both,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum CoverWord {
    Light,
    Works,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum StandingWord {
    Steady,
    Shaken,
    Routing,
    Left,
    Destroyed,
}

fn scale(text: &str) -> Result<Scale, String> {
    let men = text.strip_prefix("1:").unwrap_or(text);
    men.parse().ok().and_then(Scale::new).ok_or_else(|| {
        format!("a figure scale is a whole number of men from 1 to {}", Scale::COARSEST)
    })
}

/// Men, with or without a comma at the thousands.
fn men(text: &str) -> Result<u32, String> {
    let digits = text.replace(',', "");
    digits.parse().map_err(|_| "men are a whole number from 1 to 100,000".to_owned())
}

fn frontage(text: &str) -> Result<Setting<u32>, String> {
    if text.eq_ignore_ascii_case("none") {
        return Ok(Setting::None);
    }
    text.parse().map(Setting::To).map_err(|_| "use a whole number of figures, or none".to_owned())
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("use yes or no".to_owned()),
    }
}

fn described(text: &str) -> Result<Described, Mistake> {
    text.parse()
}

fn dice(text: &str) -> Result<DiceAsk, Mistake> {
    text.parse()
}

/// Only a file that is named as a picture is written over.
fn svg_file(text: &str) -> Result<PathBuf, String> {
    let file = PathBuf::from(text);
    let named = file.extension().is_some_and(|end| end.eq_ignore_ascii_case("svg"));
    if named { Ok(file) } else { Err("a picture's file ends in .svg".to_owned()) }
}
