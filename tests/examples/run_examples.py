#!/usr/bin/env python3
"""Judges the examples as a builder would and speaks TAP.

The clean vans must leave all three gates open, proven over every switch position. The draft must shut them, and each
fault that was planted in it must be caught under the rule and at the place that planted.tsv names, while the van that it
became shows none of them. Same input, same bytes.

usage: run_examples.py LOOMWALL ROOT
"""

import json
import pathlib
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

CLEAN = ["first-lamp", "heron", "starling"]
LEAST_PLANTED = 10

loomwall, root = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2])
examples = root / "examples"


def run(*arguments):
    return subprocess.run([loomwall, *arguments], cwd=root, capture_output=True, timeout=120, check=False)


def van_file(name):
    return f"examples/{name}/{name}.yaml"


def judge(name):
    """(exit status, bytes, parsed JSON) of `judge --json`, which is run twice for the case on bytes."""
    first, second = (run("judge", van_file(name), "--json") for _ in range(2))
    case(f"{name}: twice the same bytes", first.stdout == second.stdout and first.stdout)
    try:
        answer = json.loads(first.stdout)
    except ValueError as wrong:
        answer = {"gates": [], "findings": [], "states": {}}
        case(f"{name}: the answer is JSON", False, wrong, first.stderr.decode(errors="replace"))
    return first.returncode, answer


def shuts(finding):
    return finding["grade"] in ("stop", "unproven") or (finding["grade"] == "mind" and "decided" not in finding)


def told(findings):
    return "\n".join(f"{f['rule']} ({f['grade']}) at {', '.join(f['where'])}: {f['says']}" for f in findings)


def judge_clean(name):
    status, answer = judge(name)
    shut = [f for f in answer["findings"] if shuts(f)]
    gates = {g["gate"]: g["open"] for g in answer["gates"]}
    case(f"{name}: exit status 0", status == 0, status, told(shut))
    case(f"{name}: all gates open", gates == {"cut": True, "close": True, "live": True}, gates)
    case(f"{name}: nothing shuts a gate", not shut, told(shut))
    case(f"{name}: every switch position examined", answer["states"].get("complete") is True, answer["states"])
    return answer


def meter(name):
    answer = run("meter", van_file(name), "--json")
    case(f"{name}: meter exits 0", answer.returncode == 0, answer.stderr.decode(errors="replace"))
    case(f"{name}: meter converges", b'"converged": true' in answer.stdout.replace(b'":true', b'": true'))


def planted():
    lines = (examples / "heron-draft" / "planted.tsv").read_text().splitlines()
    return [tuple(line.split("\t")) for line in lines if line and not line.startswith("rule\t")]


def grades(findings, rule, where):
    return {f["grade"] for f in findings if f["rule"] == rule and where in f["where"]}


def judge_draft(mended):
    faults = planted()
    status, answer = judge("heron-draft")
    findings = answer["findings"]
    case("heron-draft: exit status 1", status == 1, status)
    case(f"heron-draft: at least {LEAST_PLANTED} faults", len(faults) >= LEAST_PLANTED, len(faults))
    case("heron-draft: each under a rule of its own", len({rule for rule, _ in faults}) == len(faults))
    for rule, where in faults:
        same_rule = [f for f in findings if f["rule"] == rule]
        case(f"heron-draft: {rule} at {where}", grades(findings, rule, where), told(same_rule) or "no finding of this rule")
    for rule, where in faults:  # a standby that the battery bears is a note, and stays one
        still = grades(findings, rule, where) & grades(mended["findings"], rule, where)
        case(f"heron: {rule} at {where} is mended", not still, still)
    page = (examples / "heron-draft" / "PLANTED.md").read_text()
    missing = [fault for fault in faults if f"| `{fault[0]}` | `{fault[1]}` |" not in page]
    case("heron-draft: PLANTED.md and planted.tsv agree", not missing and page.count("\n| `") == len(faults), missing)


def sheets_over_older():
    """Pages of an earlier run go, and only they: what else lies in the folder, and the other sheets with --only, stay."""
    with tempfile.TemporaryDirectory() as folder:
        stale = ["diagram-9.svg", "labels.svg", "connections-99.svg"]
        kept = ["diagram-notes.svg", "diagram-0.svg", "diagram-9.svg.bak", "my-diagram-9.svg", "panel-old.svg"]
        for name in stale + kept:
            (pathlib.Path(folder) / name).write_text("old")
        here = lambda names: [name for name in names if (pathlib.Path(folder) / name).exists()]
        draw = run("sheets", van_file("heron"), "--out", folder, "--only", "diagram")
        case("sheets --only: its own old page goes, no other", here(stale) == stale[1:], here(stale), draw.stderr.decode())
        draw = run("sheets", van_file("heron"), "--out", folder)
        case("sheets: old pages go", here(stale) == [], here(stale))
        case("sheets: and are named", draw.stdout.count(b"removed, a page of an earlier run") == 2, draw.stdout.decode())
        case("sheets: what else lies there stays", here(kept) == kept, here(kept))


answers = {name: judge_clean(name) for name in CLEAN}
for name in CLEAN:
    meter(name)
judge_draft(answers["heron"])
sheets_over_older()
sys.exit(finish())
