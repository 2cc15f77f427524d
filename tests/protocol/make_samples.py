#!/usr/bin/env python3
"""Makes the samples in tests/page/samples anew: python3 tests/protocol/make_samples.py [FOLDER]

Each NAME.jsonl gets a NAME.expect.json beside it, which says what a checker must find.  Written by
the text of docs/checking.md with Python's standard library alone (3.11 or later); it shares no code
with drumhead, and the same run gives the same bytes.
"""
import json
import pathlib
import sys

import samples_of_exports
import samples_of_harm
import samples_of_lasting
import samples_of_leaders
import samples_of_receipts
from open_field import Rules

ROOT = pathlib.Path(__file__).resolve().parents[2]


class Folder:
    """Where samples are written."""

    def __init__(self, path):
        self.path, self.names = path, set()
        path.mkdir(parents=True, exist_ok=True)
        for old in [*path.glob("*.jsonl"), *path.glob("*.expect.json")]:
            old.unlink()

    def write(self, name, lines, expect, end="\n"):
        """Writes one sample; `lines` are texts, or the whole file as bytes."""
        assert name not in self.names, f"{name} is made twice"
        self.names.add(name)
        data = lines if isinstance(lines, bytes) else ("\n".join(lines) + end).encode()
        (self.path / f"{name}.jsonl").write_bytes(data)
        (self.path / f"{name}.expect.json").write_text(json.dumps(expect, ensure_ascii=False) + "\n", "utf-8")


def main():
    """Makes all samples."""
    folder = Folder(pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "tests" / "page" / "samples")
    rules = Rules((ROOT / "config" / "rules" / "open-field.toml").read_text("utf-8"))
    samples_of_receipts.make(rules, folder)
    exports = samples_of_exports.make(rules, folder)
    samples_of_lasting.make(exports)
    samples_of_harm.make(exports)
    samples_of_leaders.make(exports)
    print(f"{len(folder.names)} samples in {folder.path}")


if __name__ == "__main__":
    main()
