"""Contacts that last, melees found anew after each round, rounds a turn (section 16)."""

from .melee import fight_round
from .morale import STANDS
from .pursuit import Pursuits
from .ranks import units_in
from .rules import Refused


def melees_of(contacts):
    """The separate melees: contacts that share units, in the order of each one's oldest contact."""
    found = []
    for contact in contacts:
        touching = [m for m in found if any(u in units_in(m) for u in contact.units())]
        joined = [c for m in touching for c in m] + [contact]
        joined.sort(key=contacts.index)
        at = found.index(touching[0]) if touching else len(found)
        found = [m for m in found if m not in touching]
        found.insert(at, joined)
    return found


class Engagement:
    """The contacts that stand on a field, and the requests that fight them."""

    def __init__(self, field, pursuits=True):
        self.field = field
        self.contacts = []
        self.pursuits = Pursuits(field) if pursuits else None
        self.remarks = []

    def in_contact(self, unit):
        """The standing contacts of a unit."""
        return [c for c in self.contacts if unit in c.units()]

    def melee(self, asking_side, new, dice, again=(), asked=None, referee=False):
        """One request: new contacts, and those named again. Returns a ruling for each melee."""
        named = [u for c in new for u in c.units()] + list(again)
        self._check(asking_side, new, named)
        chosen = [m for m in melees_of(self.contacts + list(new)) if any(u in units_in(m) for u in named)]
        self._check_rounds(chosen, referee)
        self.contacts += new
        return [self._fight(m, asking_side, dice, asked) for m in chosen]

    def _fight(self, contacts, asking_side, dice, asked):
        ruling = fight_round(self.field, contacts, asking_side, dice, asked)
        self.contacts = [c for c in self.contacts if c not in contacts or all(
            ruling.fates[u].outcome == STANDS for u in c.units())]
        for unit in units_in(contacts):
            if not self.in_contact(unit):
                unit.comrade_went = False
        if self.pursuits:
            self.pursuits.after(ruling, self.contacts, dice)
        return ruling

    def _check(self, asking_side, new, named):
        """Refuses what cannot be asked, before anything has changed."""
        if self.pursuits:
            self.pursuits.hold_up(named)
        for unit in named:
            if not unit.can_fight:
                raise Refused(f"{unit.name} is {unit.state}; it can be pursued, shot at or harmed, "
                              "but neither strike nor be struck.")
        for contact in new:
            self._check_new(contact, asking_side)

    def _check_new(self, contact, asking_side):
        maker, struck = contact.units()
        if maker.side != asking_side or struck.side == asking_side:
            raise Refused("Each contact joins a unit of the asking side to one of the other.")
        if maker.no_melee == self.field.turn:
            raise Refused(f"{maker.name} broke off in this turn and asks for no melee.")
        if any(struck in c.units() for c in self.in_contact(maker)):
            raise Refused(f"{maker.name} is in contact with {struck.name}; "
                          "what came about stands and cannot be asked anew.")
        for charger, asked in ((maker, contact.charge), (struck, contact.countercharge)):
            if asked and not self.field.mounted(charger):
                raise Refused(f"{charger.name} is on foot and cannot charge.")
            if asked and not self.field.may(charger, "charge"):
                raise Refused(f"{charger.name} may not charge.")

    def _check_rounds(self, chosen, referee):
        """Each melee is fought so many times a turn; for the referee more is a remark."""
        most = self.field.rules["rounds"]
        for contacts in chosen:
            fought = max(c.fought.get(self.field.turn, 0) for c in contacts)
            if fought >= most:
                words = f"This melee has been fought {fought} times in this turn, of {most}."
                if not referee:
                    raise Refused(words)
                self.remarks.append(words)

    def part(self, contact):
        """The referee parts a contact."""
        self.contacts.remove(contact)


def finish(field, contacts, asking_side, dice, most_rounds=10_000):
    """Fights until no contact stands, without pursuit; the units that stood in every round."""
    engagement = Engagement(field, pursuits=False)
    engagement.contacts = list(contacts)
    units = units_in(contacts)
    standing = set(units)
    rounds = 0
    while engagement.contacts and rounds < most_rounds:
        rounds += 1
        for melee in melees_of(engagement.contacts):
            ruling = engagement._fight(melee, asking_side, dice, None)
            standing -= {u for u, fate in ruling.fates.items() if fate.outcome != STANDS}
    return [u for u in units if u in standing], rounds
