"""Section 4, and the widths of sections 5 and 8: who fights, who reaches, who counts."""

import unittest

from .field import SHAKEN
from .ranks import Contact, Passage, fighting, presence, share_out
from .scripted import duo, vale_and_banner

FOOT = "line foot"


def in_contacts(field, *contacts):
    """The fighting figures of both units of each contact."""
    found = fighting(field, contacts)
    return [(found[c, c.maker], found[c, c.struck]) for c in contacts]


class OneAgainstOne(unittest.TestCase):
    """Frontage, long spears and reach."""

    def check(self, a, b, wanted, shaken=False, **options):
        field, one, other = duo((FOOT, 12, a), (FOOT, 12, b))
        if shaken:
            one.state = SHAKEN
        self.assertEqual(in_contacts(field, Contact(one, other, **options)), [wanted])

    def test_every_figure_fights_without_frontage(self):
        self.check({}, {}, (12, 12))

    def test_front_rank_and_reach(self):
        self.check({"frontage": 4}, {}, (4, 4))
        self.check({"frontage": 4}, {"frontage": 3}, (3, 3))

    def test_what_comes_in_on_flank_or_rear_is_not_held(self):
        # The struck unit's own reach is still held by the front of the one that strikes.
        self.check({}, {"frontage": 3}, (12, 3), side="flank")
        self.check({"frontage": 5}, {"frontage": 3}, (5, 3), side="rear")

    def test_two_ranks_of_spears(self):
        self.check({"frontage": 4, "spears": True}, {}, (8, 4))
        self.check({"frontage": 4, "spears": True}, {"frontage": 3}, (6, 3))
        self.check({"spears": True}, {"frontage": 5}, (10, 5))

    def test_no_second_rank_while_shaken(self):
        self.check({"frontage": 4, "spears": True}, {}, (4, 4), shaken=True)
        self.check({"spears": True}, {"frontage": 5}, (5, 5), shaken=True)

    def test_no_second_rank_on_flank_or_rear(self):
        self.check({}, {"frontage": 4, "spears": True}, (12, 4), side="flank")


class Shares(unittest.TestCase):
    """Several contacts."""

    def test_largest_remainder(self):
        self.assertEqual(share_out(10, [6, 3]), [7, 3])
        self.assertEqual(share_out(10, [1, 1, 1]), [4, 3, 3])
        self.assertEqual(share_out(5, [1, 1]), [3, 2])

    def test_an_empty_contact_takes_one_from_the_fullest(self):
        self.assertEqual(share_out(4, [40, 1, 1]), [2, 1, 1])
        # Of equals, the last named gives.
        self.assertEqual(share_out(4, [20, 20, 1]), [2, 1, 1])
        self.assertEqual(share_out(1, [1, 5]), [0, 1])

    def test_in_proportion_to_enemies_counted_whole(self):
        field = vale_and_banner([("A", FOOT, 9, {})], [("B", FOOT, 12, {}), ("C", FOOT, 6, {})])
        a, b, c = field.units
        self.assertEqual(in_contacts(field, Contact(a, b), Contact(a, c)), [(6, 12), (3, 6)])

    def test_a_front_is_reached_by_no_more_than_its_frontage_in_all(self):
        field = vale_and_banner([("A", FOOT, 6, {}), ("B", FOOT, 6, {})], [("C", FOOT, 8, {"frontage": 8})])
        a, b, c = field.units
        self.assertEqual(in_contacts(field, Contact(a, c), Contact(b, c)), [(6, 4), (2, 4)])
        self.assertEqual(in_contacts(field, Contact(a, c), Contact(b, c, "flank")), [(6, 4), (6, 4)])

    def test_no_more_than_a_front_rank_turns_to_a_flank(self):
        field = vale_and_banner([("A", FOOT, 6, {}), ("B", FOOT, 18, {})],
                                [("C", FOOT, 12, {"frontage": 4, "spears": True})])
        a, b, c = field.units
        self.assertEqual(in_contacts(field, Contact(a, c), Contact(b, c, "flank")), [(4, 2), (18, 4)])


class Widths(unittest.TestCase):
    """A gate holds both sides, and their presence."""

    def test_at_most_the_width_fights_and_twice_counts(self):
        field, a, b = duo(("levy", 40, {}), (FOOT, 12, {}))
        contact = Contact(a, b, passage=Passage(4))
        self.assertEqual(in_contacts(field, contact), [(4, 4)])
        self.assertEqual(presence(field, [a], [contact]), 8)
        self.assertEqual(presence(field, [b], [contact]), 8)

    def test_spears_fight_twice_the_width(self):
        field, a, b = duo((FOOT, 40, {"spears": True}), (FOOT, 12, {}))
        contact = Contact(a, b, passage=Passage(4))
        self.assertEqual(in_contacts(field, contact), [(8, 4)])
        self.assertEqual(presence(field, [a], [contact]), 8)

    def test_shared_in_the_order_named(self):
        field = vale_and_banner([("A", FOOT, 3, {}), ("B", FOOT, 6, {})], [("C", FOOT, 9, {})])
        a, b, c = field.units
        gate = Passage(4)
        contacts = [Contact(a, c, passage=gate), Contact(b, c, passage=gate)]
        self.assertEqual(in_contacts(field, *contacts), [(3, 3), (1, 1)])

    def test_who_is_shut_out_fights_nowhere_else(self):
        field = vale_and_banner([("A", FOOT, 12, {})], [("B", FOOT, 6, {}), ("C", FOOT, 6, {})])
        a, b, c = field.units
        contacts = [Contact(a, b, passage=Passage(2)), Contact(a, c)]
        self.assertEqual(in_contacts(field, *contacts), [(2, 2), (6, 6)])

    def test_who_reaches_the_enemy_elsewhere_too_counts_whole(self):
        field = vale_and_banner([("A", FOOT, 12, {}), ("D", "riders", 12, {})],
                                [("B", FOOT, 6, {}), ("C", FOOT, 6, {})])
        a, d, b, c = field.units
        gate = Passage(2)
        contacts = [Contact(a, b, passage=gate), Contact(a, c), Contact(d, b, passage=gate)]
        self.assertEqual(presence(field, [a, d], contacts), 12 + 4 * 2)

    def test_widths_are_kept_in_men(self):
        field, a, b = duo(("levy", 400, {}), (FOOT, 200, {}), scale=10)
        self.assertEqual(in_contacts(field, Contact(a, b, passage=Passage(35))), [(4, 4)])
        field.rescale(5)
        self.assertEqual(in_contacts(field, Contact(a, b, passage=Passage(35))), [(7, 7)])


if __name__ == "__main__":
    unittest.main()
