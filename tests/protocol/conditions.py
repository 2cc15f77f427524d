"""Conditions and steps by hand: what they add to a throw and to nerve, as docs/rules.md tells it."""
NUMBERS = ("strike", "struck", "shoot", "shot", "nerve", "dice")


def effects_of(rules, name):
    """What a condition of the rules does, as the record spells it."""
    entry = rules.entry("condition", name)
    forbidden = {f"no_{what}": True for what in ("charge", "shooting") if entry.get(what) is False}
    return {**{key: entry[key] for key in NUMBERS if entry.get(key)}, **forbidden}


def of(field, unit):
    """The conditions that count for a unit, each name once: its own, its side's, the battle's."""
    found = {}
    for on in ({"unit": unit["name"]}, {"side": unit["side"]}, "battle"):
        for condition in field.conditions:
            if condition["on"] == on:
                found.setdefault(condition["name"], condition)
    return list(found.values())


def source(condition, targets):
    """Where a condition of the unit that throws, or of its target, comes from."""
    on = condition["on"]
    if on == "battle":
        return on
    (kind, _), = on.items()
    return {"unit": "target", "side": "target_side"}[kind] if targets else kind


def steps(conditions, key, targets=False, by_hand=()):
    """What conditions, and steps by hand before them, add to the sum of a key: held to three together."""
    found = [*by_hand] + [{"cause": {"condition": one["name"]}, "source": source(one, targets), "effect": {"step": one["effects"][key]}}
                          for one in conditions if key in one["effects"]]
    total = sum(one["effect"]["step"] for one in found)
    over = total - max(-3, min(3, total))
    return found + ([{"cause": "held", "source": "options", "effect": {"step": -over}}] if over else [])


def dice(conditions):
    """The dice that conditions add to a unit's oldest contact."""
    return [{"cause": {"condition": one["name"]}, "source": "unit", "effect": {"dice": one["effects"]["dice"]}}
            for one in conditions if "dice" in one["effects"]]


def nerve(conditions):
    """What conditions add to a score."""
    return [{"cause": {"circumstance": one["cause"]}, "by": one["effect"]["step"]} for one in steps(conditions, "nerve")]


def of_throw(field, contact, us, them, striking, oldest):
    """All that conditions and steps by hand bring to one throw of a contact."""
    by = contact.get("ours" if striking else "theirs")
    by_hand = [{"cause": {"asked": contact["why"]}, "source": "options", "effect": {"step": by}}] if by else []
    own = of(field, us)
    return steps(own, "strike", by_hand=by_hand) + steps(of(field, them), "struck", True) + (dice(own) if oldest else [])


def forbids(field, unit, what):
    """The name of the first condition that forbids a unit something."""
    return next((one["name"] for one in of(field, unit) if f"no_{what}" in one["effects"]), None)
