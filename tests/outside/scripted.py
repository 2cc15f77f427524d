"""What the tests share: faces given in order, units made quickly."""

from .field import Field


class Faces:
    """A supplier that hands out given faces, by what is thrown, and keeps what was asked.

    `Faces(melee=[20, 1], nerve=[3, 3])` gives each kind of throw its own faces.
    """

    def __init__(self, **given):
        self.given = {what.replace("_", " "): list(faces) for what, faces in given.items()}
        self.asked = []

    def __call__(self, kind, count):
        what, who, at, _ = kind
        self.asked.append((what, who, at, count))
        left = self.given.get(what, [])
        assert len(left) >= count, f"no faces left for {kind}, {count} dice"
        taken, self.given[what] = left[:count], left[count:]
        return taken

    def used_up(self):
        """Whether every face was thrown."""
        return not any(self.given.values())


def vale_and_banner(vale, banner, scale=1, rules=None):
    """A field with units of both sides, each (name, class, men, options)."""
    field = Field(scale, rules)
    for side, units in (("Vale", vale), ("Banner", banner)):
        for name, troop, men, rest in units:
            field.muster(name, side, troop, men=men, **rest)
    return field


def duo(vale, banner, **rest):
    """A field of one unit a side, each (class, men, options)."""
    field = vale_and_banner([("A", *vale)], [("B", *banner)], **rest)
    return field, *field.units
