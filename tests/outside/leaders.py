"""Leaders who join units and leave them (sections 7 and 14)."""

from .field import DESTROYED
from .rules import Refused


def attach(engagement, leader, unit, leaving=None):
    """A leader joins a unit of his side that has none, when neither is in contact."""
    if unit.leader is not None:
        raise Refused(f"{unit.name} has a leader.")
    if unit.state == DESTROYED:
        raise Refused(f"{unit.name} is destroyed.")
    if leaving is not None and leaving.side != unit.side:
        raise Refused("A leader joins units of his own side.")
    for touched in (unit, leaving):
        if touched is not None and engagement.in_contact(touched):
            raise Refused(f"{touched.name} is in contact.")
    if leaving is not None:
        leaving.leader = None
    unit.leader = leader


def detach(engagement, unit):
    """A leader leaves his unit to stand alone. Returns him."""
    if unit.leader is None:
        raise Refused(f"{unit.name} has no leader.")
    if engagement.in_contact(unit):
        raise Refused(f"{unit.name} is in contact.")
    leader, unit.leader = unit.leader, None
    return leader
