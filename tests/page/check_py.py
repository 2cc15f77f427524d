#!/usr/bin/env python3
"""Holds docs/check.py against the samples of receipts: python3 tests/page/check_py.py

Each sample says in its NAME.expect.json whether it holds and where it does not.  check.py is run as
a reader runs it, on a terminal that has no letters but ASCII; whatever a file holds, it ends with a
sentence and never with a fault of Python.  The last line is "N passed, N failed".  Needs only
Python 3.
"""
import json
import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLES = pathlib.Path(__file__).resolve().parent / "samples"
FAILED = []


def run(*names):
    """What check.py prints of some files, line by line, and how it ends."""
    command = [sys.executable, ROOT / "docs" / "check.py", *names]
    done = subprocess.run(command, capture_output=True, env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert not done.stderr, done.stderr.decode()
    # Only ASCII comes, and nothing that a terminal obeys.
    return done.returncode, done.stdout.decode("ascii").splitlines()


def of_sample(path):
    """What is wrong with what check.py says of one sample; nothing if it is right."""
    expect = json.loads(path.with_suffix(".expect.json").read_text("utf-8"))
    code, lines = run(path)
    if any(not line.isprintable() for line in lines):
        return f"prints what cannot be seen: {lines!r}"
    if expect["ok"]:
        rolls = expect["rolls"]
        last = "The roll holds." if rolls == 1 else f"All {rolls} rolls hold."
        return None if (code, lines[-1]) == (0, last) else f"should hold: {lines[-2:]}"
    if code != 1:
        return f"should not hold: {lines[-1]}"
    places = [f"{place} of {path} does not hold: " for place in expect["at"] if place.startswith("line")]
    named = not places or any(lines[-2].startswith(place) for place in places)
    return None if named else f"{lines[-2]!r} names none of {expect['at']}"


def holds(name, trouble):
    """Counts one check."""
    if trouble:
        FAILED.append(name)
        print(f"FAILED {name}: {trouble}")


def main():
    """Checks every sample, and what is no receipt at all."""
    samples = sorted(SAMPLES.glob("receipts-*.jsonl"))
    checks = [(path.stem, lambda path=path: of_sample(path)) for path in samples]
    missing = SAMPLES / "there-is-no-such-file"
    said = (1, [f"{missing} cannot be read: No such file or directory."])
    checks.append(("a file that is not there", lambda: None if run(missing) == said else run(missing)))
    for name, check in checks:
        try:
            holds(name, check())
        except (AssertionError, UnicodeDecodeError, IndexError) as error:
            holds(name, repr(error))
    print(f"{len(checks) - len(FAILED)} passed, {len(FAILED)} failed")
    return 1 if FAILED or len(samples) < 50 else 0


sys.exit(main())
