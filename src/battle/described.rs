//! A unit described in one line, for a quick ruling with nothing registered.

use super::gate::name_of;
use super::muster;
use super::{Field, Mistake};
use crate::protocol::{Amount, Described, DiceAsk, Muster, Protocol, Scale, Standing, Unit};
use crate::rules::Rules;
use crate::text::invisible;
use std::str::FromStr;
use std::sync::Arc;

impl FromStr for Described {
    type Err = Mistake;

    fn from_str(text: &str) -> Result<Self, Mistake> {
        let wrong = || Mistake::BadDescription(visible(text, 80));
        let mut parts = text.split(',').map(str::trim);
        let mut words = parts.next().unwrap_or_default().split_whitespace().peekable();
        let count: u32 = words.next().and_then(|word| word.parse().ok()).ok_or_else(wrong)?;
        let unit = |word: &&str| ["figures", "figure", "men", "man"].contains(word);
        let strength = match words.next_if(unit) {
            Some("men" | "man") => Amount::Men(count),
            _ => Amount::Figures(count),
        };
        words.next_if(|word| *word == "of");
        let class = words.collect::<Vec<_>>().join(" ");
        let mut described = Self {
            strength,
            class: name_of(&class).map_err(|_| wrong())?,
            grade: None,
            spears: false,
            shaken: false,
            led: false,
            frontage: None,
        };
        for part in parts {
            match part.to_lowercase().as_str() {
                "long spears" | "spears" => described.spears = true,
                "shaken" => described.shaken = true,
                "led" | "leader" => described.led = true,
                part if part.starts_with("frontage ") => {
                    described.frontage = Some(part[9..].trim().parse().map_err(|_| wrong())?);
                }
                _ if described.grade.is_none() => {
                    described.grade = Some(name_of(part).map_err(|_| wrong())?);
                }
                _ => return Err(wrong()),
            }
        }
        Ok(described)
    }
}

impl FromStr for DiceAsk {
    type Err = Mistake;

    fn from_str(text: &str) -> Result<Self, Mistake> {
        let wrong = || Mistake::BadDice(visible(text, 40));
        let lower = text.to_lowercase();
        let (count, sides) = lower.split_once('d').ok_or_else(wrong)?;
        let count = if count.is_empty() { 1 } else { count.parse().map_err(|_| wrong())? };
        let sides = sides.parse().map_err(|_| wrong())?;
        let fits = (1..=100).contains(&count) && (2..=1_000_000).contains(&sides);
        if fits { Ok(Self { count, sides }) } else { Err(wrong()) }
    }
}

/// Whether plain dice are 1 to 10 kinds in their limits: a front reads them so, and a forged record
/// may hold any.
pub fn dice_in_order(dice: &[DiceAsk]) -> Result<(), Mistake> {
    if !(1..=10).contains(&dice.len()) {
        return Err(Mistake::DiceCount);
    }
    let fits = |dice: &&DiceAsk| dice.to_string().parse::<DiceAsk>().is_ok();
    match dice.iter().find(|dice| !fits(dice)) {
        Some(odd) => Err(Mistake::BadDice(odd.to_string())),
        None => Ok(()),
    }
}

/// At most so many characters of a text that a sentence quotes, all of which can be seen.
fn visible(text: &str, most: usize) -> String {
    text.chars().filter(|c| !invisible(*c)).take(most).collect()
}

/// The names of the two sides of a quick ruling.
const SIDES: [&str; 2] = ["one side", "the other side"];
/// The names of their leaders.
const LEADERS: [&str; 2] = ["one leader", "the other leader"];

/// A field with two described units and nothing else; the units' names.
pub fn clash(
    rules: &Rules,
    (protocol, scale): (Protocol, Scale),
    turn: u32,
    units: [&Described; 2],
) -> Result<(Field, [String; 2]), Mistake> {
    let sides = Arc::new(SIDES.map(str::to_owned).to_vec());
    let mut field = Field { turn, sides, ..Field::new(protocol, scale) };
    let alike = units[0].class == units[1].class;
    let mut names = [String::new(), String::new()];
    for (n, described) in units.into_iter().enumerate() {
        let unit = stand_in(rules, &field, described, n, alike)?;
        names[n].clone_from(&unit.name);
        field.enter(unit);
    }
    Ok((field, names))
}

/// The unit that stands for the `n`th description, which may be of the same class as the other.
fn stand_in(
    rules: &Rules,
    field: &Field,
    described: &Described,
    n: usize,
    alike: bool,
) -> Result<Unit, Mistake> {
    let men = match described.strength {
        Amount::Men(men) => men,
        Amount::Figures(figures) => figures.saturating_mul(field.scale.men()),
    };
    let class = described.class.clone();
    let name = if alike { format!("{} {class}", ["first", "second"][n]) } else { class };
    let name: String = name.chars().take(40).collect();
    let ask = Muster {
        grade: described.grade.clone(),
        spears: described.spears,
        frontage: described.frontage,
        leader: described.led.then(|| LEADERS[n].to_owned()),
        ..Muster::new(name, SIDES[n], &described.class, men)
    };
    let unit = muster::described(rules, field, &ask, 1)?;
    let standing = if described.shaken { Standing::Shaken } else { Standing::Steady };
    Ok(Unit { standing, ..unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn descriptions_read_back() {
        for (text, canonical) in [
            ("8 line foot", "8 figures of line foot"),
            ("1 figure of great beasts, led", "1 figure of great beasts, led"),
            ("160 men line foot, seasoned, SPEARS", "160 men of line foot, long spears, seasoned"),
            ("12 levy , raw, shaken,frontage 4", "12 figures of levy, shaken, frontage 4, raw"),
        ] {
            let described: Described = text.parse().unwrap();
            assert_eq!(described.to_string(), canonical);
            assert_eq!(canonical.parse::<Described>().unwrap(), described);
        }
    }

    #[test]
    fn what_is_no_description_is_refused() {
        for text in ["", "line foot", "8", "8 levy, raw, guard", "8 levy, frontage x", "-1 levy"] {
            let refused = text.parse::<Described>().unwrap_err();
            assert_eq!(refused, Mistake::BadDescription(text.to_owned()), "{text}");
        }
    }
}
