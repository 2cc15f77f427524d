//! A request in its one-line form: what the local table reads and a roll's statement contains.

use super::{
    Appointee, Change, ConditionAsk, ContactAsk, Cover, DuelAsk, DuelEnd, Facing, Ground, HarmAsk,
    HarmHow, Holder, MeleeAsk, Muster, Open, QuickAsk, Reach, Request, Setting, ShootAsk,
    ShotRange, Standing,
};
use std::fmt::Write as _;

/// The one-line form of a request.
///
/// ```
/// use drumhead::protocol::{ContactAsk, MeleeAsk, Request};
/// let contacts = vec![ContactAsk::new("Ford Wardens", "Levies")];
/// let request = Request::Melee(MeleeAsk { contacts, cast: false });
/// assert_eq!(drumhead::protocol::request_line(&request), "melee \"Ford Wardens\" Levies");
/// ```
pub fn request_line(request: &Request) -> String {
    match request {
        Request::Open(ask) => open(ask),
        Request::Side { name } => Words::new("side").name(name).done(),
        Request::Muster(ask) => muster(ask),
        Request::Change(ask) => change(ask),
        Request::Part { unit, from, reason } => Words::new("part")
            .name(unit)
            .maybe("from", from.as_deref())
            .option("why", reason)
            .done(),
        Request::Dismiss { unit } => Words::new("dismiss").name(unit).done(),
        Request::Attach { leader, unit } => Words::new("attach").name(leader).name(unit).done(),
        Request::Detach { unit } => Words::new("detach").name(unit).done(),
        Request::Lead { unit, back } => {
            Words::new("lead").name(unit).name(if *back { "back" } else { "front" }).done()
        }
        Request::Rescale { scale } => format!("rescale {scale}"),
        Request::Melee(ask) => melee(ask),
        Request::Again { unit: None } => "again".to_owned(),
        Request::Again { unit: Some(unit) } => Words::new("again").name(unit).done(),
        Request::Cast { text } => Words::new("cast").name(text).done(),
        Request::Shoot(ask) => shoot(ask),
        Request::Rally { unit } => Words::new("rally").name(unit).done(),
        Request::Duel(ask) => duel(ask),
        Request::Harm(ask) => harm(ask),
        Request::Nerve { unit, reason } => {
            Words::new("nerve").name(unit).option("why", reason).done()
        }
        Request::Reinforce { unit, men, reason } => Words::new("reinforce")
            .name(unit)
            .option("men", &men.to_string())
            .option("why", reason)
            .done(),
        Request::Quick(ask) => quick(ask),
        Request::Throw { dice, purpose } => {
            let words =
                dice.iter().fold(Words::new("throw"), |words, dice| words.name(&dice.to_string()));
            words.maybe("for", purpose.as_deref()).done()
        }
        Request::Turn => "turn".to_owned(),
        Request::Condition(ask) => condition(ask),
        Request::Lift { name, on } => reach(Words::new("lift").name(name), on).done(),
        Request::Word { name, text } => Words::new("word").name(name).name(text).done(),
        Request::Undo { reason } => Words::new("undo").name(reason).done(),
        Request::Appoint { who, side } => office("appoint", *who, side.as_deref()),
        Request::Relieve { who, side } => office("relieve", *who, side.as_deref()),
        Request::Close => "close".to_owned(),
        Request::Reopen { battle } => Words::new("reopen").name(battle).done(),
    }
}

/// A name as it is written on a line: in quotation marks where it needs them.
pub fn quote(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_.:/+".contains(c);
    let first = name.chars().next();
    if first.is_some_and(char::is_alphanumeric) && name.chars().all(plain) && name != "and" {
        return name.to_owned();
    }
    let mut quoted = String::from("\"");
    for c in name.chars() {
        if matches!(c, '"' | '\\' | '$' | '`') {
            quoted.push('\\');
        }
        quoted.push(c);
    }
    quoted.push('"');
    quoted
}

fn office(request: &str, who: Appointee, side: Option<&str>) -> String {
    Words::new(request).name(&who.to_string()).maybe("side", side).done()
}

fn open(ask: &Open) -> String {
    let mut words = Words::new("open").name(&ask.name).option("scale", &ask.scale.to_string());
    if let Some(rules) = &ask.rules {
        words = words.option("rules", rules);
    }
    let words = ask.sides.iter().fold(words, |words, side| words.option("side", side));
    words.flag("casts", ask.casts).done()
}

fn muster(ask: &Muster) -> String {
    Words::new("muster")
        .name(&ask.unit)
        .option("side", &ask.side)
        .option("class", &ask.class)
        .maybe("men", ask.hits.is_none().then(|| ask.men.to_string()).as_deref())
        .maybe("hits", ask.hits.map(|hits| hits.to_string()).as_deref())
        .maybe("grade", ask.grade.as_deref())
        .flag("spears", ask.spears)
        .maybe("weapon", ask.weapon.as_deref())
        .maybe("frontage", ask.frontage.map(|front| front.to_string()).as_deref())
        .maybe("leader", ask.leader.as_deref())
        .maybe("might", ask.might.map(|might| might.to_string()).as_deref())
        .maybe("wounds", ask.wounds.map(|wounds| wounds.to_string()).as_deref())
        .flag("general", ask.general)
        .flag("spare", ask.spare)
        .done()
}

fn change(ask: &Change) -> String {
    let yes = |yes: bool| if yes { "yes" } else { "no" };
    let text = |setting: &Option<Setting<String>>| setting.as_ref().map(setting_text);
    let frontage = ask.frontage.as_ref().map(|setting| match setting {
        Setting::To(front) => front.to_string(),
        Setting::None => "none".to_owned(),
    });
    let standing = ask.standing.map(|standing| match standing {
        Standing::Steady => "steady",
        Standing::Shaken => "shaken",
        Standing::Routing => "routing",
        Standing::Left => "left",
        Standing::Destroyed => "destroyed",
    });
    Words::new("change")
        .name(&ask.unit)
        .maybe("rename", ask.rename.as_deref())
        .maybe("side", ask.side.as_deref())
        .maybe("class", ask.class.as_deref())
        .maybe("men", ask.men.map(|men| men.to_string()).as_deref())
        .maybe("grade", ask.grade.as_deref())
        .maybe("spears", ask.spears.map(yes))
        .maybe("weapon", text(&ask.weapon).as_deref())
        .maybe("frontage", frontage.as_deref())
        .maybe("leader", text(&ask.leader).as_deref())
        .maybe("might", ask.might.map(|might| might.to_string()).as_deref())
        .maybe("wounds", ask.wounds.map(|wounds| wounds.to_string()).as_deref())
        .maybe("general", ask.general.map(yes))
        .maybe("spare", ask.spare.map(yes))
        .maybe("standing", standing)
        .done()
}

fn setting_text(setting: &Setting<String>) -> String {
    match setting {
        Setting::To(text) => text.clone(),
        Setting::None => "none".to_owned(),
    }
}

fn melee(ask: &MeleeAsk) -> String {
    let contacts = ask.contacts.iter().map(contact).collect::<Vec<_>>().join(" and ");
    let cast = if ask.cast { " --cast" } else { "" };
    format!("melee {contacts}{cast}")
}

fn contact(ask: &ContactAsk) -> String {
    how(Words(quote(&ask.striker)).name(&ask.struck), ask).done()
}

fn quick(ask: &QuickAsk) -> String {
    let units = Words::new("ruling").name(&ask.striker.to_string()).name(&ask.struck.to_string());
    how(units.option("scale", &ask.scale.to_string()), &ask.how).done()
}

/// How the two units of a contact meet.
fn how(words: Words, ask: &ContactAsk) -> Words {
    let ground = ask.ground.map(|ground| match ground {
        Ground::Striker => "ours",
        Ground::Struck => "theirs",
        Ground::Both => "both",
    });
    let obstacle = ask.obstacle.map(|holder| match holder {
        Holder::Striker => "ours",
        Holder::Struck => "theirs",
    });
    words
        .flag("charge", ask.charge)
        .flag("countercharge", ask.countercharge)
        .flag("flank", ask.facing == Facing::Flank)
        .flag("rear", ask.facing == Facing::Rear)
        .maybe("higher", ground)
        .maybe("obstacle", obstacle)
        .maybe("width", ask.width.map(|width| width.to_string()).as_deref())
        .modifier("ours", ask.ours)
        .modifier("theirs", ask.theirs)
        .maybe("why", ask.why.as_deref())
}

fn condition(ask: &ConditionAsk) -> String {
    let effects = ask.effects.unwrap_or_default();
    reach(Words::new("condition").name(&ask.name), &ask.on)
        .maybe("turns", ask.turns.map(|turns| turns.to_string()).as_deref())
        .modifier("strike", effects.strike)
        .modifier("struck", effects.struck)
        .modifier("shoot", effects.shoot)
        .modifier("shot", effects.shot)
        .modifier("nerve", effects.nerve)
        .maybe("dice", (effects.dice > 0).then(|| effects.dice.to_string()).as_deref())
        .flag("no-charge", effects.no_charge)
        .flag("no-shooting", effects.no_shooting)
        .maybe("why", ask.reason.as_deref())
        .done()
}

/// On what a condition stands.
fn reach(words: Words, on: &Reach) -> Words {
    match on {
        Reach::Unit(unit) => words.option("unit", unit),
        Reach::Side(side) => words.option("side", side),
        Reach::Battle => words,
    }
}

fn duel(ask: &DuelAsk) -> String {
    let to = match ask.to {
        DuelEnd::Wound => None,
        DuelEnd::Rounds => Some("rounds"),
        DuelEnd::End => Some("end"),
    };
    let [first, second] = &ask.leaders;
    Words::new("duel").name(first).name(second).maybe("to", to).flag("meet", ask.meet).done()
}

fn shoot(ask: &ShootAsk) -> String {
    let cover = ask.cover.map(|cover| match cover {
        Cover::Light => "light",
        Cover::Works => "works",
    });
    let (first, more) =
        ask.shooters.split_first().map_or(("", &[][..]), |(first, more)| (first, more));
    let words = Words::new("shoot").name(first).name(&ask.target);
    more.iter()
        .fold(words, |words, shooter| words.option("with", shooter))
        .flag("long", ask.range == ShotRange::Long)
        .maybe("cover", cover)
        .flag("moved", ask.moved)
        .done()
}

fn harm(ask: &HarmAsk) -> String {
    let words = Words::new("harm").name(&ask.unit);
    let words = match &ask.how {
        HarmHow::Dice { dice, kills_on } => {
            words.option("dice", &dice.to_string()).option("kills-on", &kills_on.to_string())
        }
        HarmHow::MenThrown(dice) => {
            let dice: Vec<String> = dice.iter().map(ToString::to_string).collect();
            words.option("men", &dice.join(" "))
        }
        HarmHow::Men(men) => words.option("men", &men.to_string()),
        HarmHow::Figures(figures) => words.option("figures", &figures.to_string()),
    };
    words.option("why", &ask.reason).done()
}

/// A line under construction.
struct Words(String);

impl Words {
    fn new(first: &str) -> Self {
        Self(first.to_owned())
    }

    fn name(mut self, name: &str) -> Self {
        write!(self.0, " {}", quote(name)).expect("a String takes all");
        self
    }

    fn option(mut self, option: &str, value: &str) -> Self {
        write!(self.0, " --{option} {}", quote(value)).expect("a String takes all");
        self
    }

    fn maybe(self, option: &str, value: Option<&str>) -> Self {
        match value {
            Some(value) => self.option(option, value),
            None => self,
        }
    }

    fn modifier(self, option: &str, by: i32) -> Self {
        if by == 0 { self } else { self.option(option, &by.to_string()) }
    }

    fn flag(mut self, flag: &str, set: bool) -> Self {
        if set {
            write!(self.0, " --{flag}").expect("a String takes all");
        }
        self
    }

    fn done(self) -> String {
        self.0
    }
}
