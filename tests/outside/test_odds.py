"""The check values of section 12, and the exact odds against sums done another way."""

import unittest
from fractions import Fraction

from .field import Field, Leader
from .odds import Duo, to_the_finish
from .ranks import Contact, Passage

FOOT = "line foot"


def contact_of(first, second, width=None, obstacle=False, **options):
    """A field of two units, each (figures, class, options), and the contact between them."""
    field = Field(1)
    made = [field.muster(name, side, troop, men=men, **rest)
            for name, side, (men, troop, rest) in (("A", "Vale", first), ("B", "Banner", second))]
    contact = Contact(*made, passage=Passage(width) if width else None,
                      obstacle=made[1] if obstacle else None, **options)
    return field, contact


def fight(first, second, **options):
    """The odds to the finish."""
    return to_the_finish(*contact_of(first, second, **options))


def unit(men, troop, **rest):
    """A unit as contact_of takes it."""
    return (men, troop, rest)


# Section 12: first alone, second alone, neither, rounds, first's losses, second's losses.
TABLE = [
    ("3 foot, 3 foot", fight, (unit(3, FOOT), unit(3, FOOT)), {},
     (0.467308128, 0.467308128, 0.065383744, 1.951795391, 1.063788389, 1.063788389)),
    ("12 foot, 12 foot", fight, (unit(12, FOOT), unit(12, FOOT)), {},
     (0.432650233, 0.432650233, 0.134699534, 1.912465040, 4.050524464, 4.050524464)),
    ("10 foot, 10 skirmishers", fight, (unit(10, FOOT), unit(10, "skirmishers")), {},
     (0.628091156, 0.245729758, 0.126179087, 1.829446873, 2.397378129, 4.170467919)),
    ("8 foot, 3 riders", fight, (unit(8, FOOT), unit(3, "riders")), {},
     (0.624198974, 0.273787522, 0.102013504, 1.859427125, 1.557565143, 1.356053330)),
    ("60 foot, 60 foot, frontage 10", fight, (unit(60, FOOT, frontage=10), unit(60, FOOT, frontage=10)), {},
     (0.499027713, 0.499027713, 0.001944573, 6.231079201, 12.462158014, 12.462158014)),
    ("4 lancers, 12 shock foot", fight, (unit(4, "lancers"), unit(12, "shock foot")), {},
     (0.158416757, 0.757644420, 0.083938823, 1.598499193, 1.797848964, 1.791199460)),
    ("5 lancers charging 8 spears", fight, (unit(5, "lancers"), unit(8, FOOT, spears=True)), {"charge": True},
     (0.340998360, 0.565674721, 0.093326919, 2.036745034, 2.241134478, 1.771559378)),
    ("5 riders charging 12 spears, frontage 4", fight,
     (unit(5, "riders"), unit(12, FOOT, spears=True, frontage=4)), {"charge": True},
     (0.059717895, 0.913262149, 0.027019955, 1.711158287, 2.703203768, 0.982832733)),
    ("12 foot, frontage 4, 12 foot", fight, (unit(12, FOOT, frontage=4), unit(12, FOOT)), {},
     (0.476037939, 0.476037939, 0.047924121, 3.442264589, 2.753681032, 2.753681032)),
    ("24 levy, 8 foot", fight, (unit(24, "levy"), unit(8, FOOT)), {},
     (0.822671008, 0.060858284, 0.116470708, 1.262186767, 2.879983363, 2.949844794)),
    ("4 skirmishers on the flank of 8 foot", fight, (unit(4, "skirmishers"), unit(8, FOOT)), {"side": "flank"},
     (0.115982151, 0.643242605, 0.240775244, 1.191800757, 1.856561105, 0.923168572)),
    ("40 levy, 12 seasoned foot, obstacle, width 4", fight,
     (unit(40, "levy"), unit(12, FOOT, grade="seasoned")), {"width": 4, "obstacle": True},
     (0.062392969, 0.934482702, 0.003124328, 4.648213023, 5.577853023, 0.929642603)),
    ("2 great beasts, 12 foot", fight, (unit(2, "great beasts"), unit(12, FOOT)), {},
     (0.245837583, 0.687350720, 0.066811696, 1.803543384, 0.970152024, 1.735782966)),
]


class CheckValues(unittest.TestCase):
    """Section 12's table, all thirteen rows to 1e-8."""

    def test_every_row(self):
        self.assertEqual(len(TABLE), 13)
        for name, how, units, options, wanted in TABLE:
            with self.subTest(name):
                got = how(*units, **options)
                values = (got.first, got.second, got.neither, got.rounds, got.first_losses, got.second_losses)
                for value, want in zip(values, wanted):
                    self.assertAlmostEqual(value, want, delta=1e-8)


class Exactness(unittest.TestCase):
    """The odds are whole chances, in fractions as in floats, and one round adds up to one."""

    def test_fractions_and_floats_agree(self):
        field, contact = contact_of(unit(3, FOOT), unit(3, FOOT))
        exact = to_the_finish(field, contact, number=Fraction)
        rough = to_the_finish(field, contact)
        self.assertEqual(exact.first + exact.second + exact.neither, 1)
        self.assertEqual(exact.first, exact.second)
        self.assertAlmostEqual(float(exact.first), rough.first, delta=1e-12)
        self.assertAlmostEqual(float(exact.rounds), rough.rounds, delta=1e-12)

    def test_one_round_by_hand(self):
        """One foot against one: 1 in 5 kills, both at once; a loser dies, a killer need not test."""
        field, contact = contact_of(unit(1, FOOT), unit(1, FOOT))
        cases = {}
        for p, left, a, b in Duo(field, contact, number=Fraction).round((1, 1, 0, 0), True):
            cases[left[:2], a, b] = cases.get((left[:2], a, b), 0) + p
        self.assertEqual(cases, {((1, 1), True, True): Fraction(16, 25),
                                 ((1, 0), True, False): Fraction(4, 25),
                                 ((0, 1), False, True): Fraction(4, 25),
                                 ((0, 0), False, False): Fraction(1, 25)})

    def test_a_leaders_wounds_and_might_count(self):
        plain = fight(unit(6, FOOT), unit(6, FOOT))
        led = fight(unit(6, FOOT, leader=Leader()), unit(6, FOOT))
        mighty = fight(unit(6, FOOT, leader=Leader(might=3)), unit(6, FOOT))
        hardy = fight(unit(6, FOOT, leader=Leader(might=3, wounds=3)), unit(6, FOOT))
        self.assertLess(plain.margin, led.margin)
        self.assertLess(led.margin, mighty.margin)
        self.assertLess(mighty.margin, hardy.margin)

    def test_chances_add_up_with_leaders(self):
        field, contact = contact_of(unit(5, FOOT, leader=Leader(might=2, wounds=2, general=True)),
                                    unit(4, "riders", leader=Leader(holds_back=True)), charge=False)
        total = to_the_finish(field, contact, number=Fraction)
        self.assertEqual(total.first + total.second + total.neither, 1)


if __name__ == "__main__":
    unittest.main()
