//! A contact: the slots that melees, odds and quick rulings share, and how they are read.

use super::{Choice, Fronts, Kind, Slot, Values, Whose, Wrong, flag, option, word};
use crate::protocol::{ContactAsk, Facing, Ground, Holder};

pub(super) const STRIKER: Slot =
    word("striker", "The striking unit, of the side that asks", Kind::Unit(Whose::Fighting)).each();
pub(super) const STRUCK: Slot =
    word("struck", "The unit it strikes", Kind::Unit(Whose::Against("striker"))).each();
pub(super) const CHARGE: Slot = flag("charge", "The striker charges; mounted units only").each();
pub(super) const COUNTERCHARGE: Slot =
    flag("countercharge", "The struck unit charges too; mounted units only").each();
pub(super) const FACING: Slot =
    option("facing", "Where the striker comes in; usually the front", Kind::Flags(FACINGS)).each();
pub(super) const HIGHER: Slot = option(
    "higher",
    "Whose unit holds higher ground; if both do, it counts for neither",
    Kind::Choice(GROUND),
)
.each();
pub(super) const OBSTACLE: Slot =
    option("obstacle", "Whose unit defends an obstacle between the two", Kind::Choice(WHOSE))
        .each();
pub(super) const WIDTH: Slot = option(
    "width",
    "Figures abreast that a gate, a bridge or a breach between the two lets through",
    Kind::Figures,
)
.each();
pub(super) const OURS_BY: Slot =
    option("ours", "Steps to the striker's throw; the referee's, with a reason", Kind::Modifier)
        .each();
pub(super) const THEIRS_BY: Slot = option(
    "theirs",
    "Steps to the struck unit's throw; the referee's, with a reason",
    Kind::Modifier,
)
.each();
pub(super) const WHY: Slot =
    option("why", "Why, for steps of the referee's own", Kind::Text { most: 200 }).each();
/// What follows after “and” on a line of the table is one text in a chat.
pub(super) const MORE: Slot = option(
    "more",
    "Further contacts: \"Vale Riders\" \"Grey Levies\" --charge and UNIT UNIT",
    Kind::Contacts,
)
.only(Fronts::Chat);

const FACINGS: &[Choice] = &[
    Choice { name: "front", about: "The striker comes in on the front" },
    Choice { name: "flank", about: "The striker comes in on the flank" },
    Choice { name: "rear", about: "The striker comes in from the rear" },
];

const OURS: Choice = Choice { name: "ours", about: "The striking unit" };
const THEIRS: Choice = Choice { name: "theirs", about: "The unit it strikes" };
const WHOSE: &[Choice] = &[OURS, THEIRS];
const GROUND: &[Choice] = &[OURS, THEIRS, Choice { name: "both", about: "Both units" }];

/// The first contact and all further ones.
pub(super) fn all(values: &Values) -> Result<Vec<ContactAsk>, Wrong> {
    let contacts = std::iter::once(values).chain(values.further());
    contacts.map(|values| how(values, &values.text("striker")?, &values.text("struck")?)).collect()
}

/// How two units of these names meet.
pub(super) fn how(values: &Values, striker: &str, struck: &str) -> Result<ContactAsk, Wrong> {
    let facing = match values.choice("facing").as_deref() {
        Some("flank") => Facing::Flank,
        Some("rear") => Facing::Rear,
        _ => Facing::Front,
    };
    let ground = values.choice("higher").map(|word| match word.as_str() {
        "ours" => Ground::Striker,
        "theirs" => Ground::Struck,
        _ => Ground::Both,
    });
    let obstacle = values.choice("obstacle").map(|word| match word.as_str() {
        "ours" => Holder::Striker,
        _ => Holder::Struck,
    });
    Ok(ContactAsk {
        charge: values.flag("charge"),
        countercharge: values.flag("countercharge"),
        facing,
        ground,
        obstacle,
        width: values.maybe_number("width")?,
        ours: values.modifier("ours")?,
        theirs: values.modifier("theirs")?,
        why: values.maybe("why"),
        ..ContactAsk::new(striker, struck)
    })
}
