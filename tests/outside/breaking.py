"""Breaking off a contact (section 16)."""

from .melee import Fate, risk_leader
from .morale import STANDS, test_after_harm
from .pursuit import throw_at_back
from .ranks import fighting
from .rules import Refused


def break_off(engagement, unit, dice):
    """A unit leaves its contacts: throws at its back, its nerve, then it is out if it stands."""
    field = engagement.field
    own = engagement.in_contact(unit)
    if not own:
        raise Refused(f"{unit.name} is not in contact.")
    fate = Fate(unit, unit.figures)
    if not (field.mounted(unit) and not any(field.mounted(c.enemy(unit)) for c in own)):
        _throws_at_its_back(engagement, unit, own, dice)
    fate.lost = fate.started - unit.figures
    risk_leader(field, unit, fate, dice)
    result = test_after_harm(field, unit, dice, field.rules["morale"]["break_off"])
    engagement.contacts = [c for c in engagement.contacts if c not in own]
    if result == STANDS:
        unit.no_melee = field.turn
    return result


def _throws_at_its_back(engagement, unit, own, dice):
    """Each enemy in contact throws once, with the figures that it has in that contact."""
    field = engagement.field
    figures = fighting(field, engagement.contacts)
    for contact in own:
        enemy = contact.enemy(unit)
        most = max(engagement.in_contact(enemy), key=lambda c: figures[c, enemy])
        if unit.figures:
            throw_at_back(field, enemy, unit, figures[contact, enemy], dice, leads=most is contact)
