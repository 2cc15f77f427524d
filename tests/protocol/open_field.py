"""Rulings by a rules file, as docs/rules.md tells them: just as much as the samples need."""
import copy
import tomllib

import conditions
import leaders
from roll import sha256


class Rules:
    """A rules file."""

    def __init__(self, text):
        self.text, self.sha256, self.raw = text, sha256(text), tomllib.loads(text)
        self.name = self.raw["name"]
        self.sides, self.minimum = self.raw["dice"]["sides"], self.raw["dice"]["minimum"]

    def entry(self, kind, name):
        """The entry of that name in a list of the file."""
        return next(entry for entry in self.raw[kind] if entry["name"] == name)

    def default_grade(self):
        """The grade of a unit with none given."""
        return next(grade["name"] for grade in self.raw["grade"] if grade.get("default"))

    def matchup(self, base, circumstances):
        """Where the ladder is entered and, by the circumstances that count, left."""
        lowest, highest = self.raw["rung"][0]["rung"], self.raw["rung"][-1]["rung"]
        moved = sum(one["effect"].get("step", 0) for one in circumstances if "why_not" not in one)
        rung = max(lowest, min(highest, base + moved))
        entry = next(entry for entry in self.raw["rung"] if entry["rung"] == rung)
        rate = {key: entry[key] for key in ("dice", "figures", "kills_on")}
        return {"base": {"rung": base}, "rung": rung, "rate": rate}


def figures(men, scale):
    """The figures of so many men: rounded half up."""
    return (2 * men + scale) // (2 * scale)


def abreast(men, scale):
    """The figures that stand abreast in a width of so many men: rounded half up, at least one."""
    return max(1, figures(men, scale))


def after(strength, lost, scale):
    """What is left of a strength after so many figures are lost."""
    left = max(0, strength["figures"] - lost)
    return {"men": max(0, strength["men"] - lost * scale) if left else 0, "figures": left}


def front(unit, scale):
    """A unit's front rank in figures; none if every figure fights."""
    return None if unit["frontage"] is None else abreast(unit["frontage"], scale)


def in_ranks(unit, scale, ranks):
    """The figures in so many ranks of a frontage, or all."""
    wide = front(unit, scale)
    return unit["now"]["figures"] if wide is None else min(unit["now"]["figures"], wide * ranks)


def circumstance(cause, source, by, why_not=None):
    """A circumstance that moves a throw by rungs, if it counts."""
    return {"cause": cause, "source": source, "effect": {"step": by}, **({"why_not": why_not} if why_not else {})}


def spears_fail(contact, unit, striking):
    """Why a unit's long spears do not count: they need it unshaken and on its own front."""
    if unit["standing"] == "shaken":
        return "shaken"
    taken = {"flank": "taken_on_flank", "rear": "taken_from_rear"}
    return None if striking else taken.get(contact.get("facing"))


def of_contact(rules, field, side, oldest):
    """The circumstances of one throw of a contact, in the order of docs/rules.md, and then what is set."""
    contact, us, them, striking, number = side.contact["ask"], side.us, side.them, side.striking, side.contact["round"]
    table, found = rules.raw["steps"], []
    mounted = {id(unit): rules.entry("class", unit["class"])["mounted"] for unit in (us, them)}
    into = them["long_spears"] and mounted[id(us)] and not spears_fail(contact, them, not striking)
    if contact.get("charge" if striking else "countercharge"):
        forbids = conditions.forbids(field, us, "charge")
        why_not = "not_first_round" if number > 1 else {"condition": forbids} if forbids else "into_long_spears" if into else None
        found.append(circumstance("charge", "options", table["charge"], why_not))
    if into:
        found.append(circumstance("against_long_spears", "target", table["against_long_spears"]))
    if us["long_spears"] and mounted[id(them)]:
        found.append(circumstance("long_spears", "unit", table["long_spears"], spears_fail(contact, us, striking)))
    facing = contact.get("facing", "front")
    if facing != "front":
        cause = facing if striking else f"struck_{facing}"
        found.append(circumstance(cause, "options", table[cause]))
    own, other = ("striker", "struck") if striking else ("struck", "striker")
    if contact.get("ground") in (own, "both"):
        both = "asked_for_both" if contact["ground"] == "both" else None
        found.append(circumstance("higher_ground", "options", table["higher_ground"], both))
    if contact.get("obstacle") == other:
        found.append(circumstance("obstacle", "options", table["obstacle"]))
    if us["standing"] == "shaken":
        found.append(circumstance("shaken", "unit", table["shaken"]))
    return found + conditions.of_throw(field, contact, us, them, striking, oldest)


def strike(rules, roll, purpose, us, them, circumstances, base, part, least, leader_dice, left):
    """One throw at a unit that has `left` figures left in this round; `least` are its fewest dice."""
    matchup = rules.matchup(base, circumstances)
    rate = matchup["rate"]
    added = min(sum(one["effect"].get("dice", 0) for one in circumstances), part - leader_dice)
    dice = max(part * rate["dice"] // rate["figures"], least) + leader_dice + added
    thrown = roll.throw(purpose, dice, rules.sides)
    hits = sum(face >= rate["kills_on"] for face in thrown)
    kills = min(hits, left)
    return {"by": us["name"], "by_class": us["class"], "at": them["name"], "at_class": them["class"],
            "fighting": part, "circumstances": circumstances, "matchup": matchup, "leader_dice": leader_dice,
            **({"added_dice": added} if added else {}), "dice": dice, "sides": rules.sides, "faces": thrown, "kills": kills, "excess": hits - kills}


def quarters_lost(rules, unit, left, by):
    """The term of the quarters that a unit has lost, if any count."""
    muster = unit["muster"]["figures"]
    quarters = min(4 * max(0, muster - left) // max(1, muster), rules.raw["morale"]["quarters_counted"])
    return [{"cause": {"quarters": quarters}, "by": by * quarters}] if quarters and by else []


def morale(rules, roll, unit, left, leader, field, melee=None, given=()):
    """A morale test; `melee` is (lost, killed, degree of outnumbering, comrades gone, struck on flank or rear),
    and `given` are conditions that the same round sets."""
    table = rules.raw["morale"]
    lost, killed, degree, comrade, side_or_rear = melee or (0, 0, None, False, False)
    terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]}]
    if leader:
        terms.append({"cause": "leader", "by": table["leader"]})
    terms += quarters_lost(rules, unit, left, table["quarter_lost"])
    if lost > killed:
        terms.append({"cause": "lost_more", "by": table["lost_more"]})
    if degree:
        cause = {"outnumbered": {"theirs": degree["theirs"], "ours": degree["ours"]}}
        terms.append({"cause": cause, "by": degree["modifier"]})
    if comrade and "comrade" in table:
        terms.append({"cause": "comrade", "by": table["comrade"]})
    wide = front(unit, field.scale)
    if "deep" in table and wide is not None and left >= wide * table["deep"]["ranks"]:
        terms.append({"cause": "deep", "by": table["deep"]["modifier"]})
    known = conditions.of(field, unit)
    names = [one["name"] for one in known]
    terms += conditions.nerve([*known, *(one for one in given if one["on"] == {"side": unit["side"]} and one["name"] not in names)])
    if side_or_rear:
        terms.append({"cause": {"circumstance": "struck_side_or_rear"}, "by": table["struck_side_or_rear"]})
    return tested(rules, roll, unit, terms)


def tested(rules, roll, unit, terms):
    """A morale test by these terms."""
    table = rules.raw["morale"]
    thrown = roll.throw(f"nerve of {unit['name']}", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    score = sum(thrown) + sum(term["by"] for term in terms)
    shaken = unit["standing"] == "shaken"
    outcome = "stands" if score >= table["stands_on"] else "falls_back" if score >= table["falls_back_on"] and not shaken else "routs"
    return {"unit": unit["name"], "faces": thrown, "terms": terms, "score": score, "stands_on": table["stands_on"],
            "falls_back_on": table["falls_back_on"], "was_shaken": shaken, "outcome": outcome}


def telling(rules, lost, before):
    """Whether so many figures of those at the start of the round are enough to be tested for."""
    share = rules.raw["morale"].get("tested_share")
    return lost > 0 and (share is None or lost * share >= before)


def result(unit, scale, lost, killed, excess, test):
    """What a round did to one unit."""
    left = after(unit["now"], lost, scale)
    outcome = "destroyed" if left["figures"] == 0 else test["outcome"] if test else "stands"
    standing = {"stands": unit["standing"], "falls_back": "shaken", "routs": "routing", "destroyed": "destroyed"}
    return {"unit": unit["name"], "side": unit["side"], "before": copy.copy(unit["now"]), "after": left, "lost": lost,
            "killed": killed, "excess": excess, "outcome": outcome, "standing": standing[outcome]}


class Side:
    """One unit's side of a contact: us at them."""

    def __init__(self, contact, us, them, striking):
        self.contact, self.us, self.them, self.striking = contact, us, them, striking
        # The asking unit's own front always faces what it strikes.
        self.on_own_front = striking or contact["ask"].get("facing", "front") == "front"
        self.fighting = self.leader_dice = 0
        self.spears = us["long_spears"] and us["standing"] != "shaken" and self.on_own_front


def shared(rules, field, sides):
    """Who fights where: shares in proportion to the enemy's figures, then what fronts and widths hold back."""
    ranks = rules.raw["ranks"]
    deep = {True: ranks["long_spears"], False: ranks["fighting"]}
    whole = {}
    for side in sides:
        # The second rank of spears fights as long as it is on its own front somewhere.
        spears = any(other.spears for other in sides if other.us is side.us)
        whole[side.us["name"]] = in_ranks(side.us, field.scale, deep[spears])
    for name, figures_of in whole.items():
        own = [side for side in sides if side.us["name"] == name]
        enemies = [whole[side.them["name"]] for side in own]
        parts = [figures_of * enemy // sum(enemies) for enemy in enemies]
        rest = [figures_of * enemy % sum(enemies) for enemy in enemies]
        for place in sorted(range(len(own)), key=lambda place: (-rest[place], place))[:figures_of - sum(parts)]:
            parts[place] += 1
        for place in range(len(own)):
            fullest = max(range(len(own)), key=lambda place: (parts[place], place))
            if parts[place] == 0 and parts[fullest] > 1:
                parts[fullest], parts[place] = parts[fullest] - 1, 1
        for side, part in zip(own, parts):
            side.fighting = part
    fronts = {name: front(field.unit(name), field.scale) for name in whole}
    across = {}
    for side in sides:
        wide, name = fronts[side.them["name"]], side.them["name"]
        theirs = next(other for other in sides if other.contact is side.contact and other.us is side.them)
        if wide is not None and theirs.on_own_front:
            side.fighting = min(side.fighting, wide * deep[side.spears])
            fronts[name] = wide - -(-side.fighting // deep[side.spears])
    for side in sides:
        width, name = side.contact["ask"].get("width"), side.us["side"]
        if width is not None:
            room = across.setdefault(name, width)
            side.fighting = min(side.fighting, room * deep[side.spears])
            across[name] = room - -(-side.fighting // deep[side.spears])
    for unit in whole:
        own = [side for side in sides if side.us["name"] == unit]
        fullest = max(own, key=lambda side: side.fighting)
        fullest.leader_dice = min(leaders.adds(rules, fullest.us), fullest.fighting)


def fewest(rules, sides, side, matchup):
    """The dice that a side throws at an enemy unit that it reaches and would get none against."""
    allies = [other for other in sides if other.them is side.them]
    def dice(one):
        rate = matchup(one)["rate"]
        return one.fighting * rate["dice"] // rate["figures"]
    first = next((other for other in allies if other.fighting), None)
    return rules.minimum if first is side and not any(map(dice, allies)) else 0


def presence_of(rules, clash, sides, units, left):
    """The presence of both sides: figures that reach the enemy only across a width count at most twice it."""
    width = next((contact["ask"]["width"] for contact in clash["contacts"] if "width" in contact["ask"]), None)
    found = []
    for name in sides:
        room, total, seen = 2 * (width or 0), 0, []
        in_order = [unit for contact in clash["contacts"] for unit in (contact["ask"]["striker"], contact["ask"]["struck"])]
        for unit in (next(unit for unit in units if unit["name"] == called) for called in in_order):
            if unit["side"] != name or unit["name"] in seen:
                continue
            seen.append(unit["name"])
            own = [c for c in clash["contacts"] if unit["name"] in (c["ask"]["striker"], c["ask"]["struck"])]
            counted = left[unit["name"]]
            if all("width" in contact["ask"] for contact in own):
                counted = min(counted, room)
                room -= counted
            total += counted * rules.entry("class", unit["class"])["presence"]
        found.append(total)
    return found


def melee(rules, field, clash, roll):
    """One round of a melee: contacts, leaders at risk, morale."""
    contacts = clash["contacts"]
    pairs = [[field.unit(contact["ask"][role]) for role in ("striker", "struck")] for contact in contacts]
    first = clash["asking"]
    sides = [first, next(unit["side"] for pair in pairs for unit in pair if unit["side"] != first)]
    inside = {unit["name"] for pair in pairs for unit in pair}
    units = [unit for side in sides for unit in field.units if unit["side"] == side and unit["name"] in inside]
    throws = []
    for contact, (striker, struck) in zip(contacts, pairs):
        both = [Side(contact, striker, struck, True), Side(contact, struck, striker, False)]
        throws += both if striker["side"] == first else both[::-1]
    shared(rules, field, throws)

    oldest = {next(place for place, one in enumerate(throws) if one.us["name"] == name) for name in inside}

    def found(side):
        return of_contact(rules, field, side, throws.index(side) in oldest)

    def base(side):
        return rules.entry("class", side.us["class"])["weight"] - rules.entry("class", side.them["class"])["weight"]
    least = [fewest(rules, throws, side, lambda one: rules.matchup(base(one), found(one))) for side in throws]
    lost, killed, excess = (dict.fromkeys(inside, 0) for _ in range(3))
    strikes = []
    for side, fewest_dice in zip(throws, least):
        us, them = side.us, side.them
        one = strike(rules, roll, f"{us['name']} at {them['name']}", us, them, found(side), base(side), side.fighting, fewest_dice,
                     side.leader_dice, them["now"]["figures"] - lost[them["name"]])
        lost[them["name"]] += one["kills"]
        killed[us["name"]] += one["kills"]
        excess[them["name"]] += one["excess"]
        strikes.append(one)
    at_risk = [test for test in (leaders.test(rules, roll, unit, lost[unit["name"]]) for unit in units) if test]
    fallen = {test["unit"] for test in at_risk if test["fate"] in ("falls", "out")}
    dismayed = leaders.dismayed(rules, field, units, at_risk, sides)
    left = {unit["name"]: unit["now"]["figures"] - lost[unit["name"]] for unit in units}
    presence = presence_of(rules, clash, sides, units, left)
    gone = clash["fled"] | {unit["side"] for unit in units if left[unit["name"]] == 0}
    tests = []
    for unit in units:
        name, own = unit["name"], sides.index(unit["side"])
        degrees = [d for d in rules.raw["morale"]["outnumbered"] if presence[1 - own] * d["ours"] >= presence[own] * d["theirs"]]
        degree = degrees[-1] if degrees else None
        hit = any(struck is unit and contact["ask"].get("facing", "front") != "front" for contact, (_, struck) in zip(contacts, pairs))
        comrade = "comrade" in rules.raw["morale"] and unit["side"] in gone
        tried = telling(rules, lost[name], unit["now"]["figures"]) or lost[name] > killed[name] or degree or comrade
        if left[name] and tried:
            leader = unit["leader"] is not None and name not in fallen
            tests.append(morale(rules, roll, unit, left[name], leader, field, (lost[name], killed[name], degree, comrade, hit), dismayed))
    by_name = {test["unit"]: test for test in tests}
    results = [result(unit, field.scale, lost[unit["name"]], killed[unit["name"]], excess[unit["name"]], by_name.get(unit["name"]))
               for unit in units]
    stands = {one["unit"]: one["outcome"] == "stands" for one in results}
    ruled = [{"contact": contact["ask"], "round": contact["round"], "strikes": strikes[2 * place:2 * place + 2],
              "stands": stands[contact["ask"]["striker"]] and stands[contact["ask"]["struck"]]} for place, contact in enumerate(contacts)]
    most = rules.raw.get("turn", {}).get("rounds")
    beyond = {"beyond": most} if most is not None and clash["this_turn"] > most else {}
    return {"turn": field.turn, "round": clash["round"], "this_turn": clash["this_turn"], **beyond, "sides": sides, "contacts": ruled,
            "units": results, "leaders": at_risk, "presence": presence, **({"conditions": dismayed} if dismayed else {}), "morale": tests}


def shooting(rules, field, ask, roll):
    """Units of one side shoot at another's."""
    target = field.unit(ask["target"])
    table, protection = rules.raw["shooting"], rules.entry("class", target["class"])["protection"]
    wide = front(target, field.scale)
    massed = wide is not None and -(-target["now"]["figures"] // wide) >= rules.raw["ranks"]["massed"]
    shots, lost, excess = [], 0, 0
    for shooter in map(field.unit, ask["shooters"]):
        weapon = rules.entry("weapon", shooter["weapon"])
        causes = [(ask.get("cover") == "light", "light_cover", "options"), (ask.get("cover") == "works", "works", "options"),
                  (shooter["standing"] == "shaken", "shaken", "unit"), (ask.get("moved"), "moved", "options"), (massed, "massed", "target")]
        found = [circumstance(cause, source, table[cause]) for applies, cause, source in causes if applies]
        found += conditions.steps(conditions.of(field, shooter), "shoot") + conditions.steps(conditions.of(field, target), "shot", True)
        part = in_ranks(shooter, field.scale, rules.raw["ranks"]["shooting"])
        one = strike(rules, roll, f"{shooter['name']} shooting at {target['name']}", shooter, target, found, weapon[ask["range"]] - protection,
                     part, 0, 0, target["now"]["figures"] - lost)
        lost, excess = lost + one["kills"], excess + one["excess"]
        shots.append({"weapon": weapon["name"], "power": weapon[ask["range"]], "strike": one})
    left = target["now"]["figures"] - lost
    tried = telling(rules, lost, target["now"]["figures"]) and left and target["standing"] in ("steady", "shaken") and not target.get("shot_at")
    test = morale(rules, roll, target, left, target["leader"] is not None, field) if tried else None
    return {"turn": field.turn, "shot": ask, "protection": protection, "shots": shots,
            "target": result(target, field.scale, lost, 0, excess, test), "morale": test}


def rally(rules, field, name, roll):
    """A shaken or routing unit rallies."""
    unit = field.unit(name)
    needed = rules.raw["rally"]["steady_on" if unit["standing"] == "shaken" else "shaken_on"]
    thrown = roll.throw(f"rally of {name}", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]}]
    if unit["leader"]:
        terms.append({"cause": "leader", "by": rules.raw["morale"]["leader"]})
    terms += quarters_lost(rules, unit, unit["now"]["figures"], rules.raw["rally"].get("quarter_lost", 0))
    terms += conditions.nerve(conditions.of(field, unit))
    score = sum(thrown) + sum(term["by"] for term in terms)
    outcome = {"shaken": ("stays_shaken", "steady"), "routing": ("leaves", "shaken")}[unit["standing"]][score >= needed]
    return {"turn": field.turn, "unit": name, "before": unit["standing"], "faces": thrown, "terms": terms, "score": score,
            "needed": needed, "outcome": outcome}
