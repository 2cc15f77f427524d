"""Harm from elsewhere: spells, fire, traps (section 15)."""

import re

from .morale import test_after_harm
from .rules import Refused
from .shooting import test_if_hurt


def by_dice(field, unit, count, kills_on, dice):
    """So many dice, each of so much or more kills a figure."""
    if not 1 <= count <= 200:
        raise Refused("Harm throws 1 to 200 dice.")
    faces = dice(("harm", unit.name, None, field.rules["ladder"]["die"]), count)
    return by_figures(field, unit, sum(face >= kills_on for face in faces), dice)


def by_men(field, unit, text, dice):
    """So many men fall, a number or dice such as 3d6; figures follow from the men left."""
    if unit.single:
        raise Refused(f"{unit.name} has hits and no men: say the harm in figures.")
    thrown = re.fullmatch(r"(\d+)d(\d+)", text)
    if thrown:
        count, sides = int(thrown[1]), int(thrown[2])
        men = sum(dice(("harm", unit.name, None, sides), count))
    else:
        men = int(text)
    started = unit.figures
    lost = field.lose_men(unit, men)
    return lost, test_if_hurt(field, unit, started, lost, dice)


def by_figures(field, unit, figures, dice):
    """So many figures fall, without dice; the nerve is still tested."""
    started = unit.figures
    lost = min(figures, started)
    if lost:
        field.lose_figures(unit, lost)
    return lost, test_if_hurt(field, unit, started, lost, dice)


def nerve(field, unit, dice):
    """A test of morale on demand."""
    return test_after_harm(field, unit, dice)
