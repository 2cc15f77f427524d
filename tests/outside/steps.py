"""Steps, dice and kills of the throws of a melee (sections 3, 5, 6 and 13)."""

from dataclasses import dataclass

from .field import SHAKEN
from .ranks import effective_spears, fighting
from .rules import matchup


@dataclass
class Throw:
    """What one unit throws at another in one contact."""

    contact: object
    striker: object
    target: object
    figures: int
    steps: int
    dice: int
    kills_on: int


def steps_of(field, contact, striker, asked=None):
    """The steps of one throw, named: [(name, steps)]; `asked` gives steps by side."""
    target = contact.enemy(striker)
    numbers = field.rules["steps"]
    found = []
    own = field.effect(striker, "strike", (asked or {}).get(striker.side, 0))
    found.append(("circumstances of the striker", own))
    found.append(("circumstances of the struck", field.effect(target, "struck")))
    if charges(field, contact, striker):
        found.append(("charge", numbers["charge"]))
    if effective_spears(target, contact) and field.mounted(striker):
        found.append(("into long spears", numbers["mounted_at_spears"]))
    if effective_spears(striker, contact) and field.mounted(target):
        found.append(("long spears", numbers["spears_at_mounted"]))
    if contact.side != "front":
        name = contact.side if striker is contact.maker else f"taken_in_{contact.side}"
        found.append((name, numbers[name]))
    if contact.higher is striker:
        found.append(("higher", numbers["higher"]))
    if contact.obstacle is target:
        found.append(("obstacle", numbers["obstacle"]))
    if striker.state == SHAKEN:
        found.append(("shaken", numbers["shaken"]))
    return [(name, step) for name, step in found if step]


def charges(field, contact, striker):
    """Whether the charge's step counts: mounted, first round, allowed, not into long spears."""
    asked = contact.charge if striker is contact.maker else contact.countercharge
    return (asked and contact.rounds == 0 and field.mounted(striker)
            and field.may(striker, "charge")
            and not effective_spears(contact.enemy(striker), contact))


def plan(field, contacts, asking_side, asked=None):
    """Every throw of a round of one melee, in the order of the roll; throws of no dice too."""
    figures = fighting(field, contacts)
    throws = []
    for contact in contacts:
        pair = sorted(contact.units(), key=lambda unit: unit.side != asking_side)
        for striker in pair:
            target = contact.enemy(striker)
            steps = sum(step for _, step in steps_of(field, contact, striker, asked))
            dice, per, kills_on = matchup(field.rules, striker.troop, target.troop, steps)
            n = figures[contact, striker]
            throws.append(Throw(contact, striker, target, n, steps, n * dice // per, kills_on))
    _spare_a_die(throws)
    _add_dice(field, throws)
    return throws


def _spare_a_die(throws):
    """Where nobody of a side gets a die against an enemy unit, the first with a figure there gets one."""
    for target in dict.fromkeys(throw.target for throw in throws):
        at_it = [throw for throw in throws if throw.target is target]
        if not any(throw.dice for throw in at_it):
            for throw in at_it:
                if throw.figures:
                    throw.dice = 1
                    break


def _add_dice(field, throws):
    """Adds might and the dice of circumstances, never more than the figures that fight there."""
    for unit in dict.fromkeys(throw.striker for throw in throws):
        own = [throw for throw in throws if throw.striker is unit]
        added = {id(throw): 0 for throw in own}
        added[id(own[0])] += field.effect(unit, "dice")
        if unit.has_leader and not unit.leader.holds_back:
            # max() keeps the first of equals, which is the oldest contact.
            most = max(own, key=lambda throw: throw.figures)
            added[id(most)] += unit.leader.might
        for throw in own:
            throw.dice += min(added[id(throw)], throw.figures)
