"""Fights thrown many times with a seed, where there are too many units for exact odds."""

import random
from dataclasses import dataclass

from .engagement import finish


def seeded(seed):
    """A supplier of faces from a seeded generator."""
    generator = random.Random(seed)

    def supply(kind, count):
        return generator.choices(range(1, kind[3] + 1), k=count)

    return supply


@dataclass
class Sample:
    """The means over many fights, and the standard error of the lead."""

    lead: float
    error: float
    first: float
    second: float
    rounds: float


def sample(build, times, seed=1):
    """Fights what `build` makes, a field and its contacts, many times to the finish."""
    dice = seeded(seed)
    leads, first, second, rounds = [], 0, 0, 0
    for _ in range(times):
        field, contacts = build()
        asking = contacts[0].maker.side
        whole = _presence_by_side(field, field.units, asking)
        standing, fought = finish(field, contacts, asking, dice)
        left = _presence_by_side(field, standing, asking)
        leads.append(left[True] / whole[True] - left[False] / whole[False])
        sides = {u.side == asking for u in standing}
        first += sides == {True}
        second += sides == {False}
        rounds += fought
    mean = sum(leads) / times
    spread = sum((lead - mean) ** 2 for lead in leads) / (times - 1)
    return Sample(mean, (spread / times) ** 0.5, first / times, second / times, rounds / times)


def _presence_by_side(field, units, asking):
    found = {True: 0, False: 0}
    for unit in units:
        found[unit.side == asking] += unit.figures * field.presence(unit)
    return found
