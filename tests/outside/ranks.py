"""Contacts, and how many figures fight in each (sections 4 and 5)."""

from dataclasses import dataclass, field as made_of

from .field import SHAKEN, Unit


@dataclass(eq=False)
class Passage:
    """A gate, a bridge, a breach: so many men abreast."""

    width: int


@dataclass(eq=False)
class Contact:
    """Two units at grips: the one that struck, and the one it struck on `side`."""

    maker: Unit
    struck: Unit
    side: str = "front"  # or "flank", or "rear": of the struck unit
    charge: bool = False
    countercharge: bool = False
    higher: Unit | None = None  # which of the two stands higher
    obstacle: Unit | None = None  # which of the two defends it
    passage: Passage | None = None
    rounds: int = 0
    fought: dict = made_of(default_factory=dict)  # rounds fought, by turn

    def units(self):
        """Both units, the maker of the contact first."""
        return (self.maker, self.struck)

    def enemy(self, unit):
        """The other of the two."""
        return self.struck if unit is self.maker else self.maker

    def own_front(self, unit):
        """Whether a unit meets this contact on its own front."""
        return unit is self.maker or self.side == "front"

    def stands(self):
        """Whether both still fight."""
        return self.maker.can_fight and self.struck.can_fight


def effective_spears(unit, contact):
    """Long spears count only while unshaken and on the unit's own front."""
    return unit.spears and unit.state != SHAKEN and contact.own_front(unit)


def whole(field, unit, contact):
    """A unit's fighting figures in a contact, before it shares them and before any width."""
    frontage = field.frontage_of(unit)
    if frontage is None:
        return unit.figures
    ranks = 2 if effective_spears(unit, contact) else 1
    return min(unit.figures, ranks * frontage)


def fighting(field, contacts):
    """How many figures of each unit fight in each contact: {(contact, unit): figures}."""
    shares = {}
    for unit in units_in(contacts):
        own = [c for c in contacts if unit in c.units()]
        shares.update(_shares(field, unit, own))
    for unit in units_in(contacts):
        _hold_to_reach(field, unit, contacts, shares)
    _hold_to_widths(field, contacts, shares)
    return shares


def units_in(contacts):
    """The units in some contacts, each once, in the order in which they are named."""
    return list(dict.fromkeys(unit for contact in contacts for unit in contact.units()))


def _shares(field, unit, own):
    """A unit's figures shared among its contacts in proportion to the enemy's in each."""
    total = max(whole(field, unit, c) for c in own)
    against = [whole(field, c.enemy(unit), c) for c in own]
    given = share_out(total, against)
    # The second rank cannot turn to a flank: there no more than the front rank fights.
    return {(c, unit): min(n, whole(field, unit, c)) for c, n in zip(own, given)}


def share_out(total, against):
    """Shares `total` by largest remainder; then empty shares take one from the fullest."""
    whole_against = sum(against)
    given = [total * n // whole_against for n in against]
    remainders = [total * n % whole_against for n in against]
    # Python's sort is stable, so equal remainders go to the contact named first.
    for i in sorted(range(len(against)), key=lambda i: -remainders[i])[: total - sum(given)]:
        given[i] += 1
    for i, n in enumerate(given):
        if n == 0:
            fullest = max(range(len(given)), key=lambda k: (given[k], k))
            if given[fullest] > 1:
                given[fullest] -= 1
                given[i] = 1
    return given


def _hold_to_reach(field, target, contacts, shares):
    """No more reach a unit on its own front than its frontage, twice that with long spears."""
    places = field.frontage_of(target)
    if places is None:
        return
    for contact in contacts:
        if target in contact.units() and contact.own_front(target):
            places = _take(contact, contact.enemy(target), places, shares)


def _hold_to_widths(field, contacts, shares):
    """At most the width of a side fight across it, twice that with long spears, as named."""
    for passage in dict.fromkeys(c.passage for c in contacts if c.passage):
        across = [c for c in contacts if c.passage is passage]
        for side in {u.side for u in units_in(across)}:
            places = field.abreast(passage.width)
            for contact in across:
                for unit in contact.units():
                    if unit.side == side:
                        places = _take(contact, unit, places, shares)


def _take(contact, unit, places, shares):
    """Lets a share into the places left, two figures a place with long spears; returns what is left."""
    deep = 2 if effective_spears(unit, contact) else 1
    held = min(shares[contact, unit], places * deep)
    shares[contact, unit] = held
    return places - (held + deep - 1) // deep


def presence(field, units, contacts):
    """A side's presence: figures left by presence, across a width at most twice that width."""
    room = {}
    total = 0
    for unit in units:
        figures = unit.figures
        own = [c for c in contacts if unit in c.units()]
        if own and all(c.passage for c in own):
            figures = _let_across(field, figures, own, room)
        total += figures * field.presence(unit)
    return total


def _let_across(field, figures, own, room):
    """How many of a unit's figures the passages that it fights across let count."""
    ranks = field.rules["presence_ranks_across_width"]
    counted = 0
    for passage in dict.fromkeys(c.passage for c in own):
        left = room.setdefault(passage, ranks * field.abreast(passage.width))
        taken = min(figures - counted, left)
        room[passage] -= taken
        counted += taken
    return counted
