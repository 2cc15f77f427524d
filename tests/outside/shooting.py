"""Shooting (section 10)."""

from dataclasses import dataclass

from .field import SHAKEN
from .morale import test_after_harm
from .rules import Refused, kill_chance, rung_at


@dataclass
class Shot:
    """One unit's shooting at a target."""

    shooter: object
    weapon: str
    range: str  # "short" or "long"
    moved: bool = False


def shooting_steps(field, shot, target, cover="none", asked=None):
    """The steps of shooting, named; `asked` gives steps by side."""
    numbers = field.rules["shooting"]
    shooter = shot.shooter
    found = [
        ("circumstances of the shooter", field.effect(shooter, "shoot", (asked or {}).get(shooter.side, 0))),
        ("circumstances of the target", field.effect(target, "shot")),
        (cover, numbers[cover] if cover != "none" else 0),
        ("shaken", numbers["shaken"] if shooter.state == SHAKEN else 0),
        ("moved", numbers["moved"] if shot.moved or shooter.moved else 0),
        ("massed", numbers["massed"] if massed(field, target) else 0),
    ]
    return [(name, step) for name, step in found if step]


def massed(field, target):
    """Whether the frontage is set and a third rank has begun."""
    frontage = field.frontage_of(target)
    return frontage is not None and target.figures > field.rules["shooting"]["ranks"] * frontage


def shooting_figures(field, shooter):
    """The first two ranks, or all where no frontage is set."""
    frontage = field.frontage_of(shooter)
    if frontage is None:
        return shooter.figures
    return min(shooter.figures, field.rules["shooting"]["ranks"] * frontage)


def rung_of(field, shot, target, cover="none", asked=None):
    """The rung that a shot has at last: (dice, figures, kills on)."""
    power = field.rules["weapons"][shot.weapon][shot.range]
    if power is None:
        raise Refused(f"{shot.weapon} do not reach so far.")
    protection = field.rules["classes"][target.troop]["protection"]
    steps = sum(step for _, step in shooting_steps(field, shot, target, cover, asked))
    return rung_at(field.rules, power - protection + steps)


def shoot(field, shots, target, dice, cover="none", asked=None):
    """Several units shoot at one target: one roll, one test. Returns losses and the test's outcome."""
    for shot in shots:
        if not field.may(shot.shooter, "shooting"):
            raise Refused(f"{shot.shooter.name} may not shoot.")
        if not shot.shooter.can_fight:
            raise Refused(f"{shot.shooter.name} is {shot.shooter.state} and cannot shoot.")
    planned = [(shot, rung_of(field, shot, target, cover, asked)[2]) for shot in shots]
    started = target.figures
    kills = 0
    for shot, kills_on in planned:
        kind = ("shooting", shot.shooter.name, target.name, field.rules["ladder"]["die"])
        faces = dice(kind, shooting_figures(field, shot.shooter))
        kills += sum(face >= kills_on for face in faces)
    lost = min(kills, started)
    if lost:
        field.lose_figures(target, lost)
    return lost, test_if_hurt(field, target, started, lost, dice, once_a_turn=True)


def test_if_hurt(field, target, started, lost, dice, once_a_turn=False):
    """A unit that lost a tenth of its figures or more tests; for shooting at most once a turn."""
    if lost == 0 or target.figures == 0 or field.rules["morale"]["tested_share"] * lost < started:
        return None
    if once_a_turn:
        if target.tested_by_shooting == field.turn:
            return None
        target.tested_by_shooting = field.turn
    return test_after_harm(field, target, dice)


def expected_losses(field, shot, target, cover="none"):
    """The losses that one unit's shooting can be expected to cause, past strength counted."""
    kills_on = rung_of(field, shot, target, cover)[2]
    return shooting_figures(field, shot.shooter) * kill_chance(field.rules, kills_on)
