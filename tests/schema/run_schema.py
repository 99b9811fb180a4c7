#!/usr/bin/env python3
"""Holds the JSON Schema of the van file against the metaschema, the examples and small files that are wrong, with
Debian's python3-jsonschema, and speaks TAP.

Three things are asked: the schema is one; every file that the program reads without an error passes it; a file with a
fault that a schema can see does not. Faults that only the reader sees (ranges, references, what hangs together) are
listed as such, so that a change shows.

usage: run_schema.py SCHEMA_SUPPORT ROOT
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile
import warnings

warnings.simplefilter("ignore")
import jsonschema  # noqa: E402

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

SUPPORT, ROOT = sys.argv[1], pathlib.Path(sys.argv[2])

HEAD = "loomwall: 1\npractice: europe\n"
BANK = "  bank: {kind: battery, capacity: 100 Ah}\n"

# Read without an error, so the schema must pass them.
SOUND = {
    "quantities of every form": HEAD + "conditions: {hottest: 113 degF, coldest: -10 degC}\nitems:\n" + BANK
    + "wires:\n  P1: {from: bank.pos, to: bank.neg, length: 12 ft 6 in, size: 2/0 AWG}\n"
      "  P2: {from: bank.pos, to: bank.neg, length: 0.5m, size: auto, insulation: 105 degC, bundled: 3, solid: true}\n",
    "positions that YAML 1.1 took for truth values": HEAD + "items:\n  a: {kind: switch, positions: [off, on]}\n"
                                                            "  d: {kind: low-side-dimmer, positions: [40%, 100 %]}\n",
    "names and revisions that look like numbers": HEAD + "name: 42\nrevision: 3\nitems:\n" + BANK,
    "auto where a parameter has a default": HEAD + "items:\n  bank: {kind: battery, capacity: 100 Ah, voltage: auto,"
                                                   " resistance: auto}\n",
    "a load in each of its dimensions": HEAD + "items:\n  a: {kind: load, draws: 4 A}\n  b: {kind: load, draws: 4 W}\n"
                                               "  c: {kind: load, draws: 4 ohm}\n",
    "a kind of one's own": HEAD + "kinds:\n  mine:\n    says: Mine\n    terminals: [in, {row: n}]\n"
                                  "    takes: {n: {in: count, default: 3}, c: {choices: [a, b], default: a},"
                                  " d: {in: [A, W], default: 1 A}}\n    nodes: [x]\n    inside:\n"
                                  "      w: {kind: conductor, between: [x, n], resistance: 1 mohm}\n"
                                  "      f: {kind: fuse, joins: {in: in, out: x}, rating: 5 A}\n"
                                  "items:\n  a: {kind: mine, n: 4, d: 2 W}\n",
    "wires without labels": HEAD + "items:\n" + BANK + "unlabelled:\n  - {from: bank.pos, to: bank.neg, length: 1 m}\n"
                            "retired: [P7, 8, 1.5]\n",
    "no wires without labels": HEAD + "items:\n" + BANK + "unlabelled:\nretired:\n",
    "sections that stand empty": HEAD + "conditions:\nkinds:\nitems:\n" + BANK + "wires:\n  # none yet\ndecided:\n",
    "a decision": HEAD + "items:\n" + BANK + "decided:\n  - {rule: some-rule, where: item bank, why: so, date: 2026-11-25}\n",
}

# Wrong in a way that a schema sees.
WRONG = {
    "a key that is not known": HEAD + "items:\n" + BANK + "wirse: {}\n",
    "a wire without a label that has one": HEAD + "items:\n" + BANK
    + "unlabelled:\n  - P1: {from: bank.pos, to: bank.neg}\n",
    "wires without labels by label": HEAD + "items:\n" + BANK + "unlabelled: {P1: {from: bank.pos, to: bank.neg}}\n",
    "a retired label that is none": HEAD + "items:\n" + BANK + "retired: [Pump wire]\n",
    "no practice": "loomwall: 1\nitems:\n" + BANK,
    "another format": "loomwall: 2\npractice: europe\nitems:\n" + BANK,
    "another practice": "loomwall: 1\npractice: mars\nitems:\n" + BANK,
    "an item without a kind": HEAD + "items:\n  bank: {capacity: 100 Ah}\n",
    "an item's key of another kind": HEAD + "items:\n  a: {kind: switch, capacity: 100 Ah}\n",
    "a battery without a capacity": HEAD + "items:\n  bank: {kind: battery}\n",
    "an id in capitals": HEAD + "items:\n  Bank: {kind: battery, capacity: 100 Ah}\n",
    "a bare number for a quantity": HEAD + "items:\n  bank: {kind: battery, capacity: 100}\n",
    "a quantity of another dimension": HEAD + "items:\n  bank: {kind: battery, capacity: 100 A}\n",
    "a load in volts": HEAD + "items:\n  a: {kind: load, draws: 4 V}\n",
    "a word that is no choice": HEAD + "items:\n  bank: {kind: battery, capacity: 1 Ah, chemistry: lifepo}\n",
    "a billion studs": HEAD + "items:\n  bar: {kind: busbar, studs: 1000000000}\n",
    "slots that are no list": HEAD + "items:\n  f: {kind: fuse-block, slots: 10 A}\n",
    "yes for true": HEAD + "items:\n  a: {kind: fan, draws: 1 A, critical: yes}\n",
    "a wire without an end": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bank.pos}\n",
    "a wire to no terminal": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bank.pos, to: bank}\n",
    "a wire with a size in amperes": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bank.pos, to: bank.neg, size: 14 A}\n",
    "a label with a space": HEAD + "items:\n" + BANK + "wires:\n  P 1: {from: bank.pos, to: bank.neg}\n",
    "a date of another form": HEAD + "items:\n" + BANK + "decided: [{rule: r, where: item bank, why: so, date: 25.11.2026}]\n",
    "a kind without an inside": HEAD + "kinds: {mine: {says: M, terminals: [a, b]}}\nitems:\n" + BANK,
    "an element's key of another element": HEAD + "kinds: {mine: {says: M, terminals: [a, b], inside: {e: {kind: diode,"
                                                  " between: [a, b], rating: 1 A}}}}\nitems:\n" + BANK,
    "a contact that never closes": HEAD + "kinds: {mine: {says: M, terminals: [a, b], inside: {e: {kind: contact,"
                                          " between: [a, b]}}}}\nitems:\n" + BANK,
}

# Faults that need the reader: the schema lets them pass, and says so by this list.
BEYOND = {
    "a negative length": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bank.pos, to: bank.neg, length: -1 m}\n",
    "a retired label in use": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bank.pos, to: bank.neg}\nretired: [P1]\n",
    "a reference to nothing": HEAD + "items:\n" + BANK + "wires:\n  P1: {from: bnk.pos, to: bank.neg}\n",
    "a kind that is not there": HEAD + "items:\n  a: {kind: zeppelin}\n",
}


def support(*arguments):
    return subprocess.run([SUPPORT, *arguments], capture_output=True, text=True, check=True).stdout


def try_van(validator, text):
    """(whether the program reads it, what the schema finds)"""
    with tempfile.NamedTemporaryFile("w", suffix=".yaml", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        van = json.loads(support("json", file.name))
        does_read = subprocess.run([SUPPORT, "read", file.name], check=False).returncode == 0
    return does_read, [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:150]}" for e in validator.iter_errors(van)]


def main():
    schema = json.loads(support("schema"))
    try:
        jsonschema.Draft202012Validator.check_schema(schema)
        case("the schema is a schema", schema["$schema"].endswith("2020-12/schema"))
    except jsonschema.SchemaError as error:
        case("the schema is a schema", False, error)
    validator = jsonschema.Draft202012Validator(schema)

    vans = {str(path.relative_to(ROOT)): path.read_text("utf-8") for path in sorted(ROOT.glob("examples/*/*.yaml"))}
    case("there are examples", len(vans) >= 4, vans)
    for page in ("van-file.md", "kinds.md"):
        for i, block in enumerate(re.findall(r"^```yaml\n(loomwall:.*?)^```$", (ROOT / "docs" / page).read_text("utf-8"),
                                             re.M | re.S)):
            vans[f"docs/{page}, file {i + 1}"] = block
    for practice in ("europe", "north-america"):
        for volts in ("12", "24"):
            vans[f"starter for {practice}, {volts} V"] = support("starter", practice, volts)
    for name, text in [*vans.items(), *SOUND.items()]:
        does_read, found = try_van(validator, text)
        case(f"reads and passes: {name}", does_read and not found, "\n".join(found) or "it does not read")
    for name, text in WRONG.items():
        does_read, found = try_van(validator, text)
        case(f"refused by both: {name}", not does_read and found, "it reads" if does_read else "nothing found")
    for name, text in BEYOND.items():
        does_read, found = try_van(validator, text)
        case(f"refused by the reader alone: {name}", not does_read and not found, "\n".join(found) or "it reads")
    return finish()


if __name__ == "__main__":
    sys.exit(main())
