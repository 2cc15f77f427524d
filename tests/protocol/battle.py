"""A battle's record by docs/checking.md: requests, events, and the export of the whole."""
import copy
import json
import re

import conditions
import duel
import harm
import leaders
import open_field
from contacts import pair
from field import Field
from open_field import figures
from roll import Chain, Roll, sha256, statement_lines


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
    parts += [f" --width {contact['width']}"] if "width" in contact else []
    parts += [f" --{key} {quote(str(contact[key]))}" for key in ("ours", "theirs", "why") if key in contact]
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
        first, *more = map(quote, ask["shooters"])
        others = "".join(f" --with {shooter}" for shooter in more)
        return f"shoot {first} {quote(ask['target'])}{others}{far}{cover}" + (" --moved" if ask.get("moved") else "")
    if kind == "rally":
        return f"rally {quote(ask['unit'])}"
    if kind == "harm":
        return f"harm {quote(ask['unit'])} {harm.how_much(ask['how'])} --why {quote(ask['reason'])}"
    if kind == "duel":
        how_long = "" if ask["to"] == "wound" else f" --to {ask['to']}"
        return f"duel {' '.join(map(quote, ask['leaders']))}{how_long}" + (" --meet" if ask.get("meet") else "")
    if kind == "nerve":
        return f"nerve {quote(ask['unit'])} --why {quote(ask['reason'])}"
    if kind == "throw":
        dice = " ".join(f"{one['count']}d{one['sides']}" for one in ask["dice"])
        return f"throw {dice}" + (f" --for {quote(ask['purpose'])}" if "purpose" in ask else "")
    units = f"{quote(described(ask['striker']))} {quote(described(ask['struck']))}"
    return f"ruling {units} --scale 1:{ask['scale']}{how(ask['how'])}"


class OtherwiseTold(Exception):
    """The dice fell in another way than a story needs."""


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
                 where="chat", forge=None, take=0):
        self.rules, self.forge, self.length, self.where = rules, forge or Forge(), 4, where
        self.name, self.opener = name, by
        # Another take has other ids, and so other dice. What was forged is told to its end.
        self.first_id, self.wishing, self.ruling = 7463 + 1000 * take, forge is None, None
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
        return f"{self.where}:{self.first_id + 17 * self.seq}"

    def wish(self, holds):
        """What the story needs of the dice; without it the story is told in another take."""
        if self.wishing and not holds(self.ruling):
            raise OtherwiseTold

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
        """Musters a unit, or a single with hits in the place of men."""
        field, single = self.field, "hits" in ask
        strength = {"men": 0, "figures": ask["hits"]} if single else field.strength(ask["men"], ask["side"], ask["class"])["muster"]
        unit = {"name": ask["unit"], "side": ask["side"], "class": ask["class"], "grade": ask.get("grade", self.rules.default_grade()),
                "long_spears": ask.get("spears", False), "weapon": ask.get("weapon"),
                "frontage": ask["frontage"] * field.scale if "frontage" in ask else None, "leader": leaders.mustered(ask),
                **({"single": True} if single else {}), "muster": strength, "now": dict(strength), "standing": "steady", "rallied": False}
        self.remember({"muster": ask})
        self.write(by, office, {"muster": ask}, {"mustered": {"unit": copy.deepcopy(unit), "scale": field.scale}})
        field.units.append(unit)

    def change(self, by, office, unit, **ask):
        """Sets how a unit stands, or its men."""
        ask, place = {"unit": unit, **ask}, self.field.unit(unit)
        before = copy.deepcopy(place)
        self.remember({"change": ask})
        if "men" in ask:
            strength = self.field.strength(ask["men"], place["side"], place["class"], place)
            place.update({"now": strength["now"]} if self.rolls else strength)
            # Others of its class that are gone leave it no more figures than it mustered.
            place["now"]["figures"] = min(place["now"]["figures"], place["muster"]["figures"])
        place["standing"] = ask.get("standing", place["standing"])
        said = {key: ask[of] for key, of in (("might", "might"), ("wounds", "wounds"), ("general", "general"), ("spared", "spare")) if of in ask}
        if said:
            place["leader"] = leaders.spelled({**place["leader"], **said})
        self.write(by, office, {"change": ask}, {"changed": {"before": before, "after": copy.deepcopy(place), "scale": self.field.scale}})
        if place["standing"] not in ("steady", "shaken"):
            self.field.standing.part(unit)

    def attach(self, by, office, leader, unit):
        """A leader joins a unit."""
        self.wish(lambda _: self.field.fighter(leader))
        ask, (_, _, led) = {"leader": leader, "unit": unit}, self.field.known(leader)
        self.remember({"attach": ask})
        self.write(by, office, {"attach": ask}, {"attached": {**ask, **({"from": led["name"]} if led else {})}})
        if led:
            self.field.set_free(led)
        free = next(free for free in self.field.free if free["leader"]["name"] == leader)
        self.field.free.remove(free)
        self.field.unit(unit)["leader"] = free["leader"]

    def detach(self, by, office, unit):
        """A leader leaves his unit."""
        self.wish(lambda _: self.field.unit(unit)["leader"])
        self.remember({"detach": {"unit": unit}})
        led = self.field.led(unit)
        self.write(by, office, {"detach": {"unit": unit}}, {"detached": {"leader": led["leader"]["name"], "unit": unit}})
        self.field.set_free(led)

    def lead(self, by, office, unit, back):
        """A leader takes his place."""
        self.wish(lambda _: self.field.unit(unit)["leader"])
        ask, led = {"unit": unit, "back": back}, self.field.led(unit)
        self.remember({"lead": ask})
        self.write(by, office, {"lead": ask}, {"placed": {"leader": led["leader"]["name"], **ask}})
        led["leader"] = leaders.spelled({**led["leader"], "back": back, "placed": True})

    def reinforce(self, by, office, unit, men, reason):
        """Gives a unit more men."""
        ask, place = {"unit": unit, "men": men, "reason": reason}, self.field.unit(unit)
        before = copy.deepcopy(place)
        self.remember({"reinforce": ask})
        place.update(harm.reinforced(self.field, place, men))
        body = {"before": before, "after": copy.deepcopy(place), "scale": self.field.scale, "reason": reason}
        self.write(by, office, {"reinforce": ask}, {"reinforced": body})

    def part(self, by, office, unit, reason, other=None):
        """Takes a unit out of contact."""
        ask = {"unit": unit, **({"from": other} if other else {}), "reason": reason}
        held = [held["ask"] for held in self.field.standing.contacts()]
        pairs = [[one["striker"], one["struck"]] for one in held if {unit, other or unit} <= pair(one)]
        self.wish(lambda _: pairs)
        self.remember({"part": ask})
        self.write(by, office, {"part": ask}, {"parted": {"pairs": pairs, "reason": reason}})
        for one, another in pairs:
            self.field.standing.part(one, another)

    def condition(self, by, office, name, on, **ask):
        """Sets a condition on a unit, a side or the battle."""
        ask = {"name": name, "on": on, **ask}
        field = self.field
        others = [one for one in field.conditions if (one["name"], one["on"]) != (name, on)]
        until = [field.turn + ask["turns"] - 1 if "turns" in ask else None] + [one.get("until") for one in field.conditions if one not in others]
        condition = {"name": name, "on": on, "effects": ask.get("effects") or conditions.effects_of(self.rules, name),
                     **({} if None in until else {"until": max(until)}), **({"reason": ask["reason"]} if "reason" in ask else {}), "by": by}
        self.remember({"condition": ask})
        self.write(by, office, {"condition": ask}, {"condition_set": {"condition": condition}})
        field.conditions = [*others, condition]

    def lift(self, by, office, name, on):
        """Lifts a condition."""
        ask = {"name": name, "on": on}
        self.remember({"lift": ask})
        self.write(by, office, {"lift": ask}, {"condition_lifted": ask})
        self.field.conditions = [one for one in self.field.conditions if (one["name"], one["on"]) != (name, on)]

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
        muster, now = field.rescaled(scale)
        units = [[unit["name"], unit["now"]["figures"], left] for unit, left in zip(field.units, now)]
        self.remember({"rescale": {"scale": scale}})
        self.write(by, office, {"rescale": {"scale": scale}}, {"rescaled": {"from": field.scale, "to": scale, "units": units}})
        for unit, mustered, left in zip(field.units, muster, now):
            unit["muster"]["figures"], unit["now"]["figures"] = mustered, left
        field.scale = scale

    def turn(self, by, office):
        """Begins the next turn."""
        self.remember("turn")
        self.field.turn += 1
        self.field.standing.next_turn()
        self.field.conditions = [one for one in self.field.conditions if one.get("until", self.field.turn) >= self.field.turn]
        for unit in self.field.units:
            unit["rallied"] = False
            unit.pop("shot_at", None)
        for one in [*self.field.units, *self.field.free]:
            for done in ("placed", "fought") if one["leader"] else ():
                one["leader"].pop(done, None)
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
        if kind in ("melee", "again"):
            return "melee", [open_field.melee(self.rules, self.field, clash, roll) for clash in self.clashes(kind, ask)]
        if kind == "shoot":
            return "shooting", open_field.shooting(self.rules, self.field, ask, roll)
        if kind == "rally":
            return "rally", open_field.rally(self.rules, self.field, ask["unit"], roll)
        if kind == "duel":
            self.wish(lambda _: all(map(self.field.fighter, ask["leaders"])))
            return "duel", duel.duel(self.rules, self.field, ask, roll)
        if kind in ("harm", "nerve"):
            return kind, getattr(harm, kind)(self.rules, self.field, ask, roll)
        if kind == "throw":
            thrown = [roll.throw(ask.get("purpose", f"{one['count']}d{one['sides']}"), one["count"], one["sides"]) for one in ask["dice"]]
            return "throw", {"purpose": ask.get("purpose"), "dice": ask["dice"], "faces": thrown, "total": sum(map(sum, thrown))}
        return "quick", self.quick(ask, roll)

    def clashes(self, kind, ask):
        """The melees that a request comes to."""
        field = self.field
        self.wish(lambda _: kind == "melee" or field.standing.melees and (not ask["unit"] or field.standing.of(ask["unit"])))
        if kind == "melee":
            able = {unit["name"] for unit in field.units if unit["standing"] in ("steady", "shaken")}
            held = [pair(one["ask"]) for one in field.standing.contacts()]
            self.wish(lambda _: all(pair(one) <= able and (len(one) == 2 or pair(one) not in held) for one in ask["contacts"]))
            return field.standing.asked(ask["contacts"], field.unit(ask["contacts"][0]["striker"])["side"], field.scale)
        return field.standing.fought_on(ask["unit"], ask["unit"] and field.unit(ask["unit"])["side"], field.scale)

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
                                "frontage": one["frontage"] * ask["scale"] if "frontage" in one else None, "leader": {"name": ("one leader", "the other leader")[place]} if one["led"] else None,
                                "muster": strength, "now": dict(strength), "standing": "shaken" if one["shaken"] else "steady", "rallied": False})
        contact = {**ask["how"], "striker": field.units[0]["name"], "struck": field.units[1]["name"]}
        clash, = field.standing.asked([contact], field.sides[0], ask["scale"])
        return {"scale": ask["scale"], "melee": open_field.melee(self.rules, field, clash, roll)}

    def throws(self, by, office, request, asked=None, announced=None, cast=None):
        """Throws what is asked, or what was announced."""
        roll = self.begin(announced or request, asked, cast)
        kind, ruling = self.rule(announced or request, roll)
        # With a cast its announcement goes too, when it is taken back.
        before = self.changes.pop()[3] if cast else copy.deepcopy(self.field)
        # Harm that throws nothing spends no link.
        spent = kind != "harm" or roll.receipt["throws"]
        self.changes.append((self.seq, self.rolls + 1 if spent else None, request, before))
        ruling = self.ruling = copy.deepcopy(ruling)
        self.write(by, office, request, {"ruled": {"ruling": {kind: ruling}}}, self.spend(roll) if spent else None)
        self.field.pending = None
        self.field.take(kind, json.loads(dumps(ruling)))

    def announce(self, by, office, request):
        """Announces what the other side then casts."""
        (kind, ask), = request.items()
        if kind == "duel":
            asking, casting = (self.field.known(name)[1] for name in ask["leaders"])
        elif kind == "shoot":
            asking, casting = (self.field.unit(name)["side"] for name in (ask["shooters"][0], ask["target"]))
        else:
            clash = self.clashes(kind, ask)[0]
            asking = clash["asking"]
            inside = [self.field.unit(clash["contacts"][0]["ask"][role])["side"] for role in ("striker", "struck")]
            casting, = {*inside} - {asking}
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
