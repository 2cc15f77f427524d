"""Exact odds against rulings: every way that the dice of a round can fall is ruled and weighed."""

import unittest
from dataclasses import replace
from fractions import Fraction

from .field import DESTROYED, SHAKEN, Field, Leader
from .melee import fight_round
from .odds import binomial, one_round
from .ranks import Contact, Passage
from .rules import kill_chance
from .steps import plan

TWO_DICE = [([max(1, n - 6), min(6, n - 1)], Fraction(6 - abs(7 - n), 36)) for n in range(2, 13)]


class Tree:
    """A supplier that walks through every way of the throws, one way a run."""

    def __init__(self, kill_chances):
        self.kill_chances = kill_chances
        self.path = []  # the choice at each throw, and how many there are
        self.at = 0
        self.weight = Fraction(1)

    def __call__(self, kind, count):
        ways = self._ways(kind, count)
        if self.at == len(self.path):
            self.path.append([0, len(ways)])
        faces, weight = ways[self.path[self.at][0]]
        self.at += 1
        self.weight *= weight
        return faces

    def _ways(self, kind, count):
        if kind[0] != "melee":
            return TWO_DICE
        chances = binomial(count, self.kill_chances[kind[1]], count, Fraction)
        return [([20] * k + [1] * (count - k), p) for k, p in enumerate(chances)]

    def next(self):
        """Goes on to the next way; False when there is none."""
        while self.path and self.path[-1][0] + 1 == self.path[-1][1]:
            self.path.pop()
        self.at, self.weight = 0, Fraction(1)
        if self.path:
            self.path[-1][0] += 1
        return bool(self.path)


def ruled(build):
    """The joint distribution of a round, from a ruling for each way that the dice can fall."""
    field, contact = build()
    throws = plan(field, [contact], contact.maker.side)
    tree = Tree({t.striker.name: kill_chance(field.rules, t.kills_on) for t in throws})
    found = {}
    while True:
        field, contact = build()
        ruling = fight_round(field, [contact], contact.maker.side, tree)
        fates = [ruling.fates[u] for u in contact.units()]
        key = (tuple(f.lost for f in fates), tuple(f.outcome for f in fates))
        found[key] = found.get(key, 0) + tree.weight
        if not tree.next():
            return found


class OddsAreRulings(unittest.TestCase):
    """The odds of one round are what its rulings come to, as exact fractions."""

    def check(self, first, second, shaken=False, width=None, **options):
        def build():
            field = Field(1)
            for side, (troop, men, rest) in (("Vale", first), ("Banner", second)):
                rest = dict(rest)
                if "leader" in rest:
                    rest["leader"] = replace(rest["leader"])
                field.muster(side, side, troop, men=men, **rest)
            a, b = field.units
            b.state = SHAKEN if shaken else b.state
            return field, Contact(a, b, passage=Passage(width) if width else None, **options)

        wanted = ruled(build)
        self.assertEqual(sum(wanted.values()), 1)
        self.assertEqual(one_round(*build(), number=Fraction), wanted)

    def test_plain(self):
        self.check(("line foot", 3, {}), ("skirmishers", 4, {}))

    def test_leaders(self):
        self.check(("line foot", 2, {"leader": Leader(might=2)}),
                   ("riders", 2, {"leader": Leader(wounds=2, holds_back=True)}))

    def test_a_general_with_one_wound_and_one_who_holds_back(self):
        self.check(("line foot", 2, {"leader": Leader(general=True)}),
                   ("levy", 2, {"leader": Leader()}))

    def test_a_charge_into_spears_in_ranks(self):
        self.check(("lancers", 3, {}), ("line foot", 6, {"spears": True, "frontage": 2}), charge=True)

    def test_a_flank_of_the_shaken(self):
        self.check(("skirmishers", 3, {}), ("line foot", 4, {"frontage": 1}), shaken=True, side="flank")

    def test_a_gate(self):
        self.check(("levy", 9, {}), ("shock foot", 3, {"grade": "guard"}), width=1)

    def test_a_destroyed_unit_is_an_outcome(self):
        field = Field(1)
        a, b = (field.muster(side, side, "levy", men=1) for side in ("Vale", "Banner"))
        found = one_round(field, Contact(a, b), number=Fraction)
        self.assertEqual(found[(1, 1), (DESTROYED, DESTROYED)], Fraction(1, 25))


if __name__ == "__main__":
    unittest.main()
