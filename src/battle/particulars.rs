//! Parts of the sentences of `Mistake` that depend on what was asked.

use crate::protocol::{Scale, Standing};
/// What hides, in its place.
pub(super) fn hidden(text: &str) -> String {
    if text.is_empty() {
        return "All of this text ".to_owned();
    }
    format!("What stands in square brackets in “{text}” ")
}

/// That the rules know no such condition, and which they know.
pub(super) fn no_known_condition(name: &str, known: &[String]) -> String {
    let own = "or make one up: say what it does, and why";
    match known {
        [] => format!(
            "These rules have no conditions, so there is no “{name}”. Make one up: say what it does, and why."
        ),
        known => format!(
            "“{name}” is not a condition of these rules. Use one of: {}; {own}.",
            known.join(", ")
        ),
    }
}

pub(super) fn what_stands(known: &[String]) -> String {
    match known {
        [] => "Nothing does.".to_owned(),
        known => format!("What does: {}.", known.join(", ")),
    }
}

/// Names in a row; of many only the latest, because nobody reads a hundred in one sentence.
pub(super) fn few(names: &[String]) -> String {
    const MOST: usize = 10;
    let more = names.len().saturating_sub(MOST);
    let listed = names[more..].join(", ");
    if more == 0 { listed } else { format!("{listed} and {more} older") }
}

/// That men are too few figures, and what would do.
pub(super) fn too_few(men: u32, figures: u32, least: u32, scale: Scale) -> String {
    // Rounded half up, so many men are enough figures at 1:N if 2 × men + N is 2 × least × N.
    let finer = match 2 * men / (2 * least - 1) {
        0 | 1 => "1:1".to_owned(),
        finer => format!("1:{finer} or finer"),
    };
    let figures = match figures {
        0 => "no figure".to_owned(),
        1 => "1 figure".to_owned(),
        more => format!("{more} figures"),
    };
    let men = match men {
        1 => "1 man is".to_owned(),
        men => format!("{men} men are"),
    };
    format!(
        "{men} {figures} at {scale}, and a unit needs {least} or more. Muster them at {finer}, as part of another unit, or as a single, with hits."
    )
}

pub(super) fn did_you_mean(meant: Option<&str>) -> String {
    match meant {
        Some(meant) => format!("Did you mean “{meant}”?"),
        None => "See the list".to_owned(),
    }
}

/// What two units are that cannot meet, though it may be one unit named twice.
pub(super) fn same_side(one: &str, other: &str) -> String {
    if one == other {
        return format!("{one} cannot fight itself.");
    }
    format!("{one} and {other} are on the same side.")
}

pub(super) fn wounds(n: u32) -> String {
    if n == 1 { "1 wound".to_owned() } else { format!("{n} wounds") }
}

/// Where a leader stands.
pub(super) const fn place(back: bool) -> &'static str {
    if back { "holds back" } else { "leads from the front" }
}

pub(super) fn leaders(known: &[String]) -> String {
    if known.is_empty() {
        return ", which has none. Muster a unit with one.".to_owned();
    }
    format!(". Its leaders are: {}.", known.join(", "))
}

pub(super) const fn cannot(standing: Standing) -> &'static str {
    match standing {
        Standing::Steady => "is steady",
        Standing::Shaken => "is shaken",
        Standing::Routing => "is routing",
        Standing::Left => "has left the field",
        Standing::Destroyed => "is destroyed",
    }
}

pub(super) const fn remedy(standing: Standing) -> &'static str {
    match standing {
        Standing::Routing => "Rally it first",
        _ => "Choose another unit.",
    }
}

pub(super) fn rolls(last: u32) -> String {
    match last {
        0 => " Nothing has been thrown yet.".to_owned(),
        1 => " The only roll is 1.".to_owned(),
        last => format!(" Rolls go from 1 to {last}."),
    }
}
