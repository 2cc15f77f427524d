"""Which contacts are fought, and which then stand, as docs/checking.md tells it.

A melee that stands is a dict of `asking`, `rounds`, `this_turn`, `fled` and `contacts`; each contact
is a dict of `ask`, the `width` in men abreast, the `rounds` it was fought, and when it was `made`.
"""
from open_field import abreast, figures


def pair(ask):
    """The two units of a contact, whichever of them struck."""
    return {ask["striker"], ask["struck"]}


def joined(contacts, ask=lambda contact: contact["ask"]):
    """The melees among contacts: those that share a unit, directly or through others; each in its
    order, and the melee with the oldest contact first."""
    melees = []
    for contact in contacts:
        units = pair(ask(contact))
        with_it = [melee for melee in melees if any(units & pair(ask(other)) for other in melee)]
        melees = [melee for melee in melees if melee not in with_it] + [sum(with_it, []) + [contact]]
    def age(contact):
        return next(place for place, one in enumerate(contacts) if one is contact)
    return sorted((sorted(melee, key=age) for melee in melees), key=lambda melee: age(melee[0]))


class Standing:
    """The melees that stand on a field."""

    def __init__(self):
        self.melees = []

    def of(self, name):
        """The melee that a unit is in."""
        return next((melee for melee in self.melees if any(name in pair(held["ask"]) for held in melee["contacts"])), None)

    def contacts(self):
        """All contacts that stand."""
        return [held for melee in self.melees for held in melee["contacts"]]

    def part(self, name, other=None):
        """Ends the contacts of a unit, or that with another; what is left of a melee may be several."""
        melees, self.melees = self.melees, []
        for melee in melees:
            left = [held for held in melee["contacts"] if not (name in pair(held["ask"]) and other in (None, *pair(held["ask"])))]
            self.melees += [{**melee, "contacts": contacts} for contacts in joined(left)]

    def next_turn(self):
        """Melees are fought as often again."""
        for melee in self.melees:
            melee["this_turn"] = 0

    def asked(self, asks, side, scale):
        """The melees that a request for contacts comes to, of the side that asks."""
        named = [melee for melee in self.melees if any(name in pair(held["ask"]) for held in melee["contacts"]
                                                         for ask in asks for name in pair(ask))]
        held = sorted((held for melee in named for held in melee["contacts"]), key=lambda held: held["made"])
        new = [ask for ask in asks if pair(ask) not in [pair(one["ask"]) for one in held]]
        met = [self.again(one, scale) for one in held] + [{"ask": ask, "round": 1} for ask in new]
        return [self.clash(contacts, side) for contacts in joined(met)]

    def fought_on(self, unit, side, scale):
        """The melee of a unit, or the latest, about to be fought again; `side` is that of the unit."""
        melee = self.of(unit) if unit else self.melees[-1] if self.melees else None
        if melee is None:
            # What comes after something forged may have none left; it was refused before.
            return []
        return [self.clash([self.again(held, scale) for held in melee["contacts"]], side if unit else melee["asking"])]

    @staticmethod
    def again(held, scale):
        """A contact that stands, about to be fought at a scale."""
        width = {} if held["width"] is None else {"width": abreast(held["width"], scale)}
        return {"ask": {**held["ask"], **width}, "round": held["rounds"] + 1}

    def clash(self, met, asking):
        """A melee of contacts, some of which stand."""
        pairs = [pair(one["ask"]) for one in met]
        before = [melee for melee in self.melees if any(pair(held["ask"]) in pairs for held in melee["contacts"])]
        return {"asking": asking, "round": max((melee["rounds"] for melee in before), default=0) + 1,
                "this_turn": max((melee["this_turn"] for melee in before), default=0) + 1,
                "fled": {side for melee in before for side in melee["fled"]}, "contacts": met}

    def take(self, ruling, scale):
        """Takes one melee's round: what stood and what is new, as far as it stands now."""
        before = self.contacts()
        for result in ruling["units"]:
            self.part(result["unit"])
        latest = max((held["made"] for held in before), default=0)
        contacts = []
        for place, one in enumerate(ruling["contacts"]):
            ask, known = one["contact"], next((held for held in before if pair(held["ask"]) == pair(one["contact"])), None)
            width = known["width"] if known else ask["width"] * scale if "width" in ask else None
            if one["stands"]:
                # Steps by hand counted this once.
                ask = {key: value for key, value in ask.items() if key not in ("ours", "theirs", "why")}
                contacts.append({"ask": ask, "width": width, "rounds": one["round"], "made": known["made"] if known else latest + 1 + place})
        fled = [side for side in ruling["sides"]
                if any(unit["side"] == side and unit["outcome"] in ("falls_back", "routs") for unit in ruling["units"])]
        melee = {"asking": ruling["sides"][0], "rounds": ruling["round"], "this_turn": ruling["this_turn"], "fled": fled}
        self.melees += [{**melee, "contacts": some} for some in joined(contacts)]


def together(units, scale, of, most=None):
    """The figures of each unit's strength at a scale: of a side's class never more than its men come to,
    and of each unit never more than `most`."""
    men, counted, found = {}, {}, []
    for unit in units:
        own = unit[of]["men"]
        if unit.get("single"):
            found.append(unit[of]["figures"])
            continue
        key = (unit["side"], unit["class"])
        left = max(0, figures(men.get(key, 0) + own, scale) - counted.get(key, 0))
        found.append(min(figures(own, scale), left, most[len(found)] if most else left))
        men[key], counted[key] = men.get(key, 0) + own, counted.get(key, 0) + found[-1]
    return found
