"""Samples of receipts: good ones, and bad ones that differ from a good one in one thing."""
import json

import stories
from battle import Forge, dumps
from roll import Chain, faces


def rethrown(receipt):
    """The same receipt with the faces that its link and statement now give."""
    for one in receipt["throws"]:
        one["faces"] = faces(receipt["link"], receipt["statement"], one["for"], len(one["faces"]), one["sides"])
    return receipt


class Receipts:
    """The receipts of one battle, to be changed one at a time."""

    def __init__(self, lines, folder):
        self.lines, self.folder = lines, folder

    def good(self, name, lines, rolls, end="\n", **expect):
        """Writes a good sample."""
        self.folder.write(f"receipts-good-{name}" if name else "receipts-good", lines, {"ok": True, "rolls": rolls, **expect}, end)

    def bad(self, name, lines, at, field=None, end="\n"):
        """Writes a bad sample; `at` is the roll, or a list of places of which one is named."""
        places = at if isinstance(at, list) else [f"roll {at}", f"line {at}"]
        expect = {"ok": False, "at": places, **({"field": field} if field else {})}
        self.folder.write(f"receipts-bad-{name}", lines, expect, end)

    def changed(self, roll, change, again=False):
        """All lines with one roll's receipt changed, and thrown again by what it then says."""
        receipt = json.loads(self.lines[roll - 1])
        receipt = change(receipt) or receipt
        return self.put(roll, dumps(rethrown(receipt) if again else receipt))

    def put(self, roll, line):
        """All lines with another one for one roll."""
        return [*self.lines[:roll - 1], line, *self.lines[roll:]]

    def edited(self, roll, before, after):
        """All lines with a piece of one roll's text replaced."""
        line = self.lines[roll - 1]
        assert before in line, f"{before} is not in roll {roll}"
        return self.put(roll, line.replace(before, after, 1))

    def restated(self, roll, before, after, again=True):
        """All lines with a piece of one roll's statement replaced, and its dice thrown anew."""
        def change(receipt):
            assert before in receipt["statement"], f"{before} is not in the statement of roll {roll}"
            receipt["statement"] = receipt["statement"].replace(before, after, 1)
        return self.changed(roll, change, again)


def make(rules, folder):
    """Makes all samples of receipts."""
    receipts = Receipts(stories.harrow(rules).receipts(), folder)
    make_good(receipts)
    make_bad_shapes(receipts)
    make_bad_statements(receipts)
    make_bad_chains(receipts)
    # The chain that follows the first is the first: everybody knows its links.
    again = stories.harrow(rules, Forge(chains={1: 0})).receipts()
    receipts.bad("chain-shown-before", again, 4, "link")
    make_bad_files(receipts)


def make_good(r):
    """What holds."""
    r.good("", r.lines, 7, says="All 7 rolls hold.")
    r.good("lone-first", r.lines[:1], 1, says="Roll 1 holds.")
    r.good("lone-last-of-chain", r.lines[3:4], 1)
    r.good("lone-second-chain", r.lines[4:5], 1, says="This chain began after roll 4")
    r.good("second-chain", r.lines[4:], 3, says="This chain began after roll 4")
    r.good("taken-back-alone", r.lines[5:6], 1, says="Announced and then taken back")
    r.good("without-its-last-line-break", r.lines, 7, end="")
    spaced = [json.dumps(json.loads(line), separators=(" , ", " : ")) for line in r.lines]
    r.good("other-spelling-of-the-same-json", spaced, 7)
    markup = '<img src=x onerror="document.title=1">'
    r.good("label-that-looks-like-markup", r.changed(1, lambda one: one["throws"][0].update({"for": markup}), True), 7, says="<img src=x")
    accents = "Wächter der Furt → Fahnenträger"
    r.good("label-in-another-language", r.changed(1, lambda one: one["throws"][0].update({"for": accents}), True), 7)


def make_bad_shapes(r):
    """Receipts whose values are not what they should be."""
    def face(value):
        return lambda one: one["throws"][0]["faces"].__setitem__(0, value)
    was = json.loads(r.lines[2])["throws"][0]["faces"][0]
    r.bad("face", r.changed(3, face(was % 6 + 1)), 3, "faces")
    r.bad("face-zero", r.changed(3, face(0)), 3)
    r.bad("face-with-a-point", r.edited(3, f'"faces":[{was},', f'"faces":[{was}.0,'), 3)
    r.bad("sides-zero", r.changed(3, lambda one: one["throws"][0].update(sides=0)), 3)
    r.bad("throw-without-dice", r.changed(3, lambda one: one["throws"][0].update(faces=[])), 3, "faces")
    r.bad("more-dice-than-a-throw-has", r.changed(3, lambda one: one["throws"][0].update(faces=[1] * 20_011), True), 3, "faces")
    r.bad("more-throws-than-a-roll-has", r.changed(3, lambda one: one.update(
        throws=[{"for": f"Ford Wardens at Grey Levies ({n})", "sides": 6, "faces": [1]} for n in range(241)]), True), 3, "throws")
    r.bad("no-throws", r.changed(3, lambda one: one.update(throws=[])), 3, "throws")
    r.bad("taken-back-with-throws", r.changed(6, lambda one: one.update(throws=json.loads(r.lines[0])["throws"][:1]), True), 6, "throws")
    r.bad("throws-as-an-object", r.changed(6, lambda one: one.update(throws={})), 6, "throws")
    r.bad("throws-as-a-text", r.changed(6, lambda one: one.update(throws="")), 6, "throws")
    r.bad("throws-without-keys", r.changed(3, lambda one: one.update(throws=[list(throw.values()) for throw in one["throws"]])), 3)
    r.bad("key-twice", r.edited(3, '"roll":3,', '"roll":3,"roll":3,'), 3)
    r.bad("key-unknown", r.edited(3, '"roll":3,', '"roll":3,"note":"",'), 3, "note")
    r.bad("key-missing", r.edited(3, '"protocol":1,', ""), 3, "protocol")
    r.bad("protocol-two", r.edited(3, '"protocol":1', '"protocol":2'), 3, "protocol")
    r.bad("link-upper-case", r.changed(3, lambda one: one.update(link=one["link"].upper())), 3, "link")
    label = '"for":"Ford Wardens at Grey Levies"'
    r.bad("half-a-character", r.edited(3, label, '"for":"Ford Wardens \\ud800 Levies"'), 3)
    r.bad("label-with-a-line-break", r.changed(3, lambda one: one["throws"][0].update({"for": "Ford\nWardens"}), True), 3, "for")
    r.bad("label-that-turns-round", r.changed(3, lambda one: one["throws"][0].update({"for": "Ford \u202eWardens"}), True), 3, "for")
    r.bad("label-with-a-control-character", r.changed(3, lambda one: one["throws"][0].update({"for": "Ford \u001b[2JWardens"}), True), 3, "for")
    r.bad("label-empty", r.changed(3, lambda one: one["throws"][0].update({"for": ""}), True), 3, "for")
    r.bad("label-twice", r.changed(3, lambda one: one["throws"].append(dict(one["throws"][0]))), 3, "for")

    def swap(one):
        first, second = one["throws"][:2]
        first["for"], second["for"] = second["for"], first["for"]
    r.bad("labels-swapped", r.changed(3, swap), 3, "faces")


def make_bad_statements(r):
    """Receipts whose statement is not one, or not the one of the roll; dice are thrown by it."""
    r.bad("roll-in-statement", r.restated(3, "\nroll 3\n", "\nroll 4\n"), 3, "roll")
    r.bad("roll-with-a-leading-zero", r.restated(3, "\nroll 3\n", "\nroll 03\n"), 3, "roll")
    r.bad("statement-goes-on", r.changed(3, lambda one: one.update(statement=one["statement"] + "more\n"), True), 3, "statement")
    r.bad("statement-without-its-last-line-break", r.changed(3, lambda one: one.update(statement=one["statement"][:-1]), True), 3, "statement")
    r.bad("statement-begins-later", r.restated(3, "drumhead roll 1\n", ""), 3, "statement")
    r.bad("statement-that-turns-round", r.restated(3, "red reeds", "red \u202ereeds"), 3, "statement")
    r.bad("request-empty", r.changed(3, lambda one: one.update(statement=one["statement"].split("request ")[0] + "request \n"), True), 3, "request")
    r.bad("asked-malformed", r.restated(3, "\nasked chat:", "\nasked the chat:"), 3, "asked")
    r.bad("battle-malformed", r.restated(3, "\nbattle cefc1232dee44cc5\n", "\nbattle Harrow Ford\n"), 3, "battle")
    r.bad("cast-too-short", r.restated(3, "cast red reeds, cold hands", "cast reeds"), 3, "cast")
    r.bad("cast-twice", r.restated(3, "\nrequest ", "\ncast red reeds, cold hands\nrequest "), 3, "statement")
    r.bad("taken-back-with-a-cast", r.restated(6, "\nrequest ", "\ncast red reeds, cold hands\nrequest "), 6, "statement")
    r.bad("word-without-a-text", r.restated(3, "\nword Ida: the river runs cold\n", "\nword Ida: \n"), 3, "word")
    r.bad("word-changed", r.restated(3, "the river runs cold", "the river runs high", again=False), 3, "faces")
    r.bad("cast-changed", r.restated(3, "red reeds", "red roots", again=False), 3, "faces")

    def order(one):
        lines = one["statement"].split("\n")
        lines[1], lines[2] = lines[2], lines[1]
        one["statement"] = "\n".join(lines)
    r.bad("statement-line-order", r.changed(3, order, True), 3, "statement")


def make_bad_chains(r):
    """Receipts that do not follow each other."""
    other = Chain(7, 4)
    r.bad("anchor", r.changed(3, lambda one: one.update(anchor=other.anchor)), 3, "anchor")
    r.bad("link", r.changed(3, lambda one: one.update(link=other.link(3)), True), 3, "link")
    r.bad("link-alone", r.changed(3, lambda one: one.update(link=other.link(3)), True)[2:3], ["roll 3"], "link")
    r.bad("roll-dropped", [*r.lines[:2], *r.lines[3:]], ["roll 4"], "roll")
    r.bad("roll-doubled", [*r.lines[:3], *r.lines[2:]], ["roll 3", "line 4"], "roll")
    r.bad("order", [r.lines[0], r.lines[2], r.lines[1], *r.lines[3:]], ["roll 3", "line 2"], "roll")
    anchor = json.loads(r.lines[4])["anchor"]
    r.bad("next-left-out", r.restated(4, f"next {anchor}\n", ""), 5, "anchor")

    def from_another_chain(one):
        one.update(anchor=other.anchor, link=other.link(1), statement=one["statement"].replace(anchor, other.anchor))
    r.bad("chain-never-announced", r.changed(5, from_another_chain, True)[:5], 5, "anchor")
    r.bad("battle-changed", r.restated(3, "\nbattle cefc1232dee44cc5\n", "\nbattle cefc1232dee44cc6\n"), 3, "battle")


def make_bad_files(r):
    """Files that are not receipts, one a line."""
    r.bad("truncated", "\n".join(r.lines[:3])[:-200].encode(), ["line 3"])
    r.bad("blank-line", [*r.lines[:2], "", *r.lines[2:]], ["line 3"], "line")
    r.bad("blank-line-at-the-end", [*r.lines, ""], ["line 8"], "line")
    r.bad("two-on-a-line", [*r.lines[:2], r.lines[2] + r.lines[3], *r.lines[4:]], ["line 3", "roll 3"])
    r.bad("byte-order-mark", b"\xef\xbb\xbf" + "\n".join(r.lines).encode() + b"\n", ["line 1"])
