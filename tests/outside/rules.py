"""The numbers of the rules, as one plain dictionary, and how a file changes them."""

import copy
import tomllib
from fractions import Fraction

SHIPPED = {
    "name": "open-field",
    "smallest": 2,
    "rounds": 3,
    "classes": {
        "levy": {"weight": 0, "presence": 1, "mounted": False, "protection": 0, "pace": 1, "eager": False},
        "skirmishers": {"weight": 1, "presence": 1, "mounted": False, "protection": 0, "pace": 1, "eager": False},
        "line foot": {"weight": 2, "presence": 1, "mounted": False, "protection": 1, "pace": 1, "eager": False},
        "shock foot": {"weight": 3, "presence": 1, "mounted": False, "protection": 2, "pace": 1, "eager": False},
        "outriders": {"weight": 2, "presence": 2, "mounted": True, "protection": 0, "pace": 2, "eager": True},
        "riders": {"weight": 4, "presence": 2, "mounted": True, "protection": 1, "pace": 2, "eager": True},
        "lancers": {"weight": 5, "presence": 2, "mounted": True, "protection": 2, "pace": 2, "eager": True},
        "great beasts": {"weight": 6, "presence": 4, "mounted": True, "protection": 2, "pace": 1, "eager": True},
    },
    "grades": {"raw": 0, "trained": 1, "seasoned": 2, "guard": 3},
    # Each rung: dice, for so many figures, the lowest face that kills.
    "ladder": {
        "die": 20,
        "lowest": -3,
        "rungs": [[1, 1, 20], [1, 1, 19], [1, 1, 18], [1, 1, 17], [1, 1, 16],
                  [1, 1, 15], [1, 1, 13], [1, 1, 11], [1, 1, 9]],
    },
    # A cell given outright, as "striker": {"target": [dice, figures, kills_on]}.
    "cells": {},
    "steps": {
        "charge": 1,
        "spears_at_mounted": 2,
        "mounted_at_spears": -3,
        "flank": 1,
        "rear": 2,
        "taken_in_flank": -1,
        "taken_in_rear": -1,
        "higher": 1,
        "obstacle": -1,
        "shaken": -1,
        "pursuing_foot": 1,
    },
    "leaders": {
        "hit": 12, "hit_if_half_lost": 11, "falls_if_destroyed": 8,
        "might": 1, "wounds": 1, "most_might": 6, "most_wounds": 6,
    },
    "morale": {
        "stands": 6, "falls_back": 4,
        "leader": 1, "quarter": -1, "most_quarters": 3, "worse": -1,
        # Each: enemy presence, own presence, modifier; the worst that fits counts.
        "outnumbered": [[3, 1, -3], [2, 1, -2], [3, 2, -1]],
        "comrade": -1, "flank_or_rear": -2, "deep": 1, "deep_ranks": 3,
        "tested_share": 10, "break_off": -1, "duel": -1,
    },
    "rally": {"shaken": 7, "routing": 9, "enemy_near": -1},
    "presence_ranks_across_width": 2,
    "weapons": {
        "slings": {"short": -2, "long": None},
        "javelins": {"short": -1, "long": None},
        "bows": {"short": -1, "long": -2},
        "crossbows": {"short": 0, "long": -1},
        "heavy bows": {"short": 0, "long": -1},
        "engines": {"short": 2, "long": 1},
    },
    "shooting": {"light": -1, "works": -2, "shaken": -1, "moved": -1, "massed": 1, "ranks": 2},
    "conditions": {
        "weary": {"on": ["unit"], "strike": -1, "nerve": -1},
        "heartened": {"on": ["unit", "side"], "nerve": 1},
        "dismayed": {"on": ["unit", "side"], "nerve": -1},
        "disordered": {"on": ["unit"], "strike": -1, "charge": False},
        "soft ground": {"on": ["place", "battle"], "charge": False},
        "rain": {"on": ["battle"], "shoot": -1},
        "fog": {"on": ["battle"], "shoot": -2},
        "night": {"on": ["battle"], "shoot": -2, "nerve": -1},
    },
    "circumstances": {"most": 3, "most_dice": 6},
    # A duel's wounds: lead from which it counts, wounds; the greatest that fits counts.
    "duel": {"wounds": [[6, 2], [3, 1]], "press_rounds": 3},
    "pursuit": {"holds": 7, "leader": 1, "few": 2, "few_share": 4},
}


class Refused(Exception):
    """A request that the rules do not allow; nothing has changed."""


def shipped():
    """A copy of the numbers that ship, which a test may change."""
    return copy.deepcopy(SHIPPED)


def changed(base, changes):
    """A copy of `base` with the keys of `changes` laid over it, tables within tables."""
    made = copy.deepcopy(base)
    _lay_over(made, changes)
    return made


def _lay_over(made, changes):
    for key, value in changes.items():
        if isinstance(value, dict) and isinstance(made.get(key), dict):
            _lay_over(made[key], value)
        else:
            made[key] = copy.deepcopy(value)


def load(path):
    """The rules of a TOML file whose keys are those of the dictionary above, laid over it."""
    with open(path, "rb") as file:
        return changed(SHIPPED, tomllib.load(file))


def rung_at(rules, step):
    """The rung (dice, figures, kills on) at `step`, held between the ladder's ends (section 3)."""
    ladder = rules["ladder"]
    last = len(ladder["rungs"]) - 1
    return tuple(ladder["rungs"][min(max(step - ladder["lowest"], 0), last)])


def kill_chance(rules, kills_on):
    """The chance that one die reaches `kills_on`."""
    die = rules["ladder"]["die"]
    return Fraction(min(max(die + 1 - kills_on, 0), die), die)


def matchup(rules, striker, target, steps):
    """What a class throws at another after all steps: (dice, figures, kills on) (section 3)."""
    cell = rules["cells"].get(striker, {}).get(target)
    if cell is None:
        classes = rules["classes"]
        return rung_at(rules, classes[striker]["weight"] - classes[target]["weight"] + steps)
    if steps == 0:
        return tuple(cell)
    return rung_at(rules, nearest_rung(rules, cell) + steps)


def nearest_rung(rules, cell):
    """The step whose rung is nearest to a cell in kills expected a figure, ties to the lower."""
    wanted = expected_kills(rules, cell)
    lowest = rules["ladder"]["lowest"]
    rungs = rules["ladder"]["rungs"]
    return min(
        range(lowest, lowest + len(rungs)),
        key=lambda step: (abs(expected_kills(rules, rungs[step - lowest]) - wanted), step),
    )


def expected_kills(rules, rung):
    """The kills that one figure can expect on a rung."""
    dice, figures, kills_on = rung
    return Fraction(dice, figures) * kill_chance(rules, kills_on)
