#!/usr/bin/env python3
"""Holds docs/checking.md against its own promises: test values, listing and written forms.

    python3 tests/page/check_docs.py [FILE]

FILE is docs/checking.md unless another is given.  The links and faces are worked out here by the
standard library's SHA-256 and HMAC, the listing is run on the sample receipts, and the forms of
receipt, statement and export are compared with the samples.  The last line is "N passed, N failed".
Needs only Python 3.
"""
import hashlib
import hmac
import json
import pathlib
import re
import struct
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLES = pathlib.Path(__file__).resolve().parent / "samples"
SECRET = bytes(range(32))
LENGTH = 4


class Tally:
    """Counts what passed and tells what failed."""

    def __init__(self):
        self.passed = self.failed = 0

    def same(self, name, expected, found):
        """Counts one check that passes if both values are the same."""
        if expected == found:
            self.passed += 1
        else:
            self.failed += 1
            print(f"FAILED {name}: expected {expected!r}, found {found!r}")


def chain():
    """The links of the test chain, link 0 first."""
    links = [SECRET]
    while len(links) <= LENGTH:
        links.insert(0, hashlib.sha256(links[0]).digest())
    return links


def words(link, statement, label):
    """The endless stream of 32-bit words of one throw."""
    counter = 0
    while True:
        message = statement + label.encode() + b"\n" + struct.pack(">I", counter)
        yield from struct.unpack(">8I", hmac.new(link, message, hashlib.sha256).digest())
        counter += 1


def throw(stream, dice, sides):
    """The faces of some dice; words in the uneven tail are drawn again."""
    even = (1 << 32) // sides * sides
    faces = []
    while len(faces) < dice:
        word = next(stream)
        if word < even:
            faces.append(1 + word % sides)
    return faces


def section(text, title):
    """What stands between a title and the next one of any depth."""
    found = re.search(rf"^#+ {re.escape(title)}[^\n]*\n(.*?)(?=^#+ |\Z)", text, re.M | re.S)
    return found[1] if found else ""


def check_links(text, links, tally):
    """The table of links."""
    table = re.findall(r"^    link (\d+)  ([0-9a-f]+)$", section(text, "Values to test against"), re.M)
    expected = [(str(n), link.hex()) for n, link in enumerate(links)]
    tally.same("number of links", len(expected), len(table))
    for wanted, found in zip(expected, table):
        tally.same(f"link {wanted[0]}", wanted, found)


def rows(text):
    """The rows of the table of faces, as lists of cells."""
    lines = re.findall(r"^\|(.*)\|$", section(text, "Values to test against"), re.M)
    return [[cell.strip() for cell in line.split("|")] for line in lines[2:]]


def check_faces(text, links, tally):
    """The table of faces; each row is a throw of its own."""
    table = rows(text)
    tally.same("rows of faces", 4, len(table))
    for link, statement, label, dice, faces in table:
        said = re.fullmatch(r"`(.*)` LF", statement)
        number = re.fullmatch(r"link (\d)", link)
        asked = re.fullmatch(r"(\d+) of ([\d,]+) sides?", dice)
        if not said or not number or not asked or label.strip("`") == label:
            tally.same("a row", "link N, `text` LF, `label`, N of S sides", f"{link}, {statement}, {label}, {dice}")
            return
        stream = words(links[int(number[1])], f"{said[1]}\n".encode(), label.strip("`"))
        drawn = throw(stream, int(asked[1]), int(asked[2].replace(",", "")))
        tally.same(f"faces of {dice} for {label}", " ".join(map(str, drawn)), faces)


def run_listing(listing, receipt):
    """The listing's lines on one receipt; a listing that breaks gives its error instead."""
    done = subprocess.run([sys.executable, "-c", listing], input=receipt + "\n", encoding="utf-8",
                          capture_output=True, timeout=60)
    return done.stdout.splitlines() if done.returncode == 0 else [done.stderr[-200:]]


def check_listing(text, links, tally):
    """The fifteen lines, on receipts that hold and on one whose face or link was changed."""
    found = re.search(r"```python\n(.*?)```", section(text, "Fifteen lines"), re.S)
    listing = found[1] if found else ""
    tally.same("lines of the listing", 15, len(listing.splitlines()))
    lines = (SAMPLES / "receipts-good.jsonl").read_text("utf-8").splitlines()
    tally.same("sample receipts", 7, len(lines))
    for place, line in enumerate(lines):
        receipt = json.loads(line)
        link = place % LENGTH + 1
        expected = [f"link {link} of its chain: True"]
        for one in receipt["throws"]:
            stream = words(bytes.fromhex(receipt["link"]), receipt["statement"].encode(), one["for"])
            expected.append(f"{one['for']} {throw(stream, len(one['faces']), one['sides'])} True")
        tally.same(f"listing on roll {receipt['roll']}", expected, run_listing(listing, line))
    check_refusals(listing, json.loads(lines[2]), links, tally)
    check_rejection(listing, links, tally)


def check_refusals(listing, receipt, links, tally):
    """The listing must also say what does not hold."""
    faces = receipt["throws"][0]["faces"]
    altered = json.loads(json.dumps(receipt))
    altered["throws"][0]["faces"][0] = faces[0] % 6 + 1
    said = run_listing(listing, json.dumps(altered))
    tally.same("listing on a changed face", [True], [line.endswith("False") for line in said[1:2]])
    altered = {**receipt, "link": links[1][::-1].hex()}
    said = run_listing(listing, json.dumps(altered))
    tally.same("listing on a changed link", [True], [line.endswith("chain: False") for line in said[:1]])


def check_rejection(listing, links, tally):
    """The listing draws words of the uneven tail again, which dice of 6 sides all but never show."""
    statement, sides = "rejection\n", 3_000_000_000
    faces = throw(words(links[3], statement.encode(), "six dice"), 6, sides)
    receipt = {"anchor": links[0].hex(), "roll": 3, "link": links[3].hex(), "statement": statement,
               "throws": [{"for": "six dice", "sides": sides, "faces": faces}]}
    expected = ["link 3 of its chain: True", f"six dice {faces} True"]
    tally.same("listing on dice of 3,000,000,000 sides", expected, run_listing(listing, json.dumps(receipt)))


def keys(text):
    """The keys of a written form, in order."""
    return re.findall(r'"([a-z_0-9]+)":', text)


def all_keys(value):
    """The keys of a value in the order in which they are written, each object of a list once."""
    if isinstance(value, dict):
        return [key for name, inner in value.items() for key in [name, *all_keys(inner)]]
    return all_keys(value[0]) if isinstance(value, list) and value else []


def form(text, start):
    """The keys of the form that begins so, wherever in the text it stands."""
    found = re.search(rf"{re.escape(start)}[^\n`]*", text)
    return keys(found[0]) if found else []


def check_forms(text, tally):
    """Receipt, statement and export as they are written down, against the samples."""
    receipts = (SAMPLES / "receipts-good.jsonl").read_text("utf-8").splitlines()
    tally.same("receipt's keys", all_keys(json.loads(receipts[0])), form(text, '{"protocol":'))
    written = re.findall(r"^    ([a-z]+)\b.*$", section(text, "The statement"), re.M)
    check_statements([json.loads(line)["statement"] for line in receipts], written, tally)
    export = (SAMPLES / "export-good.jsonl").read_text("utf-8").splitlines()
    for name, line, start in [("header", 0, '{"drumhead_export":'), ("rules", 1, '{"rules":'), ("end", -1, '{"end":')]:
        tally.same(f"{name}'s keys", all_keys(json.loads(export[line])), form(text, start))
    events = [json.loads(line) for line in export[2:-1]]
    last = next(event for event in events if "next_anchor" in event.get("roll", {}))
    tally.same("event's keys", [*last, *last["roll"]], form(text, '{"battle":"<id>","seq":'))
    check_bodies(events, text, tally)
    check_anchors(events, text, tally)


def check_statements(statements, written, tally):
    """Every line that the text tells of stands in some sample, in the order of the text."""
    found = set()
    for number, statement in enumerate(statements, 1):
        starts = list(dict.fromkeys(line.split(" ")[0] for line in statement.splitlines()))
        tally.same(f"order of the lines of statement {number}", [one for one in written if one in starts], starts)
        found.update(starts)
    tally.same("statement's lines", set(written), found)


def check_bodies(events, text, tally):
    """The text names every kind of body that the samples hold."""
    named = set(re.findall(r"`([a-z_]+)`", section(text, "The export of a battle")))
    for body in {one if isinstance(one, str) else next(iter(one)) for one in (event["body"] for event in events)}:
        tally.same(f"the text names the body {body}", True, body in named)


def check_anchors(events, text, tally):
    """Where `roll` and `next_anchor` stand in the samples is where the text says so."""
    written = section(text, "The export of a battle")
    tally.same("the text tells of next_anchor", 2, written.count("`next_anchor`"))
    opened = list(events[0]["body"]["opened"])
    tally.same("next_anchor follows anchor", "next_anchor", opened[opened.index("anchor") + 1])
    rolled = [event for event in events if "roll" in event]
    tally.same("sample rolls", 7, len(rolled))
    for number, event in enumerate(rolled, 1):
        expected = ["receipt"] + ["next_anchor"] * (number % LENGTH == 0)
        tally.same(f"keys of roll {number}", expected, list(event["roll"]))
        back = event["roll"]["receipt"]["statement"].endswith("\ntaken back\n")
        tally.same(f"body beside roll {number}", "undone" if back else "ruled", next(iter(event["body"])))


def main():
    """Checks the text and tells how many checks passed."""
    path = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs" / "checking.md"
    text, links, tally = path.read_text("utf-8"), chain(), Tally()
    check_links(text, links, tally)
    check_faces(text, links, tally)
    check_listing(text, links, tally)
    check_forms(text, tally)
    print(f"{tally.passed} passed, {tally.failed} failed")
    sys.exit(1 if tally.failed else 0)


if __name__ == "__main__":
    main()
