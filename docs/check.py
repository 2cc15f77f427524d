#!/usr/bin/env python3
"""Checks receipts of drumhead rolls: python3 check.py FILE ... (or on standard input).

Needs only Python 3 and nothing of drumhead.  docs/checking.md explains what is checked and why.
"""
import hashlib, hmac, json, re, sys

HEX = "[0-9a-f]{64}"
# What cannot be seen may stand nowhere, but for the line breaks of a statement.
UNSEEN = re.compile("[\0-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060\u2066-\u2069\ufeff]")
# The lines of a statement in their order.  A "." never matches a line break.
STATEMENT = re.compile(
    "drumhead roll 1\n" "battle (?P<battle>[0-9a-f]{16})\n" f"anchor (?P<anchor>{HEX})\n" "roll (?P<roll>[1-9][0-9]*)\n"
    "asked [a-z]{1,20}:[A-Za-z0-9._/-]{1,100}\n" "(word .*: .*\n)*" f"(next (?P<next>{HEX})\n)?"
    f"rules .+ {HEX}\n" f"record {HEX}\n" "(?P<cast>cast .{8,80}\n)?" "request .+\n" "(?(cast)|(?P<back>taken back\n)?)")
DEEPEST = 1_000_000  # A first receipt's link is hashed at most so often; real chains are shorter.

def need(condition, otherwise):
    if not condition:
        raise ValueError(otherwise)

def without_doubles(pairs):  # Of two equal keys each reader takes another one: refuse both.
    need(len(dict(pairs)) == len(pairs), "a key stands twice")
    return dict(pairs)

def sha256(link):
    return hashlib.sha256(bytes.fromhex(link)).hexdigest()

def words(link, statement, label):  # A throw's stream: HMAC blocks, cut into 4-byte words.
    for k in range(2**32):
        message = f"{statement}{label}\n".encode() + k.to_bytes(4, "big")
        block = hmac.new(bytes.fromhex(link), message, "sha256").digest()
        for place in range(0, 32, 4):
            yield int.from_bytes(block[place:place + 4], "big")

def face(stream, sides):  # Words in the uneven tail are drawn again.
    while True:
        word = next(stream)
        if word < 2**32 - 2**32 % sides:
            return word % sides + 1

def shape(receipt):  # Types first; returns the statement's parts.
    keys = {"protocol", "anchor", "roll", "link", "statement", "throws"}
    need(type(receipt) is dict and set(receipt) == keys, "it has not the keys of a receipt")
    need(type(receipt["roll"]) is int and 0 < receipt["roll"] < 2**32, "its roll is not a number from 1")
    need(type(receipt["protocol"]) is int and receipt["protocol"] == 1, "its protocol is not 1")
    for key in ("anchor", "link"):
        need(re.fullmatch(HEX, receipt[key]), f"its {key} is not 64 digits of 0-9 and a-f")
    need(len(receipt["throws"]) <= 240, "it has more throws than a roll can have")
    for throw in receipt["throws"]:
        need(set(throw) == {"for", "sides", "faces"}, "a throw has not the keys of a throw")
        need(type(throw["for"]) is str and type(throw["faces"]) is list, "a throw has a wrong type")
        throw["for"].encode()  # Half a character cannot be encoded, and raises ValueError.
        need(throw["for"] and not UNSEEN.search(throw["for"]), "a label is empty, or holds what cannot be seen")
        need(0 < len(throw["faces"]) <= 20_010, "a throw has no dice, or more than a throw can have")
        need(type(throw["sides"]) is int and 0 < throw["sides"] < 2**32, "a die has no such sides")
        need(all(type(one) is int for one in throw["faces"]), "a face is not a whole number")
    need(len({throw["for"] for throw in receipt["throws"]}) == len(receipt["throws"]), "two throws have one label")
    need(not UNSEEN.search(receipt["statement"].replace("\n", "")), "its statement holds what cannot be seen")
    said = STATEMENT.fullmatch(receipt["statement"])
    need(said, "its statement has not the lines of the protocol")
    for word in re.findall("^word (.*)$", receipt["statement"], re.M):
        name, _, text = word.partition(": ")
        need(0 < len(name) <= 40 and 0 < len(text) <= 80, "a word has not 1 to 80 characters, or its name not 1 to 40")
    need(said["roll"] == str(receipt["roll"]), "its roll is not the one in its statement")
    need(said["anchor"] == receipt["anchor"], "its anchor is not the one in its statement")
    if said["back"]:
        need(not receipt["throws"], "it was taken back, but has dice")
    else:
        need(receipt["throws"], "it has no dice, but was not taken back")
    return said

SHOWN = set()  # Every link and anchor so far: one that everybody knows would give dice that everybody knows.

def once(link):
    need(link not in SHOWN, "its link, or the anchor that it announces, was shown before")
    SHOWN.add(link)

def chain(receipt, said, before):  # Returns a note for a first receipt from a later chain.
    if before:
        last, announced = before
        need(receipt["roll"] == last["roll"] + 1, f"roll {last['roll'] + 1} should come here")
        need(said["battle"] == announced["battle"], "it belongs to another battle")
        need(receipt["anchor"] == (announced["next"] or last["anchor"]), "its anchor is another")
        target = receipt["anchor"] if announced["next"] else last["link"]
        need(sha256(receipt["link"]) == target, "its link does not lead to the link before it")
        return ""
    link = receipt["link"]
    for depth in range(1, min(receipt["roll"], DEEPEST) + 1):
        link = sha256(link)
        if link == receipt["anchor"]:
            start = receipt["roll"] - depth
            return f" (this chain began after roll {start}: check that roll too)" if start else ""
    raise ValueError("its link does not lead to its anchor")

def check(receipt, before):  # Raises ValueError if anything does not hold.
    said = shape(receipt)
    note = chain(receipt, said, before)
    if not before:
        SHOWN.add(receipt["anchor"])
    for link in filter(None, (receipt["link"], said["next"])):
        once(link)
    shown = ["taken back"] if said["back"] else []
    for throw in receipt["throws"]:
        stream = words(receipt["link"], receipt["statement"], throw["for"])
        drawn = [face(stream, throw["sides"]) for _ in throw["faces"]]
        need(drawn == throw["faces"], f"{throw['for']!r} should be {drawn}, not {throw['faces']}")
        shown.append(f"{throw['for']!r} {' '.join(map(str, drawn))}")
    return said, f"roll {receipt['roll']} holds: {'; '.join(shown)}{note}"

def main(names):
    before, good = None, 0
    for name in names or ["-"]:
        data = sys.stdin.buffer.read() if name == "-" else open(name, "rb").read()
        for number, line in enumerate(data.removesuffix(b"\n").split(b"\n") if data else [], 1):
            try:
                need(line.strip() and b"\r" not in line and b"\t" not in line, "it is blank, or holds a control character")
                receipt = json.loads(line.decode("utf-8"), object_pairs_hook=without_doubles)
                said, text = check(receipt, before)
                print(text)
            except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
                # Whatever is printed of a file is made harmless first.
                error = UNSEEN.sub(lambda found: f"[U+{ord(found[0]):04X}]", str(error))
                print(f"line {number} of {name} does not hold: {error}")
                print(f"Rolls that hold: {good}. Then one does not; what follows it was not checked.")
                return 1
            before, good = (receipt, said), good + 1
    print(f"All {good} rolls hold." if good > 1 else "The roll holds." if good else "There is nothing to check.")
    return 0 if good else 1

sys.exit(main(sys.argv[1:]))
