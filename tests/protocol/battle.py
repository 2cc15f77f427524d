"""A battle's record by docs/checking.md: requests, events, and the export of the whole."""
import copy
import json
import re

import open_field
from open_field import figures
from roll import Chain, Roll, sha256, statement_lines

STEADY = {"steady": "steady", "stays_shaken": "shaken", "shaken": "shaken", "leaves": "left"}


def dumps(value):
    """One line of JSON, spelled as records spell it."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def quote(name):
    """A name as it stands on a line."""
    plain = re.fullmatch(r"[^\W_][\w.:/+-]*", name) and name != "and"
    return name if plain else '"' + re.sub(r'(["\\$`])', r"\\\1", name) + '"'


def how(contact):
    """How the two units of a contact meet."""
    holder = {"striker": "ours", "struck": "theirs", "both": "both"}
    parts = [f" --{flag}" for flag in ("charge", "countercharge") if contact.get(flag)]
    parts += [f" --{contact['facing']}"] if "facing" in contact else []
    parts += [f" --higher {holder[contact['ground']]}"] if "ground" in contact else []
    parts += [f" --obstacle {holder[contact['obstacle']]}"] if "obstacle" in contact else []
    return "".join(parts)


def described(unit):
    """A described unit in one line."""
    (kind, count), = unit["strength"].items()
    one = {"figures": "figure", "men": "man"}[kind]
    parts = [f"{count} {one if count == 1 else kind} of {unit['class']}"]
    parts += [name for key, name in (("spears", "long spears"), ("shaken", "shaken"), ("led", "led")) if unit[key]]
    parts += [f"frontage {unit['frontage']}"] if "frontage" in unit else []
    return ", ".join(parts + ([unit["grade"]] if "grade" in unit else []))


def line(request):
    """The one-line form of a request that can throw dice."""
    (kind, ask), = request.items()
    if kind == "melee":
        contacts = [f"{quote(c['striker'])} {quote(c['struck'])}{how(c)}" for c in ask["contacts"]]
        return "melee " + " and ".join(contacts) + (" --cast" if ask.get("cast") else "")
    if kind == "again":
        return "again" + (f" {quote(ask['unit'])}" if ask["unit"] else "")
    if kind == "shoot":
        far = " --long" if ask["range"] == "long" else ""
        cover = f" --cover {ask['cover']}" if "cover" in ask else ""
        return f"shoot {quote(ask['shooter'])} {quote(ask['target'])}{far}{cover}"
    if kind == "rally":
        return f"rally {quote(ask['unit'])}"
    if kind == "throw":
        dice = " ".join(f"{one['count']}d{one['sides']}" for one in ask["dice"])
        return f"throw {dice}" + (f" --for {quote(ask['purpose'])}" if "purpose" in ask else "")
    units = f"{quote(described(ask['striker']))} {quote(described(ask['struck']))}"
    return f"ruling {units} --scale 1:{ask['scale']}{how(ask['how'])}"


class Field:
    """What an undo can take back."""

    def __init__(self, scale, sides):
        self.scale, self.sides, self.turn = scale, list(sides), 1
        self.units, self.free, self.engagements, self.pending = [], [], [], None

    def unit(self, name):
        """The unit of that name."""
        return next(unit for unit in self.units if unit["name"] == name)

    def part(self, name):
        """Takes a unit out of every contact."""
        for engagement in self.engagements:
            engagement["contacts"] = [c for c in engagement["contacts"] if name not in (c["striker"], c["struck"])]
        self.engagements = [engagement for engagement in self.engagements if engagement["contacts"]]

    def take_result(self, result):
        """Takes what a round did to one unit."""
        unit = self.unit(result["unit"])
        unit["now"], unit["standing"] = copy.copy(result["after"]), result["standing"]
        if unit["standing"] == "destroyed" and unit["leader"]:
            self.free.append((unit["leader"], unit["side"]))
            unit["leader"] = None

    def take(self, kind, ruling):
        """Takes a ruling."""
        if kind == "melee":
            for test in ruling["leaders"]:
                if test["falls"]:
                    self.unit(test["unit"])["leader"] = None
            for result in ruling["units"]:
                self.part(result["unit"])
                self.take_result(result)
            held = [c["contact"] for c in ruling["contacts"] if c["stands"]]
            if held:
                self.engagements.append({"rounds": ruling["round"], "contacts": held})
        elif kind == "shooting":
            self.take_result(ruling["target"])
            if ruling["target"]["outcome"] != "stands":
                self.part(ruling["target"]["unit"])
        elif kind == "rally":
            unit = self.unit(ruling["unit"])
            unit["standing"], unit["rallied"] = STEADY[ruling["outcome"]], True


class Forge:
    """What a forger changes, as functions by the number of the event: the event itself, a roll's
    statement before its dice, the field before a roll without any event saying so, a throw's label."""

    def __init__(self, event=None, statement=None, quiet=None, label=None, chains=None, hidden_undo=()):
        self.event, self.statement, self.quiet, self.label = event or {}, statement or {}, quiet or {}, label or {}
        # Another chain in place of the one that should follow; events that undo without saying so.
        self.chains, self.hidden_undo = chains or {}, set(hidden_undo)


class Battle:
    """A battle that is opened and then asked; `lines` are its events."""

    def __init__(self, rules, name="Harrow Ford", scale=20, sides=("Vale", "Grey Banner"), casts=False, by="person-1",
                 where="chat", forge=None):
        self.rules, self.forge, self.length, self.where = rules, forge or Forge(), 4, where
        self.name, self.opener = name, by
        self.numbers = [0, 1]
        self.anchors = [self.chain(1).anchor]
        self.before = self.rolls = 0
        self.id, self.head, self.lines = self.chain(0).anchor[:16], "0" * 64, []
        self.words, self.changes = [], []
        self.field = Field(scale, sides)
        ask = {"name": name, "scale": scale, **({"sides": list(sides)} if sides else {}), **({"casts": True} if casts else {})}
        body = {"protocol": 1, "name": name, "scale": scale, "sides": list(sides), "rules_name": rules.name,
                "rules": rules.sha256, "anchor": self.chain(0).anchor, "next_anchor": self.anchors[0],
                "chain_length": self.length, "casts": casts}
        self.casts = casts
        self.write(by, "referee", {"open": ask}, {"opened": body})

    def chain(self, number):
        """The chain of that number, or the one that a forger puts in its place."""
        return Chain(self.forge.chains.get(number, number), self.length)

    def chain_in_use(self):
        """The chain, and the place in it of the next link."""
        return self.chain(self.numbers[0]), self.rolls + 1 - self.before

    @property
    def seq(self):
        """The number of the next event."""
        return len(self.lines) + 1

    def asked(self):
        """The id of the next request."""
        return f"{self.where}:{7463 + 17 * self.seq}"

    def write(self, by, office, request, body, roll=None, asked=None):
        """Writes the next event."""
        event = {"battle": self.id, "seq": self.seq, "at": f"2026-11-25T18:{self.seq:02}:27Z", "by": by, "office": office,
                 "asked": asked or self.asked(), "prev": self.head, "request": request, "body": body}
        if roll:
            event["roll"] = roll
        change = self.forge.event.get(self.seq)
        if change:
            # What a request and its body share is copied, so that a forger can change one of them.
            event = json.loads(dumps(event))
            event = change(event) or event
        self.lines.append(dumps(event))
        self.head = sha256(self.lines[-1])

    def begin(self, request, asked=None, cast=None, taken_back=False):
        """Begins the next roll."""
        self.forge.quiet.get(self.seq, lambda field: None)(self.field)
        chain, position = self.chain_in_use()
        lines = statement_lines(self, asked or self.asked(), line(request), cast, taken_back)
        change = self.forge.statement.get(self.seq)
        if change:
            lines = change(lines) or lines
        statement = "".join(f"{start} {rest}\n" for start, rest in lines)
        return Roll(self.rolls + 1, chain.anchor, chain.link(position), statement, self.forge.label.get(self.seq))

    def spend(self, roll):
        """Ends a roll: what the event holds of it."""
        held = {"receipt": roll.receipt}
        self.rolls += 1
        if self.rolls - self.before == self.length:
            self.numbers = [self.numbers[1], self.numbers[1] + 1]
            self.anchors = [Chain(self.numbers[1], self.length).anchor]
            self.before = self.rolls
            held["next_anchor"] = self.anchors[0]
        return held

    def remember(self, request, roll=None):
        """Keeps what an undo takes back."""
        self.changes.append((self.seq, roll, request, copy.deepcopy(self.field)))

    def muster(self, by, office, **ask):
        """Musters a unit."""
        strength = {"men": ask["men"], "figures": figures(ask["men"], self.field.scale)}
        unit = {"name": ask["unit"], "side": ask["side"], "class": ask["class"], "grade": ask.get("grade", self.rules.default_grade()),
                "long_spears": ask.get("spears", False), "weapon": ask.get("weapon"), "frontage": ask.get("frontage"),
                "leader": ask.get("leader"), "muster": strength, "now": dict(strength), "standing": "steady", "rallied": False}
        self.remember({"muster": ask})
        self.write(by, office, {"muster": ask}, {"mustered": {"unit": copy.deepcopy(unit), "scale": self.field.scale}})
        self.field.units.append(unit)

    def change(self, by, office, unit, standing, apart):
        """Sets how a unit stands, and takes it out of contact."""
        ask = {"unit": unit, "standing": standing, **({"apart": True} if apart else {})}
        place = self.field.unit(unit)
        before = copy.deepcopy(place)
        in_contact = any(unit in (c["striker"], c["struck"]) for e in self.field.engagements for c in e["contacts"])
        self.remember({"change": ask})
        place["standing"] = standing
        body = {"before": before, "after": copy.deepcopy(place), "apart": apart and in_contact}
        self.write(by, office, {"change": ask}, {"changed": body})
        if apart:
            self.field.part(unit)

    def word(self, by, office, name, text):
        """Gives a word; each person has one."""
        ask = {"name": name, "text": text}
        self.write(by, office, {"word": ask}, {"word_given": {"word": ask}})
        known = [word for word in self.words if word[0] == by]
        if known:
            self.words[self.words.index(known[0])] = (by, name, text)
        else:
            self.words.append((by, name, text))

    def appoint(self, by, who, side=None):
        """Gives an office."""
        ask = {"who": who, **({"side": side} if side else {})}
        self.write(by, "referee", {"appoint": ask}, {"appointed": ask})

    def rescale(self, by, office, scale):
        """Changes the figure scale."""
        field = self.field
        units = [[unit["name"], unit["now"]["figures"], figures(unit["now"]["men"], scale)] for unit in field.units]
        self.remember({"rescale": {"scale": scale}})
        self.write(by, office, {"rescale": {"scale": scale}}, {"rescaled": {"from": field.scale, "to": scale, "units": units}})
        for unit in field.units:
            if unit["frontage"] is not None:
                unit["frontage"] = figures(unit["frontage"] * field.scale, scale)
            for strength in (unit["muster"], unit["now"]):
                strength["figures"] = figures(strength["men"], scale)
        field.scale = scale

    def turn(self, by, office):
        """Begins the next turn."""
        self.remember("turn")
        self.field.turn += 1
        for unit in self.field.units:
            unit["rallied"] = False
        self.write(by, office, "turn", {"turned": {"turn": self.field.turn}})

    def close(self, by, office):
        """Closes the battle."""
        self.write(by, office, "close", "closed")

    def undo(self, by, office, reason):
        """Takes back the latest change; of a roll that waits for its cast, the roll is spent."""
        seq, roll, request, before = self.changes.pop()
        body = {"seq": seq, "roll": roll, "request": request, "reason": reason}
        held = None
        if self.field.pending:
            asked, announced = self.field.pending
            body["roll"] = self.rolls + 1
            held = self.spend(self.begin(announced, asked, taken_back=True))
        if self.seq not in self.forge.hidden_undo:
            self.write(by, office, {"undo": {"reason": reason}}, {"undone": body}, held)
        self.field = before

    def rule(self, request, roll):
        """What a request is ruled to mean: the kind of ruling, and the ruling."""
        (kind, ask), = request.items()
        if kind == "melee":
            return "melee", open_field.melee(self.rules, self.field, ask["contacts"], 1, roll)
        if kind == "again":
            held = self.field.engagements
            fought = next(e for e in held if any(ask["unit"] in (c["striker"], c["struck"]) for c in e["contacts"])) if ask["unit"] else held[-1]
            return "melee", open_field.melee(self.rules, self.field, fought["contacts"], fought["rounds"] + 1, roll)
        if kind == "shoot":
            return "shooting", open_field.shooting(self.rules, self.field, ask, roll)
        if kind == "rally":
            return "rally", open_field.rally(self.rules, self.field, ask["unit"], roll)
        if kind == "throw":
            thrown = [roll.throw(ask.get("purpose", f"{one['count']}d{one['sides']}"), one["count"], one["sides"]) for one in ask["dice"]]
            return "throw", {"purpose": ask.get("purpose"), "dice": ask["dice"], "faces": thrown, "total": sum(map(sum, thrown))}
        return "quick", self.quick(ask, roll)

    def quick(self, ask, roll):
        """A clash of two described units, on a field of their own."""
        field = Field(ask["scale"], ["one side", "the other side"])
        field.turn = self.field.turn
        alike = ask["striker"]["class"] == ask["struck"]["class"]
        for place, one in enumerate((ask["striker"], ask["struck"])):
            (kind, count), = one["strength"].items()
            men = count if kind == "men" else count * ask["scale"]
            strength = {"men": men, "figures": figures(men, ask["scale"])}
            name = f"{('first', 'second')[place]} {one['class']}" if alike else one["class"]
            field.units.append({"name": name, "side": field.sides[place], "class": one["class"],
                                "grade": one.get("grade", self.rules.default_grade()), "long_spears": one["spears"], "weapon": None,
                                "frontage": one.get("frontage"), "leader": ("one leader", "the other leader")[place] if one["led"] else None,
                                "muster": strength, "now": dict(strength), "standing": "shaken" if one["shaken"] else "steady", "rallied": False})
        contact = {**ask["how"], "striker": field.units[0]["name"], "struck": field.units[1]["name"]}
        return {"scale": ask["scale"], "melee": open_field.melee(self.rules, field, [contact], 1, roll)}

    def throws(self, by, office, request, asked=None, announced=None, cast=None):
        """Throws what is asked, or what was announced."""
        roll = self.begin(announced or request, asked, cast)
        kind, ruling = self.rule(announced or request, roll)
        # With a cast its announcement goes too, when it is taken back.
        before = self.changes.pop()[3] if cast else copy.deepcopy(self.field)
        self.changes.append((self.seq, self.rolls + 1, request, before))
        ruling = copy.deepcopy(ruling)
        self.write(by, office, request, {"ruled": {"ruling": {kind: ruling}}}, self.spend(roll))
        self.field.pending = None
        self.field.take(kind, json.loads(dumps(ruling)))

    def announce(self, by, office, request):
        """Announces what the other side then casts."""
        (kind, ask), = request.items()
        first = ask["contacts"][0] if kind == "melee" else None
        names = (first["striker"], first["struck"]) if first else (ask["shooter"], ask["target"])
        asking, casting = (self.field.unit(name)["side"] for name in names)
        self.remember(request)
        asked = self.asked()
        self.write(by, office, request, {"announced": {"asking": asking, "casting": casting}})
        self.field.pending = (asked, request)

    def cast(self, by, office, text):
        """Casts what was announced."""
        asked, announced = self.field.pending
        self.throws(by, office, {"cast": {"text": text}}, asked, announced, text)

    def export(self):
        """The lines of the export."""
        header = {"drumhead_export": 1, "battle": self.id, "name": self.name, "events": len(self.lines), "head": self.head}
        rules = {"rules": self.rules.name, "sha256": self.rules.sha256, "text": self.rules.text}
        end = {"end": {"events": len(self.lines), "head": self.head}}
        return [dumps(header), dumps(rules), *self.lines, dumps(end)]

    def receipts(self):
        """The lines of the receipts."""
        events = (json.loads(line) for line in self.lines)
        return [dumps(event["roll"]["receipt"]) for event in events if "roll" in event]
