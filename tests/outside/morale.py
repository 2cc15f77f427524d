"""Morale, rally and the chances of 2d6 (sections 8 and 9)."""

from dataclasses import dataclass
from fractions import Fraction

from .field import DESTROYED, LEFT, ROUTING, SHAKEN, STEADY
from .rules import Refused

STANDS, FALLS_BACK, ROUTS = "stands", "falls back", "routs"


@dataclass
class Ordeal:
    """What morale looks at after a round, for one unit."""

    started: int  # its figures at the start of the round
    lost: int
    killed: int
    own_presence: int
    enemy_presence: int
    comrade: bool
    taken_in_flank: bool


def at_least(score):
    """The chance that 2d6 reach `score`."""
    ways = sum(1 for a in range(1, 7) for b in range(1, 7) if a + b >= score)
    return Fraction(ways, 36)


def outnumbered(rules, own, enemy):
    """The modifier for being outnumbered, 0 where the side is not."""
    for theirs, ours, modifier in rules["morale"]["outnumbered"]:
        if enemy * ours >= own * theirs:
            return modifier
    return 0


def must_test(field, ordeal):
    """Whether a unit with a figure left tests after a round."""
    share = field.rules["morale"]["tested_share"]
    return (ordeal.lost > ordeal.killed
            or share * ordeal.lost >= ordeal.started
            or outnumbered(field.rules, ordeal.own_presence, ordeal.enemy_presence) != 0
            or ordeal.comrade)


def standing_modifiers(field, unit, leader=True, depth=True, nerve=True):
    """Grade, leader, quarters lost, depth and the circumstances' nerve, named."""
    numbers = field.rules["morale"]
    found = [("grade", field.grade(unit))]
    if leader and unit.has_leader:
        found.append(("leader", numbers["leader"]))
    quarters = unit.quarters_lost(numbers["most_quarters"])
    found.append(("quarters lost", quarters * numbers["quarter"]))
    if depth and deep(field, unit):
        found.append(("deep", numbers["deep"]))
    if nerve:
        found.append(("circumstances", field.effect(unit, "nerve")))
    return [(name, number) for name, number in found if number]


def deep(field, unit):
    """Whether the frontage is set and there are three full ranks or more."""
    frontage = field.frontage_of(unit)
    return frontage is not None and unit.figures >= field.rules["morale"]["deep_ranks"] * frontage


def modifiers(field, unit, ordeal):
    """Every modifier of a test after a round of melee, named."""
    numbers = field.rules["morale"]
    found = standing_modifiers(field, unit)
    if ordeal.lost > ordeal.killed:
        found.append(("worse", numbers["worse"]))
    found.append(("outnumbered", outnumbered(field.rules, ordeal.own_presence, ordeal.enemy_presence)))
    if ordeal.comrade:
        found.append(("comrade", numbers["comrade"]))
    if ordeal.taken_in_flank:
        found.append(("flank or rear", numbers["flank_or_rear"]))
    return [(name, number) for name, number in found if number]


def outcome(rules, score, shaken):
    """What a score means for a unit."""
    if score >= rules["morale"]["stands"]:
        return STANDS
    if score >= rules["morale"]["falls_back"] and not shaken:
        return FALLS_BACK
    return ROUTS


def chances(rules, modifier, shaken):
    """The chances of each outcome at a modifier."""
    stands = at_least(rules["morale"]["stands"] - modifier)
    not_rout = stands if shaken else at_least(rules["morale"]["falls_back"] - modifier)
    return {STANDS: stands, FALLS_BACK: not_rout - stands, ROUTS: 1 - not_rout}


def apply_outcome(unit, result):
    """Gives a unit the state that its outcome brings."""
    if result == FALLS_BACK:
        unit.state = SHAKEN
    elif result == ROUTS:
        unit.state = ROUTING


def rally(field, unit, dice, enemy_near=False, in_contact=False):
    """A rally: once a turn, out of contact. Returns the score."""
    if unit.state not in (SHAKEN, ROUTING):
        raise Refused(f"{unit.name} is {unit.state} and has no need to rally.")
    if in_contact:
        raise Refused(f"{unit.name} is in contact and cannot rally.")
    if unit.rallied == field.turn:
        raise Refused(f"{unit.name} has tried to rally in this turn.")
    numbers = field.rules["rally"]
    unit.rallied = field.turn
    modifier = sum(number for _, number in standing_modifiers(field, unit, depth=False))
    modifier += numbers["enemy_near"] if enemy_near else 0
    score = sum(dice(("rally", unit.name, None, 6), 2)) + modifier
    if unit.state == SHAKEN:
        unit.state = STEADY if score >= numbers["shaken"] else SHAKEN
    else:
        unit.state = SHAKEN if score >= numbers["routing"] else LEFT
    return score


def test_after_harm(field, unit, dice, extra=0, what="nerve"):
    """A test with grade, leader, quarters, depth and nerve only (sections 10, 15 and 16)."""
    if unit.state == DESTROYED or unit.figures == 0:
        return None
    modifier = sum(number for _, number in standing_modifiers(field, unit)) + extra
    score = sum(dice((what, unit.name, None, 6), 2)) + modifier
    result = outcome(field.rules, score, unit.state == SHAKEN)
    apply_outcome(unit, result)
    return result
