"""Harm from elsewhere, nerve on demand and reinforcements, as docs/rules.md tells them."""
import open_field


def how_much(how):
    """The options that say how much harm is done."""
    (kind, much), = how.items()
    if kind == "dice":
        return f"--dice {much['dice']} --kills-on {much['kills_on']}"
    if kind == "men_thrown":
        dice = " ".join(f"{one['count']}d{one['sides']}" for one in much)
        return f"--men {dice}" if len(much) == 1 else f'--men "{dice}"'
    return f"--{kind} {much}"


def thrown_for(rules, ask, roll):
    """The dice of harm: those of the rules, those that say how many men fall, or none."""
    (kind, much), = ask["how"].items()
    dice = {"dice": lambda: [(much["dice"], rules.sides)],
            "men_thrown": lambda: [(one["count"], one["sides"]) for one in much]}.get(kind, list)()
    return [{"sides": sides, "faces": roll.throw(f"harm to {ask['unit']}", count, sides)} for count, sides in dice]


def falls(field, unit, how, thrown):
    """The strength that harm leaves a unit, and the kills past its last figure."""
    (kind, much), = how.items()
    had, faces = unit["now"], [face for one in thrown for face in one["faces"]]
    if kind in ("men", "men_thrown"):
        men = max(0, had["men"] - (much if kind == "men" else sum(faces)))
        beside = field.strength(men, unit["side"], unit["class"], unit)["now"]["figures"]
        return {"men": men, "figures": min(had["figures"], max(1, beside)) if men else 0}, 0
    kills = much if kind == "figures" else sum(face >= much["kills_on"] for face in faces)
    return open_field.after(had, kills, field.scale), max(0, kills - had["figures"])


def harm(rules, field, ask, roll):
    """Harm to one unit, which may try its nerve."""
    unit = field.unit(ask["unit"])
    thrown = thrown_for(rules, ask, roll)
    left, excess = falls(field, unit, ask["how"], thrown)
    lost = unit["now"]["figures"] - left["figures"]
    tried = open_field.telling(rules, lost, unit["now"]["figures"]) and left["figures"] and unit["standing"] in ("steady", "shaken")
    test = open_field.morale(rules, roll, unit, left["figures"], unit["leader"] is not None, field) if tried else None
    target = {**open_field.result(unit, field.scale, lost, 0, excess, test), "after": left}
    return {"turn": field.turn, "harm": ask, "thrown": thrown, "target": target, "morale": test}


def nerve(rules, field, ask, roll):
    """A test of one unit's nerve."""
    unit = field.unit(ask["unit"])
    test = open_field.morale(rules, roll, unit, unit["now"]["figures"], unit["leader"] is not None, field)
    return {"turn": field.turn, "reason": ask["reason"], "morale": test}


def reinforced(field, unit, men):
    """The strength at muster and now of a unit that so many men join."""
    found = {}
    for of in ("muster", "now"):
        more = unit[of]["men"] + men
        beside = field.strength(more, unit["side"], unit["class"], unit)[of]["figures"]
        most = found["muster"]["figures"] if of == "now" else beside
        found[of] = {"men": more, "figures": max(unit[of]["figures"], min(beside, most))}
    return found
