"""Samples of exports: good ones, bad ones that were edited, and forged ones where all hashes and
faces after the change were made to fit again, as somebody with the links could do."""
import json

import stories
from battle import Battle, Forge
from roll import Chain

# What comes before the first event in an export: the header and the rules.
BEFORE = 2
# Where rolls are thrown in the battle of `stories.harrow`: the event of each roll.
ROLL = {1: 8, 2: 10, 3: 15, 4: 17, 5: 22, 6: 24, 7: 25}


def places(*events, roll=None):
    """The places of events, and of a roll."""
    return [place for seq in events for place in (f"event {seq}", f"line {seq + BEFORE}")] + ([f"roll {roll}"] if roll else [])


class Exports:
    """The battle of `stories.harrow`, to be changed one thing at a time."""

    def __init__(self, rules, folder):
        self.rules, self.folder = rules, folder
        self.lines = stories.harrow(rules).export()

    def bad(self, name, lines, at, field=None, end="\n"):
        """Writes an export that was edited."""
        self.write(f"export-bad-{name}", lines, at, field, end)

    def forged(self, name, at, field=None, story=stories.harrow, **how):
        """Writes an export that was forged."""
        self.write(f"export-forged-{name}", story(self.rules, Forge(**how)).export(), at, field)

    def event(self, name, seq, change, field=None, at=None, roll=None, story=stories.harrow):
        """Writes an export with one event forged."""
        self.forged(name, at or places(seq, roll=roll), field, story, event={seq: change})

    def statement(self, name, roll, change, field=None):
        """Writes an export with one statement forged."""
        seq = ROLL[roll]
        self.forged(name, places(seq, roll=roll), field, statement={seq: change})

    def write(self, name, lines, at, field=None, end="\n"):
        """Writes a sample that does not hold."""
        self.folder.write(name, lines, {"ok": False, "at": at, **({"field": field} if field else {})}, end)


def make(rules, folder):
    """Makes all samples of exports but those of `samples_of_lasting` and `samples_of_harm`; gives what makes these."""
    make_good(rules, folder)
    exports = Exports(rules, folder)
    make_bad_files(exports)
    make_forms(exports)
    make_chains(exports)
    make_statements(exports)
    make_events(exports)
    make_offices(exports)
    make_rulings(exports)
    make_announcements(exports)
    return exports


def make_good(rules, folder):
    """What holds."""
    def write(name, battle, **expect):
        folder.write(name, battle.export(), {"ok": True, "rolls": battle.rolls, **expect})
    write("export-good", stories.harrow(rules), says="All 7 rolls hold, and so does the record of 26 events.")
    write("export-good-three-chains", stories.three_chains(rules), says="All 10 rolls hold, and so does the record of 25 events.")
    write("export-good-contacts-that-last", stories.lasting(rules), says="All 10 rolls hold, and so does the record of 25 events.")
    write("export-good-under-conditions", stories.under_conditions(rules))
    write("export-good-with-casts", stories.with_casts(rules), says="1 announced roll was taken back before any dice were thrown: 1 by person-1.")
    write("export-good-closed-by-a-manager", stories.closed_by_a_manager(rules))
    write("export-good-quick-rulings", stories.quick(rules))
    write("export-good-without-a-roll", Battle(rules))
    other = type(rules)(rules.text.replace("sides = 20 ", "sides = 24 ", 1))
    write("export-good-other-rules-of-that-name", stories.with_casts(other), says="These are not the rules that ship")


def make_bad_files(e):
    """Files that are no export: cut, doubled, mixed."""
    lines = e.lines
    last = len(lines)
    e.bad("end-missing", lines[:-1], places(26), "end")
    e.bad("end-cut", [*lines[:-1], lines[-1][:40]], [f"line {last}"], end="")
    e.bad("end-doubled", [*lines, lines[-1]], [f"line {last + 1}"], "end")
    e.bad("event-after-the-end", [*lines, lines[-2]], [f"line {last + 1}"], "end")
    e.bad("last-line-break-missing", lines, [f"line {last}"], "line", end="")
    e.bad("blank-line", [*lines[:10], "", *lines[10:]], ["line 11"], "line")
    e.bad("blank-line-at-the-end", [*lines, ""], [f"line {last + 1}"], "end")
    e.bad("carriage-returns", ("\r\n".join(lines) + "\r\n").encode(), ["line 1"], "line")
    e.bad("byte-order-mark", b"\xef\xbb\xbf" + ("\n".join(lines) + "\n").encode(), ["line 1"])
    e.bad("event-dropped", [*lines[:9], *lines[10:]], places(9, 8), "seq")
    e.bad("event-doubled", [*lines[:10], *lines[9:]], places(8, 9), "seq")
    e.bad("events-swapped", [*lines[:9], lines[10], lines[9], *lines[11:]], places(8, 9), "seq")
    e.bad("time-of-the-last-event", [*lines[:-2], lines[-2].replace("18:26:27Z", "18:26:28Z"), lines[-1]], [f"line {last}"], "head")
    e.bad("other-spelling-of-an-event", [*lines[:-2], lines[-2].replace('"seq":', '"seq": '), lines[-1]], places(26))
    first, rules, end = lines[0], lines[1], lines[-1]
    e.bad("other-spelling-of-the-header", [first.replace('"events":', '"events": '), *lines[1:]], ["line 1"])
    e.bad("other-order-in-the-header", [in_another_order(first), *lines[1:]], ["line 1"])
    e.bad("other-spelling-of-the-rules", [first, rules.replace("=", "\\u003d", 1), *lines[2:]], ["line 2"])
    e.bad("other-order-in-the-rules", [first, in_another_order(rules, "rules"), *lines[2:]], ["line 2"])
    e.bad("other-order-at-the-end", [*lines[:-1], json.dumps({"end": dict(reversed(json.loads(end)["end"].items()))}, separators=(",", ":"))], [f"line {last}"])
    e.bad("rules-text", [lines[0], lines[1].replace("minimum = 1 ", "minimum = 2 "), *lines[2:]], ["line 2"], "sha256")
    e.bad("rules-twice", [*lines[:2], *lines[1:]], ["line 3"], "rules")
    e.bad("header-with-an-unknown-key", [lines[0][:-1] + ',"note":1}', *lines[1:]], ["line 1"], "note")
    e.bad("header-of-another-name", [lines[0].replace("Harrow Ford", "Harrow Mill"), *lines[1:]], ["line 1", *places(1)], "name")
    e.bad("header-of-another-battle", [lines[0].replace("cefc1232dee44cc5", "cefc1232dee44cc6"), *lines[1:]], ["line 1", *places(1)], "battle")
    e.bad("end-with-another-count", [*lines[:-1], lines[-1].replace('"events":26', '"events":27')], [f"line {last}"], "events")


def in_another_order(line, first=None):
    """The same object with its keys the other way round, but for the first of them."""
    value = json.loads(line)
    kept = {first: value.pop(first)} if first else {}
    return json.dumps({**kept, **dict(reversed(value.items()))}, ensure_ascii=False, separators=(",", ":"))


def make_forms(e):
    """Events that are not in form, whatever the battle."""
    def key(name):
        return lambda event: {**event, name: 1}
    e.event("key-unknown", 4, key("note"), "note")
    e.event("key-of-an-older-form", 4, lambda event: {"form": 1, **event}, "form")
    e.event("key-unknown-in-a-body", 4, lambda event: event["body"]["mustered"].update(note=1), "note")
    e.event("key-unknown-in-a-unit", 4, lambda event: event["body"]["mustered"]["unit"].update(note=1), "note")
    e.event("key-unknown-in-a-request", 4, lambda event: event["request"]["muster"].update(note=1), "note")
    e.event("key-unknown-in-a-ruling", 15, lambda event: ruling(event)["units"][0].update(note=1), "note")
    e.event("key-unknown-in-a-roll", 15, lambda event: event["roll"].update(note=1), "note")
    for name, time in (("yesterday", "yesterday"), ("31-february", "2026-02-31T18:19:27Z"), ("29-february-2026", "2026-02-29T18:19:27Z"),
                       ("with-an-offset", "2026-11-25T18:19:27+00:00"), ("hour-24", "2026-11-25T24:19:27Z")):
        e.event(f"time-{name}", 19, lambda event, time=time: event.update(at=time), "at")
    e.event("time-backwards", 19, lambda event: event.update(at="2026-11-25T18:18:26Z"), "at")
    e.event("id-twice", 19, lambda event: event.update(asked=json.loads(e.lines[BEFORE])["asked"]), "asked")
    e.event("who-malformed", 19, lambda event: event.update(by="Ida"), "by")
    e.event("who-with-a-leading-zero", 19, lambda event: event.update(by="person-01"), "by")
    e.event("asked-malformed", 19, lambda event: event.update(asked="the third of the evening"), "asked")
    e.event("office-malformed", 19, lambda event: event.update(office="general"), "office")
    e.event("direction-mark", 9, lambda event: say(event, "grey \u202ecloth"), "text")
    e.event("control-character", 11, lambda event: reason(event, "Orm named \u0007 the wrong target"), "reason")
    e.event("delete-character", 11, lambda event: reason(event, "Orm named \u007f the wrong target"), "line")
    e.event("line-break-in-a-reason", 11, lambda event: reason(event, "Orm named\nthe wrong target"), "reason")


def say(event, text):
    """Another text for a word."""
    event["request"]["word"]["text"] = event["body"]["word_given"]["word"]["text"] = text


def reason(event, text):
    """Another reason for an undo."""
    event["request"]["undo"]["reason"] = event["body"]["undone"]["reason"] = text


def other_rules(event):
    """An opening that names other rules than it then uses."""
    asked = event["request"]["open"]
    event["request"]["open"] = {"name": asked["name"], "scale": asked["scale"], "rules": "cell-by-cell", "sides": asked["sides"]}


def make_chains(e):
    """Chains that were not fixed one ahead."""
    three, other = stories.three_chains, Chain(6, 4).anchor

    def announce(anchor):
        return lambda lines: [(start, anchor if start == "next" else rest) for start, rest in lines]
    e.event("next-anchor-missing", 11, lambda event: event["roll"].pop("next_anchor") and event, "next_anchor", roll=4, story=three)
    e.event("next-anchor-missing-later", 19, lambda event: event["roll"].pop("next_anchor") and event, "next_anchor", roll=8, story=three)
    e.event("next-anchor-too-early", 9, lambda event: event["roll"].update(next_anchor=other), "next_anchor", roll=3, story=three)
    e.event("next-anchor-upper-case", 11, lambda event: event["roll"].update(next_anchor=event["roll"]["next_anchor"].upper()),
            "next_anchor", roll=4, story=three)
    e.event("next-anchor-of-the-opening", 1, lambda event: event["body"]["opened"].update(next_anchor=other), "next",
            at=places(11, roll=4), story=three)
    e.forged("next-in-the-statement", places(11, roll=4), "next", three, statement={11: announce(other)})
    e.forged("next-left-out", places(11, roll=4), "next", three, statement={11: lambda lines: [one for one in lines if one[0] != "next"]})
    e.forged("third-chain-chosen-late", places(19, roll=8), "next", three, statement={19: announce(other)}, chains={2: 6},
             event={11: lambda event: event["roll"].update(next_anchor=Chain(2, 4).anchor)})

    e.forged("chain-shown-before", places(17, roll=4), "link", chains={1: 0})
    e.event("opened-with-other-rules", 1, other_rules)

    def announce_early(lines):
        place = next(place for place, (start, _) in enumerate(lines) if start == "rules")
        return [*lines[:place], ("next", other), *lines[place:]]
    e.statement("next-too-early", 3, announce_early, "next")


def replaced(start, text):
    """A statement with another text behind one of its starts."""
    return lambda lines: [(first, text if first == start else rest) for first, rest in lines]


def make_statements(e):
    """Statements that say something else than the record; their dice are thrown by what they say."""
    e.statement("record", 3, replaced("record", "0" * 64), "record")
    e.statement("asked-of-the-cast", 3, replaced("asked", json.loads(e.lines[BEFORE + ROLL[3] - 1])["asked"]), "asked")
    e.statement("another-request", 7, replaced("request", 'melee "Ford Wardens" "Banner Spears"'), "request")
    e.statement("request-empty", 7, replaced("request", ""), "request")
    e.statement("another-cast", 3, replaced("cast", "red reeds, warm hands"), "cast")
    e.statement("cast-that-was-not-announced", 7, lambda lines: [*lines[:-1], ("cast", "red reeds, cold hands"), lines[-1]], "cast")
    e.statement("another-battle", 3, replaced("battle", "cefc1232dee44cc6"), "battle")
    e.statement("other-rules", 3, replaced("rules", f"open-field {'0' * 64}"), "rules")
    e.statement("word-left-out", 3, lambda lines: [one for one in lines if not one[1].startswith("Orm")], "words")
    e.event("word", 9, lambda event: say(event, "grey: as never – 1 > 0"), "words", at=places(10, roll=2))
    e.event("word-of-another-giver", 16, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), at=places(16, 17, roll=4))


def unit_of(event):
    """The unit of a muster."""
    return event["body"]["mustered"]["unit"]


def make_events(e):
    """Events that do not say what was asked, or not what came of it."""
    def more_men(event):
        unit_of(event).update(muster={"men": 330, "figures": 17}, now={"men": 330, "figures": 17})
    e.event("muster-unlike-its-request", 5, more_men, "men")
    e.event("muster-with-more-figures", 5, lambda event: unit_of(event)["now"].update(figures=9), "figures")
    e.event("muster-with-a-leader-unasked", 5, lambda event: unit_of(event).update(leader={"name": "Somebody"}), "leader")
    e.event("muster-of-a-name-that-is-taken", 5, lambda event: (unit_of(event).update(name="Ford Wardens"), event["request"]["muster"].update(unit="Ford Wardens"))[2:], "unit")
    e.event("opening-of-another-name", 1, lambda event: event["request"]["open"].update(name="Harrow Mill"), "name")
    e.event("opening-with-casts-unasked", 1, lambda event: event["body"]["opened"].update(casts=True), "casts")
    e.event("opening-of-protocol-2", 1, lambda event: event["body"]["opened"].update(protocol=2), "protocol")
    e.event("change-unlike-its-request", 21, lambda event: event["body"]["changed"]["after"].update(standing="steady"), "standing")
    e.event("change-of-another-unit", 21, lambda event: event["body"]["changed"]["before"].update(leader={"name": "Ida"}), "leader")
    e.event("rescaled-figures", 18, lambda event: event["body"]["rescaled"]["units"][0].__setitem__(2, 99), "units")
    e.event("turn-skipped", 19, lambda event: event["body"]["turned"].update(turn=3), "turn")
    e.event("undo-of-another-event", 11, lambda event: event["body"]["undone"].update(seq=9), "seq")
    e.event("undo-of-another-request", 11, lambda event: event["body"]["undone"].update(request="turn"), "request")
    e.event("undo-for-another-reason", 11, lambda event: event["body"]["undone"].update(reason="Orm slipped"), "reason")
    e.event("word-unlike-its-request", 9, lambda event: event["body"]["word_given"]["word"].update(text="grey: as never"), "text")
    e.forged("undo-left-out", places(12, 13, roll=3) + places(15), hidden_undo=[13], story=stories.harrow)
    e.forged("turn-after-closing", places(27), "body", lambda rules, forge: and_then(stories.harrow(rules, forge), "turn"))
    e.forged("closed-twice", places(27), "body", lambda rules, forge: and_then(stories.harrow(rules, forge), "close"))
    e.forged("reopened-by-another-name", places(27), "battle", lambda rules, forge: reopened(stories.harrow(rules, forge), "Harrow Mill"))
    e.forged("opened-twice", places(2), "body", opened_twice)


def and_then(battle, what):
    """A battle that something is added to."""
    getattr(battle, what)(*stories.REFEREE)
    return battle


def reopened(battle, name):
    """A battle that is opened again."""
    battle.write(*stories.REFEREE, {"reopen": {"battle": name}}, "reopened")
    return battle


def opened_twice(rules, forge):
    """A battle whose second event opens it again."""
    battle = Battle(rules, forge=forge)
    first = json.loads(battle.lines[0])
    battle.write(*stories.REFEREE, first["request"], first["body"])
    return battle


def make_offices(e):
    """Offices that nobody was appointed to, or that do not reach so far."""
    grey, vale = {"captain": "Grey Banner"}, {"captain": "Vale"}
    e.event("office-nobody-holds", 19, lambda event: event.update(by="person-3"), "office")
    e.event("office-of-another-side", 10, lambda event: event.update(office=vale), "office")
    e.event("office-that-does-not-reach", 19, lambda event: event.update(by="person-2", office=grey), "office")
    e.event("office-of-nobody", 19, lambda event: event.update(office="anyone"), "office")
    e.event("opening-by-a-captain", 1, lambda event: event.update(office=vale), "office")
    e.event("appointment-unlike-its-request", 2, lambda event: event["body"]["appointed"].update(who="person-3"), "who")
    e.event("appointment-malformed", 2, lambda event: (event["body"]["appointed"].update(who="Orm"), event["request"]["appoint"].update(who="Orm"))[2:], "who")


def ruling(event, kind="melee"):
    """The ruling of an event."""
    found = event["body"]["ruled"]["ruling"][kind]
    return found[0] if kind == "melee" else found


def make_rulings(e):
    """Rulings whose working does not fit, or not the battle."""
    def left(event):
        ruling(event)["units"][0]["after"]["men"] += 1
    e.event("men-left", 15, left, "men", roll=3)
    e.event("kills", 15, lambda event: ruling(event)["contacts"][0]["strikes"][0].update(kills=9), roll=3)
    e.forged("label", places(15, roll=3), "for", label={15: lambda purpose: purpose.replace("Ford Wardens at", "Ford Wardens well at")})
    e.event("unit-left-out", 15, lambda event: ruling(event)["units"].pop() and event, "units", roll=3)
    e.event("strike-by-a-stranger", 15, lambda event: ruling(event)["contacts"][0]["strikes"][0].update(by="Free Riders"), "by", roll=3)
    e.event("contact-unasked", 15, lambda event: ruling(event)["contacts"][0]["contact"].update(ground="striker"), "ground", roll=3)
    e.event("strength-before", 15, lambda event: ruling(event)["units"][0]["before"].update(men=999), "men", roll=3)
    e.event("turn-of-a-ruling", 15, lambda event: ruling(event).update(turn=2), "turn", roll=3)
    e.event("round-of-a-ruling", 15, lambda event: ruling(event).update(round=7), "round", roll=3)
    e.event("contact-that-stands", 15, lambda event: ruling(event)["contacts"][0].update(stands=not ruling(event)["contacts"][0]["stands"]), "stands", roll=3)
    e.event("sum-of-plain-dice", 17, lambda event: ruling(event, "throw").update(total=1), "total", roll=4)
    e.event("purpose-of-plain-dice", 17, lambda event: ruling(event, "throw").update(purpose="the tide"), "purpose", roll=4)
    for name, dice in (("too-many", {"count": 4000000000, "sides": 6}), ("without-sides", {"count": 3, "sides": 0})):
        e.event(f"plain-dice-{name}", 17, lambda event, dice=dice: (
            event["request"]["throw"]["dice"].__setitem__(0, dice), ruling(event, "throw")["dice"].__setitem__(0, dice))[2:], roll=4)
    e.event("outcome-of-a-rally", 22, lambda event: ruling(event, "rally").update(outcome="stays_shaken"), "outcome", roll=5)
    e.event("no-throws", 17, lambda event: event["roll"]["receipt"].update(throws=[]), "throws", roll=4)
    e.event("roll-left-out", 25, lambda event: event.pop("roll") and event, "roll", roll=7)
    e.forged("leader-made-up", places(15, roll=3), "leader_dice", quiet={15: lambda field: field.unit("Vale Riders").update(leader={"name": "Somebody"})})
    e.forged("men-made-up", places(15, roll=3), "fighting", quiet={15: lambda field: field.unit("Vale Riders").update(now={"men": 400, "figures": 20})})
    e.forged("unit-made-up", places(4, roll=1), "shooters", with_a_stranger)


def with_a_stranger(rules, forge):
    """Somebody shoots who was never mustered."""
    battle = pair(rules, forge, False)
    stranger = {**battle.field.units[0], "name": "Free Riders", "weapon": "bows"}
    battle.field.units.append(stranger)
    battle.throws(*stories.REFEREE, stories.shoot("Free Riders", "Banner Spears"))
    return battle


def make_announcements(e):
    """Announcements that are followed by something else, and rolls that were not spent."""
    def unspent(event):
        event.pop("roll")
        event["body"]["undone"]["roll"] = None
    e.event("taken-back-without-its-roll", 24, unspent, "roll")
    e.event("announced-against-another-side", 14, lambda event: event["body"]["announced"].update(casting="Vale"), "casting")
    e.event("cast-of-another-text", 15, lambda event: event["request"]["cast"].update(text="red reeds, warm hands"), "cast", roll=3)
    e.event("cast-too-short", 15, lambda event: event["request"]["cast"].update(text="reeds"), "text", roll=3)
    e.event("cast-by-the-referee-for-a-side-with-a-captain", 15, lambda event: event.update(by="person-1", office="referee"), "office", roll=3)
    e.event("cast-by-the-asking-side", 15, lambda event: event.update(by="person-2", office="anyone"), "office", roll=3)
    e.forged("cast-by-a-captain-of-the-asking-side", places(6, roll=1), "office", cast_against_oneself)
    e.forged("cast-by-a-captain-as-manager", places(6, roll=1), "office",
             lambda rules, forge: cast_against_oneself(rules, forge, "manager"))
    e.forged("cast-again-after-it-was-taken-back", places(8, roll=2), None, cast_twice)
    for name, what in (("word", lambda b: b.word(*stories.REFEREE, "Ida", "the river runs low")),
                       ("turn", lambda b: b.turn(*stories.REFEREE)), ("closing", lambda b: b.close(*stories.REFEREE)),
                       ("appointment", lambda b: b.appoint("person-1", "person-3", "Vale")),
                       ("roll", lambda b: b.throws(*stories.REFEREE, {"throw": {"dice": [{"count": 1, "sides": 6}]}}))):
        e.forged(f"announcement-and-then-a-{name}", places(6, roll=1), "body", lambda rules, forge, what=what: passed_over(rules, forge, what))
    e.forged("thrown-where-a-cast-is-needed", places(4, roll=1), "body", uncast)


def pair(rules, forge, casts):
    """A battle with a unit of each side."""
    battle = Battle(rules, casts=casts, forge=forge)
    battle.muster(*stories.REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160)
    battle.muster(*stories.REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=200)
    return battle


def passed_over(rules, forge, what):
    """An announcement that something else follows."""
    battle = pair(rules, forge, False)
    battle.word(*stories.REFEREE, "Ida", "the river runs cold")
    battle.announce(*stories.REFEREE, stories.melee(("Ford Wardens", "Banner Spears", {}), cast=True))
    what(battle)
    return battle


def announced(rules, forge):
    """A roll that a captain of the Vale announced against the Grey Banner."""
    battle = pair(rules, forge, True)
    battle.appoint("person-1", "person-2", "Vale")
    battle.announce("person-2", {"captain": "Vale"}, stories.melee(("Ford Wardens", "Banner Spears", {})))
    return battle


def cast_against_oneself(rules, forge, office="anyone"):
    """A captain who casts against the dice of their own side, as if they held no office."""
    battle = announced(rules, forge)
    battle.cast("person-2", office, "cold water, high reeds")
    return battle


def cast_twice(rules, forge):
    """A cast that is taken back when its dice are known, and another text for the same announcement."""
    battle = announced(rules, forge)
    asked, request = battle.field.pending
    battle.cast("person-9", "anyone", "cold water, high reeds")
    battle.undo("person-1", "referee", "the dice did not please")
    battle.field.pending = (asked, request)
    battle.cast("person-9", "anyone", "red reeds, warm hands")
    return battle


def uncast(rules, forge):
    """A roll against a side that was not cast, where every such roll has to be."""
    battle = pair(rules, forge, True)
    battle.throws(*stories.REFEREE, stories.melee(("Ford Wardens", "Banner Spears", {})))
    return battle
