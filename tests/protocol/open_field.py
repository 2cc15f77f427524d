"""Rulings by a rules file, as docs/rules.md tells them: just as much as the samples need."""
import copy
import tomllib

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

    def matchup(self, base, steps):
        """Where the ladder is entered and, by the steps, left."""
        lowest, highest = self.raw["rung"][0]["rung"], self.raw["rung"][-1]["rung"]
        rung = max(lowest, min(highest, base + sum(step["by"] for step in steps)))
        entry = next(entry for entry in self.raw["rung"] if entry["rung"] == rung)
        rate = {key: entry[key] for key in ("dice", "figures", "kills_on")}
        return {"base": {"rung": base}, "rung": rung, "rate": rate}


def figures(men, scale):
    """The figures of so many men: rounded half up, at least one while anyone is left."""
    return max(1, (2 * men + scale) // (2 * scale)) if men else 0


def after(strength, lost, scale):
    """What is left of a strength after so many figures are lost."""
    left = max(0, strength["figures"] - lost)
    return {"men": max(0, strength["men"] - lost * scale) if left else 0, "figures": left}


def fighting(rules, unit, ranks):
    """The figures that take part: all, or the ranks of a frontage."""
    front = unit["frontage"]
    return unit["now"]["figures"] if front is None else min(unit["now"]["figures"], front * ranks)


def contact_steps(rules, contact, us, them, striking, first):
    """The steps of one throw of a contact, in the order of docs/rules.md."""
    table, steps = rules.raw["steps"], []
    mounted = {id(unit): rules.entry("class", unit["class"])["mounted"] for unit in (us, them)}
    facing = contact.get("facing", "front")

    def spears(unit, role):
        own_front = role or facing == "front"
        return unit["long_spears"] and unit["standing"] != "shaken" and own_front

    def step(applies, cause, by):
        if applies:
            steps.append({"cause": cause, "by": by})

    charges = first and contact.get("charge" if striking else "countercharge", False)
    into = spears(them, not striking) and mounted[id(us)]
    step(charges and not into, "charge", table["charge"])
    step(charges and into, "charge_lost", 0)
    step(into, "against_long_spears", table["against_long_spears"])
    step(spears(us, striking) and mounted[id(them)], "long_spears", table["long_spears"])
    if facing != "front":
        cause = facing if striking else f"struck_{facing}"
        step(True, cause, table[cause])
    own, other = ("striker", "struck") if striking else ("struck", "striker")
    step(contact.get("ground") == own, "higher_ground", table["higher_ground"])
    step(contact.get("obstacle") == other, "obstacle", table["obstacle"])
    step(us["standing"] == "shaken", "shaken", table["shaken"])
    return steps


def strike(rules, roll, purpose, us, them, steps, base, part, leader_dice, left):
    """One throw at a unit that has `left` figures left in this round."""
    matchup = rules.matchup(base, steps)
    rate = matchup["rate"]
    dice = max(part * rate["dice"] // rate["figures"], rules.minimum) + leader_dice if part else 0
    thrown = roll.throw(purpose, dice, rules.sides)
    hits = sum(face >= rate["kills_on"] for face in thrown)
    kills = min(hits, left)
    return {"by": us["name"], "by_class": us["class"], "at": them["name"], "at_class": them["class"],
            "fighting": part, "steps": steps, "matchup": matchup, "leader_dice": leader_dice if part else 0,
            "dice": dice, "sides": rules.sides, "faces": thrown, "kills": kills, "excess": hits - kills}


def morale(rules, roll, unit, left, leader, melee=None):
    """A morale test; `melee` is (lost, killed, degree of outnumbering, struck on flank or rear)."""
    table = rules.raw["morale"]
    thrown = roll.throw(f"nerve of {unit['name']}", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]}]
    if leader:
        terms.append({"cause": "leader", "by": table["leader"]})
    muster = unit["muster"]["figures"]
    quarters = min(4 * max(0, muster - left) // max(1, muster), table["quarters_counted"])
    if quarters:
        terms.append({"cause": {"quarters": quarters}, "by": table["quarter_lost"] * quarters})
    if melee:
        lost, killed, degree, side_or_rear = melee
        if lost > killed:
            terms.append({"cause": "lost_more", "by": table["lost_more"]})
        if degree:
            cause = {"outnumbered": {"theirs": degree["theirs"], "ours": degree["ours"]}}
            terms.append({"cause": cause, "by": degree["modifier"]})
        if side_or_rear:
            terms.append({"cause": "struck_side_or_rear", "by": table["struck_side_or_rear"]})
    score = sum(thrown) + sum(term["by"] for term in terms)
    shaken = unit["standing"] == "shaken"
    outcome = "stands" if score >= table["stands_on"] else "falls_back" if score >= table["falls_back_on"] and not shaken else "routs"
    return {"unit": unit["name"], "faces": thrown, "terms": terms, "score": score, "stands_on": table["stands_on"],
            "falls_back_on": table["falls_back_on"], "was_shaken": shaken, "outcome": outcome}


def result(unit, scale, lost, killed, excess, test):
    """What a round did to one unit."""
    left = after(unit["now"], lost, scale)
    outcome = "destroyed" if left["figures"] == 0 else test["outcome"] if test else "stands"
    standing = {"stands": unit["standing"], "falls_back": "shaken", "routs": "routing", "destroyed": "destroyed"}
    return {"unit": unit["name"], "side": unit["side"], "before": copy.copy(unit["now"]), "after": left, "lost": lost,
            "killed": killed, "excess": excess, "outcome": outcome, "standing": standing[outcome]}


def melee(rules, field, contacts, number, roll):
    """One round of a melee: contacts, leaders at risk, morale."""
    pairs = [(field.unit(contact["striker"]), field.unit(contact["struck"])) for contact in contacts]
    sides = [pairs[0][0]["side"], pairs[0][1]["side"]]
    inside = {unit["name"] for pair in pairs for unit in pair}
    units = [unit for side in sides for unit in field.units if unit["side"] == side and unit["name"] in inside]
    shares = {name: sum(name in (a["name"], b["name"]) for a, b in pairs) for name in inside}
    places = dict.fromkeys(inside, 0)
    lost, killed, excess = (dict.fromkeys(inside, 0) for _ in range(3))
    ruled = []
    attacks = []
    for contact, (striker, struck) in zip(contacts, pairs):
        for us, them, striking in ((striker, struck, True), (struck, striker, False)):
            attacks.append((contact, us, them, striking, places[us["name"]]))
        for unit in (striker, struck):
            places[unit["name"]] += 1
    strikes = []
    for contact, us, them, striking, place in attacks:
        steps = contact_steps(rules, contact, us, them, striking, number == 1)
        ranks = rules.raw["ranks"]["long_spears" if us["long_spears"] else "fighting"]
        all_of_them, share = fighting(rules, us, ranks), shares[us["name"]]
        part = all_of_them // share + (place < all_of_them % share)
        base = rules.entry("class", us["class"])["weight"] - rules.entry("class", them["class"])["weight"]
        leader_dice = rules.raw["dice"]["leader"] if us["leader"] and place == 0 else 0
        left = them["now"]["figures"] - lost[them["name"]]
        one = strike(rules, roll, f"{us['name']} at {them['name']}", us, them, steps, base, part, leader_dice, left)
        lost[them["name"]] += one["kills"]
        killed[us["name"]] += one["kills"]
        excess[them["name"]] += one["excess"]
        strikes.append(one)
    leaders = [leader_test(rules, roll, unit, lost[unit["name"]]) for unit in units if unit["leader"] and lost[unit["name"]]]
    fallen = {test["leader"] for test in leaders if test["falls"]}
    presence = [sum((unit["now"]["figures"] - lost[unit["name"]]) * rules.entry("class", unit["class"])["presence"]
                    for unit in units if unit["side"] == side) for side in sides]
    tests = []
    for unit in units:
        name, own = unit["name"], sides.index(unit["side"])
        left = unit["now"]["figures"] - lost[name]
        degrees = [d for d in rules.raw["morale"]["outnumbered"] if presence[1 - own] * d["ours"] >= presence[own] * d["theirs"]]
        degree = degrees[-1] if degrees else None
        hit = any(struck is unit and contact.get("facing", "front") != "front" for contact, (_, struck) in zip(contacts, pairs))
        if left and (lost[name] or degree):
            leader = unit["leader"] is not None and unit["leader"] not in fallen
            tests.append(morale(rules, roll, unit, left, leader, (lost[name], killed[name], degree, hit)))
    by_name = {test["unit"]: test for test in tests}
    results = [result(unit, field.scale, lost[unit["name"]], killed[unit["name"]], excess[unit["name"]], by_name.get(unit["name"]))
               for unit in units]
    stands = {one["unit"]: one["outcome"] == "stands" for one in results}
    for place, contact in enumerate(contacts):
        ruled.append({"contact": contact, "strikes": strikes[2 * place:2 * place + 2],
                      "stands": stands[contact["striker"]] and stands[contact["struck"]]})
    named = [{contact["striker"], contact["struck"]} for contact in contacts]
    parted = [[held["striker"], held["struck"]] for engagement in field.engagements for held in engagement["contacts"]
              if {held["striker"], held["struck"]} & inside and {held["striker"], held["struck"]} not in named]
    return {"turn": field.turn, "round": number, "sides": sides, "contacts": ruled, **({"parted": parted} if parted else {}),
            "units": results, "leaders": leaders, "presence": presence, "morale": tests}


def leader_test(rules, roll, unit, lost):
    """A leader whose unit lost figures."""
    table, before = rules.raw["leader"], unit["now"]["figures"]
    falls_on = table["destroyed"] if lost >= before else table["half_lost"] if lost * 2 >= before else table["falls_on"]
    thrown = roll.throw(f"{unit['leader']} at risk", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    return {"leader": unit["leader"], "unit": unit["name"], "falls_on": falls_on, "faces": thrown, "score": sum(thrown),
            "falls": sum(thrown) >= falls_on}


def shooting(rules, field, ask, roll):
    """One unit shoots at another."""
    shooter, target = field.unit(ask["shooter"]), field.unit(ask["target"])
    weapon, table = rules.entry("weapon", shooter["weapon"]), rules.raw["shooting"]
    massed = target["frontage"] is not None and -(-target["now"]["figures"] // target["frontage"]) >= rules.raw["ranks"]["massed"]
    causes = [(ask.get("cover") == "light", "light_cover"), (ask.get("cover") == "works", "works"),
              (shooter["standing"] == "shaken", "shaken"), (massed, "massed")]
    steps = [{"cause": cause, "by": table[cause]} for applies, cause in causes if applies]
    power, protection = weapon[ask["range"]], rules.entry("class", target["class"])["protection"]
    part = fighting(rules, shooter, rules.raw["ranks"]["shooting"])
    one = strike(rules, roll, f"{shooter['name']} shooting at {target['name']}", shooter, target, steps, power - protection, part, 0,
                 target["now"]["figures"])
    left = target["now"]["figures"] - one["kills"]
    test = morale(rules, roll, target, left, target["leader"] is not None) if one["kills"] and left and target["standing"] in ("steady", "shaken") else None
    return {"turn": field.turn, "shot": ask, "weapon": weapon["name"], "power": power, "protection": protection, "strike": one,
            "target": result(target, field.scale, one["kills"], 0, one["excess"], test), "morale": test}


def rally(rules, field, name, roll):
    """A shaken or routing unit rallies."""
    unit = field.unit(name)
    needed = rules.raw["rally"]["steady_on" if unit["standing"] == "shaken" else "shaken_on"]
    thrown = roll.throw(f"rally of {name}", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]}]
    if unit["leader"]:
        terms.append({"cause": "leader", "by": rules.raw["morale"]["leader"]})
    score = sum(thrown) + sum(term["by"] for term in terms)
    outcome = {"shaken": ("stays_shaken", "steady"), "routing": ("leaves", "shaken")}[unit["standing"]][score >= needed]
    return {"turn": field.turn, "unit": name, "before": unit["standing"], "faces": thrown, "terms": terms, "score": score,
            "needed": needed, "outcome": outcome}
