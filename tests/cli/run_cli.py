#!/usr/bin/env python3
"""Uses the command line as a builder and a script would, and speaks TAP.

usage: run_cli.py LOOMWALL ROOT
"""

import fcntl
import json
import os
import pathlib
import pty
import re
import resource
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
import traceback

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

LOOMWALL, ROOT = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2]).resolve()
LAMP = str(ROOT / "examples/first-lamp/first-lamp.yaml")
HERON = str(ROOT / "examples/heron/heron.yaml")
DRAFT = str(ROOT / "examples/heron-draft/heron-draft.yaml")
COMMANDS = ["open", "judge", "show", "meter", "sheets", "label", "edit", "mend", "add", "kinds", "why", "schema", "new", "help", "version"]
KINDS = set("""
    battery fuse breaker fuse-block busbar joint shunt chassis switch lit-switch changeover relay low-side-dimmer led-light pump fan
    fridge heater outlet-12v usb-outlet voltmeter load dc-charger shore-charger solar-charger inverter
""".split())
DATE = ["--date", "2026-11-25"]
NOBODY = 65534


def run(*arguments, **options):
    environment = {**os.environ, "NO_COLOR": "", "TERM": "xterm", **options.pop("environment", {})}
    options.setdefault("stdin", subprocess.DEVNULL if "input" not in options else None)
    if options["stdin"] is None:
        del options["stdin"]
    return subprocess.run(
        [LOOMWALL, *arguments],
        stdout=options.pop("stdout", subprocess.PIPE), stderr=subprocess.PIPE, timeout=120, check=False,
        env=environment, **options,
    )


def words(answer):
    return answer.stderr.decode(errors="replace")


def expect(name, answer, status, in_stderr=None, in_stdout=None, is_silent=False):
    """One case: the exit status, what is said where, and no output where there is only a complaint."""
    out, err = (answer.stdout or b"").decode(errors="replace"), words(answer)
    is_good = answer.returncode == status
    is_good = is_good and (in_stderr is None or all(part in err for part in in_stderr))
    is_good = is_good and (in_stdout is None or all(part in out for part in in_stdout))
    is_good = is_good and not (is_silent and out)
    case(name, is_good, f"status {answer.returncode}, wanted {status}", "stderr: " + err, "stdout: " + out[:1000])


# --- usage ---


def usage():
    expect("without arguments: usage, status 2", run(), 2, in_stderr=["usage: loomwall COMMAND"] + COMMANDS, is_silent=True)
    expect("help lists every command", run("help"), 0, in_stdout=COMMANDS)
    case("--help and -h are help", run("--help").stdout == run("-h").stdout == run("help").stdout)
    for command in COMMANDS:
        told = run("help", command)
        expect(f"help {command}", told, 0, in_stdout=[f"usage: loomwall {command}", "--help"])
        case(f"{command} --help is the same", run(command, "--help").stdout == told.stdout)
    version = run("--version")
    case("--version names program and version", re.fullmatch(rb"loomwall \d+\.\d+\.\d+\n", version.stdout), version.stdout)
    case("version is the same", run("version").stdout == version.stdout)
    expect("a command mistyped", run("jugde", LAMP), 2, in_stderr=["`jugde`", "did you mean `judge`?"], is_silent=True)
    expect("no command at all like it", run("xyzzyxyz"), 2, in_stderr=["loomwall help"], is_silent=True)
    expect("an option mistyped", run("judge", "--jsn", LAMP), 2, in_stderr=["`--jsn`", "`--json`"], is_silent=True)
    expect("an option of another command", run("judge", "--set", "a=b", LAMP), 2, in_stderr=["`--set`"], is_silent=True)
    expect("a flag with a value", run("judge", "--json=yes", LAMP), 2, in_stderr=["takes no value"], is_silent=True)
    expect("an option without its value", run("meter", LAMP, "--ambient"), 2, in_stderr=["lacks its value"], is_silent=True)
    expect("an option twice", run("meter", LAMP, "--charge", "5%", "--charge", "6%"), 2, in_stderr=["twice"], is_silent=True)
    expect("no file", run("judge"), 2, in_stderr=["lacks its FILE"], is_silent=True)
    expect("two files", run("judge", LAMP, HERON), 2, in_stderr=["one too many"], is_silent=True)
    expect("a colour word", run("judge", LAMP, "--color", "pink"), 2, in_stderr=["auto, always or never"], is_silent=True)
    expect("threads out of range", run("judge", LAMP, "--threads", "0"), 2, in_stderr=["1 to 16"], is_silent=True)
    case("after -- a dash starts a name", b"--json" in run("judge", "--", "--json").stderr)


# --- reading ---


def reading(folder):
    expect("judge of an open van", run("judge", LAMP), 0, in_stdout=["open"])
    expect("judge of a shut van", run("judge", DRAFT), 1, in_stdout=["shut", "STOP", "to mend", "source"])
    expect("a file that is not there", run("judge", f"{folder}/none.yaml"), 2, in_stderr=["none.yaml", "No such file"], is_silent=True)
    expect("a folder", run("judge", str(folder)), 2, in_stderr=["directory"], is_silent=True)
    expect("an endless file", run("judge", "/dev/zero"), 2, in_stderr=["error:"], is_silent=True)
    expect("an empty file", run("judge", "/dev/null"), 2, in_stderr=["error:"], is_silent=True)
    bad = folder / "bad.yaml"
    bad.write_text("loomwall: 1\nname: Bad\nitms: {}\nwires:\n  P1: {from: a.b, to: c.d, lenght: 2 m}\n")
    answer = run("judge", str(bad))
    expect("every fault of a file", answer, 2, in_stderr=["`itms`", "`lenght`"], is_silent=True)
    lines = words(answer).splitlines()
    located = [line for line in lines if re.match(re.escape(str(bad)) + r":\d+:\d+: error: .+; .+", line)]
    case("each fault has place, wrong and right", len(located) == len(lines) >= 2, words(answer))
    with open(LAMP, "rb") as file:
        piped = run("judge", "-", "--json", stdin=file)
    case("`-` is standard input", piped.returncode == 0 and piped.stdout == run("judge", LAMP, "--json").stdout, words(piped))
    expect("a fault in standard input names it", run("judge", "-", input=b"loomwall: 2\n"), 2, in_stderr=["standard input:1:"])
    with open(os.devnull, "wb") as null:
        closed = subprocess.run([LOOMWALL, "judge", "-"], stdin=null, capture_output=True, timeout=60, check=False)
    expect("standard input that can't be read", closed, 2, in_stderr=["standard input can't be read"])
    for command in (["judge"], ["meter"], ["sheets", "--out", f"{folder}/untouched"]):
        expect(f"{command[0]} of a bad file", run(*command, str(bad)), 2, in_stderr=["error:"], is_silent=True)
    case("a bad file makes no folder", not (folder / "untouched").exists())


# --- JSON ---


def keys(case_name, found, wanted, optional=()):
    case(case_name, list(wanted) == [key for key in found if key not in optional], list(found))


def judge_json():
    first = run("judge", DRAFT, "--json")
    again = [run("judge", DRAFT, "--json", "--threads", str(n)).stdout for n in (1, 2, 7)]
    case("judge --json: same bytes at every thread count", all(other == first.stdout for other in again))
    answer = json.loads(first.stdout)
    keys("judge --json: keys", answer, ["van", "format", "states", "gates", "findings", "wires"])
    keys("judge --json: states", answer["states"], ["switch_positions", "examined", "complete"], ["why_not"])
    case("judge --json: gates in their order", [gate["gate"] for gate in answer["gates"]] == ["cut", "close", "live"])
    wanted = ["rule", "gate", "grade", "where", "says", "value", "limit", "unit", "positions", "source", "remedy", "mends"]
    odd = [f for f in answer["findings"] if [key for key in f if key not in ("proven", "decided")] != wanted]
    case("judge --json: keys of a finding", answer["findings"] and not odd, odd[:1])
    case("judge --json: grades", {f["grade"] for f in answer["findings"]} <= {"stop", "mind", "note"})
    places = [place for f in answer["findings"] for place in f["where"]]
    case("judge --json: places", places and all(re.match(r"(wire|item|terminal) \S+$", place) for place in places), places)
    kinds_of_value = {type(f[key]) for f in answer["findings"] for key in ("value", "limit")}
    case("judge --json: numbers or null", kinds_of_value <= {float, int, type(None)}, kinds_of_value)
    odd = [f for f in answer["findings"] if not f["says"] or (f["limit"] is not None and not f["source"])]
    case("judge --json: every limit has its source", not odd, odd[:1])
    text = run("judge", DRAFT).stdout.decode()
    case("the text tells every rule that JSON does", all(f["rule"] in text for f in answer["findings"]))


VAN = """\
loomwall: 1
name: "Quote \\" and \\\\ and \\t tab, übung, 車"
practice: north-america
conditions: {hottest: 45 degC, coldest: -10 degC}
items:
  bank:   {kind: battery, chemistry: agm, capacity: 100 Ah, voltage: 12 V}
  fuse:   {kind: fuse, rating: 5 A}
  tap:    {kind: switch}
  lamp:   {kind: led-light, draws: 6 W}
  dim:    {kind: low-side-dimmer, rating: 5 A}
  spare:  {kind: joint}
wires:
  P1: {from: bank.pos, to: fuse.in, length: 0.1 m, size: 14 AWG, colour: red}
  P2: {from: fuse.out, to: tap.feed, length: 2 m, size: 14 AWG, colour: red}
  P3: {from: tap.out, to: lamp.pos, length: 2 m, size: 14 AWG, colour: red}
  P4: {from: tap.out, to: dim.pos, length: 2 m, size: 14 AWG, colour: red}
  N1: {from: lamp.neg, to: dim.load-neg, length: 2 m, size: 14 AWG, colour: black}
  N2: {from: dim.neg, to: bank.neg, length: 2 m, size: 14 AWG, colour: black}
"""


def show(folder):
    van = folder / "shown.yaml"
    text = VAN.replace("  spare:  {kind: joint}", "  spare:  {kind: joint, critical: false, says: 'a: b'}\n  odd:    {kind: fuse-block, slots: [5 A, 07.50 A]}").replace(
        "wires:", "retired: [W9, P7]\nwires:", 1) + "unlabelled:\n  - {from: odd.1, to: spare.1, size: auto}\n"
    van.write_text(text, encoding="utf-8")
    read = json.loads(run("show", str(van), "--json").stdout)
    keys("show --json: keys", read, ["name", "says", "practice", "own_revision", "conditions", "panels", "items", "wires", "retired", "decided", "kinds", "next_label"])
    items = {item["id"]: item for item in read["items"]}
    wires = {wire["label"]: wire for wire in read["wires"]}
    case("show --json: all items and wires, in the order of the file", list(items) == ["bank", "fuse", "tap", "lamp", "dim", "spare", "odd"] and list(wires) == ["P1", "P2", "P3", "P4", "N1", "N2", "W10"], list(wires))
    case("show --json: values as they are written", items["odd"]["given"] == {"slots": ["5 A", "07.50 A"]} and wires["P1"]["given"] == {"length": "0.1 m", "size": "14 AWG", "colour": "red"} and read["conditions"] == {"hottest": "45 degC", "coldest": "-10 degC"}, items["odd"])
    case("show --json: what is not given is not there", items["spare"]["given"] == {} and items["spare"]["critical"] is False and items["lamp"]["critical"] is None and items["lamp"]["name"] == "" and items["spare"]["says"] == "a: b")
    ends = {terminal["id"]: terminal["wires"] for item in read["items"] for terminal in item["terminals"]}
    case("show --json: wires at terminals", ends["tap.out"] == ["P3", "P4"] and ends["odd.1"] == ["W10"] and ends["odd.2"] == [], ends)
    case("show --json: positions and dials", items["tap"]["positions"] == ["off", "on"] and items["dim"]["dial"] == "duty" and items["tap"]["dial"] is None)
    case("show --json: a proposed label, and the next one", wires["W10"]["is_proposed"] and not wires["P1"]["is_proposed"] and read["next_label"] == "W11" and read["retired"] == ["W9", "P7"], read["next_label"])
    case("show --json: lines", text.splitlines()[wires["P3"]["line"] - 1].startswith("  P3:") and text.splitlines()[items["dim"]["line"] - 1].startswith("  dim:"))
    listed = run("show", str(van))
    expect("show", listed, 0, in_stdout=["slots [5 A, 07.50 A]", "taken  rating 20 A", "W10: odd.1 to spare.1 (label proposed)", "not connected", "odd.2"])
    heron = json.loads(run("show", HERON, "--json").stdout)
    case("show --json: panels and decisions", heron["panels"] == ["sampling-wall", "cabin"] and all(d["rule"] and d["date"] for d in heron["decided"]), heron["decided"])
    own = folder / "own.yaml"
    own.write_text("loomwall: 1\npractice: europe\nkinds:\n  gong: {says: a gong, terminals: [a, b], takes: {draws: {in: A}}, inside: {x: {kind: load, between: [a, b], draws: $draws}}}\nitems:\n  g: {kind: gong, draws: 2 A}\n", encoding="utf-8")
    kinds = json.loads(run("show", str(own), "--json").stdout)["kinds"]
    case("show --json: the file's own kinds", [(k["kind"], k["built_in"], k["parameters"][0]["is_required"]) for k in kinds] == [("gong", False, True)], kinds)
    drawn = run("show", HERON, "--scene", "diagram")
    expect("show --scene", drawn, 0, in_stdout=["<svg", 'id="wire-P3"', 'id="terminal-feed-bar.8"'])
    case("show --scene: the same bytes", drawn.stdout == run("show", HERON, "--scene", "diagram").stdout)
    expect("show --scene: front and back", run("show", HERON, "--scene", "front-cabin"), 0, in_stdout=["<svg", "position-on"])
    expect("show --scene: no such scene", run("show", HERON, "--scene", "front-cabinet"), 2, in_stderr=["did you mean `front-cabin`?"], is_silent=True)
    expect("show of a file that can't be read", run("show", f"{folder}/none.yaml"), 2, in_stderr=["none.yaml"], is_silent=True)


def catalogue():
    told = json.loads(run("kinds", "--json").stdout)
    keys("kinds --json: a catalogue", told, ["kinds", "van_keys", "conditions_keys", "item_keys", "wire_keys", "decided_keys", "sizes", "colours_by_use", "colours", "ratings", "rules"])
    kinds = {kind["kind"]: {p["parameter"]: p for p in kind["parameters"]} for kind in told["kinds"]}
    case("a parameter without a default is required", kinds["battery"]["capacity"]["is_required"] and not kinds["battery"]["chemistry"]["is_required"])
    case("a parameter has units, range and choices", kinds["battery"]["capacity"]["units"][:2] == ["Ah", "mAh"] and kinds["battery"]["capacity"]["most"] == "5000 Ah" and "lfp" in kinds["battery"]["chemistry"]["choices"])
    wire = {key["key"]: key for key in told["wire_keys"]}
    case("keys of a wire", wire["from"]["is_required"] and wire["length"]["units"][0] == "m" and wire["size"]["takes_auto"] and wire["bundled"]["holds"] == "count" and "way" not in wire, wire)
    case("sizes by practice", told["sizes"]["north-america"][-1] == "4/0 AWG" and told["sizes"]["europe"][0] == "0.5 mm2")
    case("colours by use", told["colours_by_use"]["europe"]["return"] == ["black", "yellow"] and set(told["colours"]) >= {"red", "black", "green-yellow"} and len(told["colours"]) == len(set(told["colours"])))
    case("ratings, and the ids of the rules", "7.5 A" in told["ratings"]["blade"] and told["rules"] == [rule["rule"] for rule in json.loads(run("why", "--json").stdout)["rules"]])


def meter_states(folder):
    """A load behind a chain that leaves it too little, and one that hangs by nothing."""
    van = folder / "weak.yaml"
    van.write_text(VAN.replace("spare:  {kind: joint}", "pump: {kind: pump, draws: 20 A}\n  lost: {kind: pump, draws: 1 A}\n  far: {kind: joint}")
                   + "  P8: {from: tap.out, to: pump.pos, length: 60 m, size: 20 AWG}\n  N8: {from: pump.neg, to: bank.neg, length: 60 m, size: 20 AWG}\n"
                   + "  F1: {from: lost.pos, to: far.1, length: 1 m, size: 14 AWG}\n", encoding="utf-8")
    answer = run("meter", str(van), "--set", "tap=on", "--json")
    case("meter --json: a weak van has an answer", answer.returncode == 0, words(answer))
    read = json.loads(answer.stdout)
    case("meter --json: starved", read["items"]["pump"]["state"] == "starved" and not read["items"]["pump"]["runs"], read["items"])
    van.write_text(van.read_text(encoding="utf-8").replace("kind: pump, draws: 20 A", "kind: fridge, draws: 200 W, stops-below: 10 V"), encoding="utf-8")
    lost = json.loads(run("meter", str(van), "--set", "tap=on", "--json").stdout)
    case("meter --json: nothing is said to be off where there is no answer", lost["trouble"] and lost["items"]["lamp"]["state"] is None and lost["wires"]["P2"] is None, lost["items"])
    case("meter --json: floats", (read["items"]["lost"]["state"], read["wires"]["F1"]) == ("floats", "floats"), read["items"]["lost"])


def meter_json(folder):
    van = folder / "van.yaml"
    van.write_text(VAN, encoding="utf-8")
    command = ["meter", str(van), "--json"]
    answer = run(*command, "--set", "tap=on", "--set", "dim=40%")
    case("meter --json: status 0", answer.returncode == 0, words(answer))
    read = json.loads(answer.stdout)
    keys("meter --json: keys", read, ["volts", "amps", "amps_rms", "wires", "items", "reference", "converged"], ["rms_exact"])
    case("meter --json: the reference", read["reference"] == "bank.neg" and read["volts"]["bank.neg"] == 0)
    case("meter --json: what nothing connects is null", read["volts"]["spare.1"] is None, read["volts"])
    case("meter --json: positions", read["items"]["tap"] == {"position": "on"} and read["items"]["dim"]["position"] == "40 %")
    case("meter --json: a load", list(read["items"]["lamp"]) == ["runs", "state", "volts", "watts"] and read["items"]["lamp"]["runs"])
    mean, rms = read["amps"]["P3"], read["amps_rms"]["P3"]
    case("meter --json: rms above the mean where chopped", rms > 1.2 * mean > 0, mean, rms)
    case("meter --json: the same wire, the same current", abs(read["amps"]["P3"] - read["amps"]["N1"]) < 1e-9)
    case("meter --json: same bytes", answer.stdout == run(*command, "--set", "dim=40%", "--set", "tap=on").stdout)
    off = json.loads(run(*command).stdout)
    case("meter --json: first positions unless set", off["items"]["tap"]["position"] == "off" and not off["items"]["lamp"]["runs"])
    full = json.loads(run(*command, "--set", "tap=on", "--set", "dim=100%").stdout)
    states = [answer["items"]["lamp"]["state"] for answer in (off, read, full)]
    case("meter --json: a load is off, dims, runs", states == ["off", "dims", "runs"], states)
    states = [(answer["wires"]["P2"], answer["wires"]["P3"], answer["wires"]["N2"]) for answer in (off, read)]
    case("meter --json: live and dead wires, and those that carry", states == [("live", "dead", "dead"), ("carries", "carries", "carries")], states)
    moved = json.loads(run(*command, "--against", "bank.pos").stdout)
    case("meter --json: a moved reference changes no wire's state", moved["wires"] == off["wires"])
    against = json.loads(run(*command, "--set", "tap=on", "--set", "dim=100%", "--against", "bank.pos").stdout)
    on = json.loads(run(*command, "--set", "tap=on", "--set", "dim=100%").stdout)
    case("meter --against: all voltages shift alike", abs(against["volts"]["lamp.pos"] - (on["volts"]["lamp.pos"] - on["volts"]["bank.pos"])) < 1e-12)
    low = json.loads(run(*command, "--charge", "10%").stdout)["volts"]["bank.pos"]
    case("meter --charge: a lower battery", low < off["volts"]["bank.pos"], low)
    case("meter --charge: a bare number is per cent", run(*command, "--charge", "10").stdout == run(*command, "--charge=10%").stdout)
    hot = json.loads(run(*command, "--set", "tap=on", "--set", "dim=100%", "--ambient", "60 degC").stdout)["volts"]
    case("meter --ambient: hotter wires drop more", hot["lamp.pos"] < on["volts"]["lamp.pos"])
    warm = [json.loads(run(*command, "--set", "tap=on", "--ambient", t).stdout)["volts"]["lamp.pos"] for t in ("77 degF", "25 degC")]
    case("meter --ambient: 77 degF is 25 degC", abs(warm[0] - warm[1]) < 1e-12, warm)
    judged = run("judge", str(van), "--json")
    case("a name with quotes, tabs and other scripts", json.loads(judged.stdout)["van"] == 'Quote " and \\ and \t tab, übung, 車', judged.stdout[:200])
    text = run("meter", str(van), "--set", "tap=on", "--set", "dim=40%")
    expect("meter as text", text, 0, in_stdout=["bank.neg", "lamp", "runs", "P3", "40 %"])


def meter_refusals(folder):
    van = str(folder / "van.yaml")
    for name, arguments, parts in [
        ("an item that is not there", ["--set", "tapp=on"], ["`tapp`", "did you mean `tap`?"]),
        ("a position that it lacks", ["--set", "tap=half"], ["`half`", "`off`, `on`"]),
        ("an item without positions", ["--set", "lamp=on"], ["`lamp` has no positions"]),
        ("no position", ["--set", "tap="], ["ITEM=POSITION"]),
        ("no equals sign", ["--set", "tap"], ["ITEM=POSITION"]),
        ("the same item twice", ["--set", "tap=on", "--set", "tap=off"], ["`tap` is set twice"]),
        ("a dial beyond its end", ["--set", "dim=140%"], ["`140%`", "100%"]),
        ("a dial that is no fraction", ["--set", "dim=4 A"], ["`4 A`"]),
        ("a dial that is nonsense", ["--set", "dim=lots"], ["`lots`"]),
        ("a terminal that is not there", ["--against", "bank.nge"], ["`bank.nge`", "`bank.neg`"]),
        ("a temperature without unit", ["--ambient", "20"], ["`20`", "degC"]),
        ("a temperature in volts", ["--ambient", "20 V"], ["`20 V`", "degC"]),
        ("a temperature that melts copper", ["--ambient", "2000 degC"], ["out of range"]),
        ("a charge above full", ["--charge", "120%"], ["out of range"]),
        ("a charge that could mean two things", ["--charge", "0.8"], ["per cent"]),
        ("a charge that is none", ["--charge", "lots"], ["`lots`"]),
    ]:
        expect(f"meter: {name}", run("meter", van, *arguments), 2, in_stderr=parts, is_silent=True)
    both = run("meter", van, "--set", "tapp=on", "--set", "tap=half", "--against", "x.y")
    expect("meter: every fault at once", both, 2, in_stderr=["`tapp`", "`half`", "`x.y`"], is_silent=True)
    excluded = folder / "excluded.yaml"
    excluded.write_text(VAN.replace("tap:    {kind: switch}", "tap:    {kind: switch, never-with: [other.on]}\n  other:  {kind: switch}"))
    expect("meter: positions that exclude each other", run("meter", str(excluded), "--set", "tap=on", "--set", "other=on"), 2,
           in_stderr=["exclude each other", "never-with"], is_silent=True)
    expect("meter: one of them alone", run("meter", str(excluded), "--set", "other=on"), 0)


def knowledge():
    listed = run("kinds").stdout.decode()
    names = re.findall(r"^([a-z][a-z0-9-]*) ", listed, re.MULTILINE)
    case("kinds: those of the first release", set(names) == KINDS, set(names) ^ KINDS)
    told = json.loads(run("kinds", "--json").stdout)["kinds"]
    case("kinds --json: the same kinds", [kind["kind"] for kind in told] == names)
    odd = [(kind["kind"], p["parameter"]) for kind in told for p in kind["parameters"] if p["default"] not in (None, "auto") and not p["source"]]
    case("kinds --json: every default has a source", not odd, odd)
    bad = [name for name in names if run("kinds", name).returncode != 0 or json.loads(run("kinds", name, "--json").stdout)["kind"] != name]
    case("kinds NAME for each", not bad, bad)
    expect("kinds: a name mistyped", run("kinds", "lit-swich"), 2, in_stderr=["did you mean `lit-switch`?"], is_silent=True)
    rules = json.loads(run("why", "--json").stdout)["rules"]
    case("why --json: keys", rules and all(list(rule) == ["rule", "gate", "grade", "means", "matters", "limits", "mends"] for rule in rules))
    bad = [rule["rule"] for rule in rules if rule["rule"].encode() not in run("why", rule["rule"]).stdout]
    case("why RULE for each", not bad, bad)
    expect("why: a rule mistyped", run("why", rules[0]["rule"][:-1]), 2, in_stderr=[f"`{rules[0]['rule']}`"], is_silent=True)
    raised = {finding["rule"] for finding in json.loads(run("judge", DRAFT, "--json").stdout)["findings"]}
    case("why knows every rule that judge raises", raised <= {rule["rule"] for rule in rules}, raised)
    case("schema is JSON", "$schema" in json.loads(run("schema").stdout))


# --- terminals ---


def on_terminal(arguments, environment=None, columns=60):
    """(exit status, what a terminal of so many columns was shown)."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.pop("NO_COLOR", None)
        os.environ.update({"TERM": "xterm", **(environment or {})})
        fcntl.ioctl(1, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
        os.execv(LOOMWALL, [LOOMWALL, *arguments])
    shown = b""
    while True:
        try:
            part = os.read(terminal, 65536)
        except OSError:
            break
        if not part:
            break
        shown += part
    _, status = os.waitpid(pid, 0)
    os.close(terminal)
    return os.waitstatus_to_exitcode(status), shown.decode(errors="replace")


def terminals():
    escape = "\033["
    case("no colour in a pipe", escape not in run("judge", DRAFT).stdout.decode())
    case("colour in a pipe when asked", escape in run("judge", DRAFT, "--color=always").stdout.decode())
    status, shown = on_terminal(["judge", DRAFT])
    case("colour on a terminal", status == 1 and escape in shown, shown[:300])
    case("no colour on a terminal with NO_COLOR", escape not in on_terminal(["judge", DRAFT], {"NO_COLOR": "1"})[1])
    case("an empty NO_COLOR means nothing", escape in on_terminal(["judge", DRAFT], {"NO_COLOR": ""})[1])
    case("no colour on a dumb terminal", escape not in on_terminal(["judge", DRAFT], {"TERM": "dumb"})[1])
    case("no colour on a terminal when not wanted", escape not in on_terminal(["judge", DRAFT, "--color", "never"])[1])
    plain = on_terminal(["judge", DRAFT, "--color=never"], columns=60)[1]
    wide = [line for line in plain.splitlines() if len(line) > 60 and line.startswith("          ")]
    case("words are broken at the width of the terminal", not wide, *wide)
    case("JSON is never coloured", escape not in on_terminal(["judge", DRAFT, "--json"])[1])


# --- writing ---


def limit_files(n_bytes=2048):
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (n_bytes, n_bytes))


def snapshot(folder):
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def standard_output():
    for arguments in (["judge", LAMP], ["judge", LAMP, "--json"], ["meter", LAMP], ["kinds"], ["schema"], ["help"]):
        with open("/dev/full", "wb") as full:
            expect(f"{' '.join(arguments[:1] + arguments[2:])} to a full disk", run(*arguments, stdout=full), 3,
                   in_stderr=["No space left"])


def sheets(folder):
    out = folder / "deep/er/out"
    expect("sheets without a folder", run("sheets", LAMP), 2, in_stderr=["--out FOLDER"], is_silent=True)
    expect("sheets: a date that is none", run("sheets", LAMP, "--out", str(out), "--date", "yesterday"), 2, in_stderr=["YYYY-MM-DD"])
    case("nothing was made so far", not out.exists())
    answer = run("sheets", HERON, "--out", str(out), *DATE)
    told = re.findall(re.escape(str(out)) + r"/\S+", answer.stdout.decode())
    case("sheets tells each file, and no other is there", answer.returncode == 0 and sorted(map(str, out.iterdir())) == sorted(told) and told, words(answer), told)
    endings = {pathlib.Path(path).suffix for path in told}
    case("sheets are SVG, PDF and CSV", {".svg", ".pdf", ".csv"} <= endings, endings)
    first = snapshot(out)
    case("sheets: PDF and SVG start as such", all(b.startswith({".pdf": b"%PDF-", ".svg": b"<"}.get(pathlib.Path(n).suffix, b"")) for n, b in first.items()))
    run("sheets", HERON, "--out", str(out), *DATE, "--threads", "1")
    case("sheets: same bytes", snapshot(out) == first)
    run("sheets", HERON, "--out", str(out), environment={"SOURCE_DATE_EPOCH": "1795564800"})
    case("sheets: SOURCE_DATE_EPOCH is the date", snapshot(out) == first)
    one = folder / "one"
    answer = run("sheets", HERON, "--out", str(one), "--only", "diagram", *DATE)
    case("sheets --only: that sheet alone", answer.returncode == 0 and 0 < len(list(one.iterdir())) < len(first), words(answer))
    book = folder / "book"
    answer = run("sheets", HERON, "--out", str(book), "--book", *DATE)
    case("sheets --book: the book alone", answer.returncode == 0 and [f.name for f in book.iterdir()] == ["book.pdf"], words(answer))
    expect("sheets --book and --only", run("sheets", HERON, "--out", str(book), "--book", "--only", "diagram"), 2, in_stderr=["--book", "--only"], is_silent=True)
    expect("sheets on no paper", run("sheets", HERON, "--out", str(book), "--paper", "a5"), 2, in_stderr=["`a5`", "`letter`"], is_silent=True)
    expect("sheets --only: no such sheet", run("sheets", HERON, "--out", str(one), "--only", "diagrm"), 2, in_stderr=["diagram"], is_silent=True)
    return out


def full_disk(out):
    before = snapshot(out)
    answer = run("sheets", HERON, "--out", str(out), "--date", "2027-01-01", preexec_fn=limit_files)
    expect("sheets on a full disk", answer, 3, in_stderr=["could not be written"], is_silent=True)
    case("the old files are left, and no other", snapshot(out) == before)


def places(folder):
    expect("sheets into a file", run("sheets", LAMP, "--out", LAMP), 3, in_stderr=["can't be made"], is_silent=True)
    expect("sheets below a file", run("sheets", LAMP, "--out", LAMP + "/x"), 3, in_stderr=["can't be made"], is_silent=True)
    expect("sheets into no name", run("sheets", LAMP, "--out", ""), 3, in_stderr=["can't be made"], is_silent=True)
    shelf = folder / "shelf"
    shelf.mkdir()
    (shelf / "old").write_text("old")
    shelf.chmod(0o555)
    folder.chmod(0o755)
    van, program = folder / "lamp.yaml", folder / "loomwall"
    shutil.copy(LAMP, van)
    shutil.copy(LOOMWALL, program)
    drop = (lambda: os.setuid(NOBODY)) if os.geteuid() == 0 else None
    for name, command in [("sheets", ["sheets", str(van), "--out", str(shelf)]), ("new", ["new", str(shelf / "van.yaml")])]:
        answer = subprocess.run([str(program), *command], capture_output=True, preexec_fn=drop, timeout=60, check=False)
        expect(f"{name} into a read-only folder", answer, 3 if name == "sheets" else 2, in_stderr=["Permission denied"], is_silent=True)
    case("the read-only folder is as it was", [path.name for path in shelf.iterdir()] == ["old"])
    shelf.chmod(0o755)


def kills(out):
    """However it dies, a file is the old one or the new one, never a part of one."""
    old = snapshot(out)
    fresh = out.parent / "fresh"
    start = time.monotonic()
    run("sheets", HERON, "--out", str(fresh), "--date", "2027-01-01")
    whole_s = time.monotonic() - start
    new = snapshot(fresh)
    case("the date shows in the sheets", new.keys() == old.keys() and new != old)
    broken, left = [], []
    turns = max(6, min(24, int(15 / whole_s)))
    for turn in range(turns):
        for name, content in old.items():
            (out / name).write_bytes(content)
        how = signal.SIGKILL if turn % 2 else signal.SIGTERM
        process = subprocess.Popen([LOOMWALL, "sheets", HERON, "--out", str(out), "--date", "2027-01-01"],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole_s * (0.3 + 0.7 * turn / (turns - 1)))
        process.send_signal(how)
        process.wait()
        after = snapshot(out)
        broken += [name for name in old if after.get(name) not in (old[name], new[name])]
        strays = [name for name in after if name not in old]
        left += strays if how == signal.SIGTERM else []
        for name in strays:
            (out / name).unlink()
    case("killed at any moment, each file is whole", not broken, broken)
    case("told to stop, it leaves nothing beside them", not left, left)


BARE = VAN.replace("  P4: {", "  # keep\n  P4:   {").replace("  N1: {", "unlabelled:  # new\n- {").replace("  N2: {", "- {", 1) + "# end"


def labels(folder):
    van = folder / "bare.yaml"
    van.write_text(BARE, encoding="utf-8")
    van.chmod(0o640)
    told = run("label", str(van))
    expect("label lists what it proposes", told, 0, in_stdout=["W5  lamp.neg to dim.load-neg", "W6  dim.neg to bank.neg", "--write"])
    case("label without --write changes nothing", van.read_text(encoding="utf-8") == BARE and told.stdout == run("label", str(van)).stdout)
    read = json.loads(run("label", str(van), "--json").stdout)
    keys("label --json: keys", read, ["van", "labels", "retired", "written"])
    case("label --json: the same", [(p["label"], p["line"], p["column"]) for p in read["labels"]] == [("W5", 19, 3), ("W6", 20, 3)] and not read["written"], read)
    amps = json.loads(run("meter", str(van), "--set", "tap=on", "--json").stdout)["amps"]
    case("meter knows proposed labels", {"W5", "W6"} <= set(amps), amps)
    sheet = run("sheets", str(van), "--out", str(folder / "bare"), "--only", "labels", *DATE)
    listed = (folder / "bare/labels.csv").read_text(encoding="utf-8").splitlines()
    case("the sleeves are marked as proposed", sheet.returncode == 0 and sum(line.endswith(",proposed") for line in listed) == 4, words(sheet), *listed)

    answer = run("label", "-", "--write", input=BARE.encode())
    expect("label --write of standard input", answer, 2, in_stderr=["can't be changed"], is_silent=True)
    before = snapshot_of(van)
    expect("label --write on a full disk", run("label", str(van), "--write", preexec_fn=lambda: limit_files(512)), 3, in_stderr=["could not be written"], is_silent=True)
    case("the full disk left the old file, and no other", snapshot_of(van) == before)
    link = folder / "link-to-bare.yaml"
    link.symlink_to(van)
    expect("label --write", run("label", str(link), "--write"), 0, in_stdout=["W5", "W6", "Written"])
    wanted = BARE.replace("unlabelled:  # new\n- {", "  W5: {").replace("- {", "  W6: {", 1).replace("# end", "unlabelled:  # new\n# end")
    case("label --write moves the wires, and nothing else", van.read_text(encoding="utf-8") == wanted, van.read_text(encoding="utf-8"))
    case("it keeps the rights and the link", van.stat().st_mode & 0o777 == 0o640 and link.is_symlink())
    case("judged alike before and after", [f["rule"] for f in json.loads(run("judge", str(van), "--json").stdout)["findings"]] ==
         [f["rule"] for f in json.loads(run("judge", "-", "--json", input=BARE.encode()).stdout)["findings"]])
    written = snapshot_of(van)
    expect("label --write again", run("label", str(van), "--write"), 0, in_stdout=["Every wire"])
    case("changes nothing", snapshot_of(van) == written)

    expect("a label in use is not retired", run("label", str(van), "--retire", "P3", "--write"), 2, in_stderr=["`P3` (line 15)", "still there"], is_silent=True)
    expect("what is no label is not retired", run("label", str(van), "--retire", "Pump wire"), 2, in_stderr=["`Pump wire`"], is_silent=True)
    expect("--retire without --write", run("label", str(van), "--retire", "P9"), 0, in_stdout=["P9 can be retired"])
    case("changes nothing either", snapshot_of(van) == written)
    retired = json.loads(run("label", str(van), "--retire", "P9", "--write", "--json").stdout)
    case("--retire --write --json", retired["retired"] == "P9" and retired["labels"] == [] and retired["written"], retired)
    case("it is in the file", b"\nretired: [P9]\n" in van.read_bytes(), van.read_text(encoding="utf-8"))
    van.write_text(van.read_text(encoding="utf-8").replace("  P2: {", "  P9: {"), encoding="utf-8")
    expect("a retired label is refused", run("judge", str(van)), 2, in_stderr=["`P9` is retired"], is_silent=True)

    odd = folder / "odd.yaml"
    odd.write_text(VAN.split("wires:")[0] + "wires: {}\nunlabelled:\n  - from: bank.pos\n    to: fuse.in\n", encoding="utf-8")
    before = snapshot_of(odd)
    expect("a file that can't be changed so", run("label", str(odd), "--write"), 2, in_stderr=["in braces"], is_silent=True)
    case("is left as it is", snapshot_of(odd) == before)


def snapshot_of(path):
    """The file, and the names of what stands beside it."""
    return path.read_bytes(), sorted(other.name for other in path.parent.iterdir())


def label_kills(folder):
    """However it dies, the file is the old one or the new one."""
    van = folder / "kill/van.yaml"
    van.parent.mkdir()
    wires = "".join("  - {from: bank.pos, to: bank.neg, length: 1 m}  # one\n" for _ in range(3000))
    old = VAN.split("wires:")[0].encode() + b"unlabelled:\n" + wires.encode()
    van.write_bytes(old)
    start = time.monotonic()
    expect("label --write of 3,000 wires", run("label", str(van), "--write"), 0)
    whole_s, new = time.monotonic() - start, van.read_bytes()
    case("they have labels", b"W3000: {" in new)
    broken, left = [], []
    for turn in range(20):
        van.write_bytes(old)
        how = signal.SIGKILL if turn % 2 else signal.SIGTERM
        process = subprocess.Popen([LOOMWALL, "label", str(van), "--write"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole_s * (0.3 + 0.7 * turn / 19))
        process.send_signal(how)
        process.wait()
        broken += [] if van.read_bytes() in (old, new) else [turn]
        for stray in van.parent.iterdir():
            if stray == van:
                continue
            left += [stray.name] if how == signal.SIGTERM else []
            stray.unlink()
    case("killed at any moment, the van file is whole", not broken, broken)
    case("told to stop, it leaves nothing beside it", not left, left)


def new_files(folder):
    van = folder / "mine.yaml"
    expect("new writes a file", run("new", str(van)), 0, in_stdout=["mine.yaml", "loomwall judge"])
    case("new to standard output is the same", run("new").stdout == van.read_bytes() == run("new", "-").stdout)
    expect("what new writes is judged open", run("judge", str(van)), 0)
    van.write_text("mine")
    expect("new leaves a file that is there", run("new", str(van)), 2, in_stderr=["is there already"], is_silent=True)
    case("and does not touch it", van.read_text() == "mine")
    link = folder / "link.yaml"
    link.symlink_to(folder / "elsewhere.yaml")
    expect("new does not follow a link", run("new", str(link)), 2, in_stderr=["is there already"], is_silent=True)
    expect("new into a folder that is not there", run("new", str(folder / "no/van.yaml")), 2, in_stderr=["can't be made"], is_silent=True)
    for practice in ("north-america", "europe"):
        for volts in ("12 V", "24V"):
            text = run("new", "--practice", practice, "--voltage", volts, "--name", "Wagtail").stdout
            judged = run("judge", "-", input=text)
            expect(f"new for {practice} at {volts}", judged, 0, in_stdout=["Wagtail"])
            case(f"new for {practice} at {volts} says so", practice.encode() in text and (volts[:2] + " V").encode() in text)
    awkward = run("new", "--name", 'He said: "#1" \\ {van}').stdout
    named = run("judge", "-", "--json", input=awkward)
    case("new with an awkward name", json.loads(named.stdout or b"{}").get("van") == 'He said: "#1" \\ {van}', words(named), awkward.decode()[:300])
    expect("new: a practice mistyped", run("new", "--practice", "mars"), 2, in_stderr=["`north-america`", "`europe`"], is_silent=True)
    expect("new: another voltage", run("new", "--voltage", "48 V"), 2, in_stderr=["12 V or 24 V"], is_silent=True)
    expect("new: a voltage without unit", run("new", "--voltage", "12"), 2, in_stderr=["`12`", "V"], is_silent=True)
    expect("new: a voltage in amperes", run("new", "--voltage", "12 A"), 2, in_stderr=["`12 A`", "V"], is_silent=True)


def mends(folder):
    van = folder / "mend.yaml"
    trips = ROOT / "tests/checks/protector-too-large.trips.yaml"
    van.write_bytes(trips.read_bytes())
    expect("mend lists what can be mended", run("mend", str(van)), 0, in_stdout=["finding 1", "mend 2: make P1 12 AWG"])
    listed = json.loads(run("mend", str(van), "--json").stdout)["findings"]
    case("mend --json", listed and listed[0]["finding"] == 1 and len(listed[0]["mends"]) == 2, listed)
    expect("mend without --write", run("mend", str(van), "--finding", "1"), 0, in_stdout=["make main 20 A", "Nothing is written"])
    case("changes nothing", van.read_bytes() == trips.read_bytes())
    expect("mend of a rule that has none", run("mend", str(van), "--rule", "hidden-joint"), 2, in_stderr=["hidden-joint"], is_silent=True)
    expect("mend number 9", run("mend", str(van), "--finding", "1", "--mend", "9"), 2, in_stderr=["2 mends"], is_silent=True)
    expect("mend - --write", run("mend", "-", "--write", input=trips.read_bytes()), 2, in_stderr=["standard input"], is_silent=True)
    expect("mend --write", run("mend", str(van), "--rule", "protector-too-large", "--where", "wire P3", "--write"), 0, in_stdout=["Written"])
    case("changes one number", van.read_bytes() == trips.read_bytes().replace(b"rating: 35 A", b"rating: 20 A"), van.read_text())


def circuits(folder):
    van = folder / "circuits.yaml"
    expect("new --circuit", run("new", str(van), "--circuit", "fan", "--circuit", "lamp-on-lit-switch:2", "--battery-distance", "2m",
                                "--answer", "fan.draws=20W", "--chemistry", "agm"), 0, in_stdout=["circuits.yaml"])
    case("with what was answered", all(part in van.read_text() for part in ("draws: 20 W", "Ceiling light 2", "chemistry: agm")))
    expect("it judges open", run("judge", str(van)), 0)
    expect("add lists the circuits", run("add", str(van)), 0, in_stdout=["pump-with-lamp", "switch-distance=2 m"])
    before = van.read_bytes()
    expect("add without --write", run("add", str(van), "fridge"), 0, in_stdout=["items: fridge-switch, fridge"])
    case("changes nothing yet", van.read_bytes() == before)
    added = json.loads(run("add", str(van), "fridge", "--answer", "draws=40W", "--write", "--json").stdout)
    case("add --write --json", added["items"] == ["fridge-switch", "fridge"] and added["written"], added)
    case("is in the file", "draws: 40 W" in van.read_text() and all(f"  {label}:" in van.read_text() for label in added["wires"]))
    expect("add: a wrong answer", run("add", str(van), "fridge", "--answer", "draws=3m"), 2, in_stderr=["draws: `3m`"], is_silent=True)
    expect("add: no such circuit", run("add", str(van), "frigde"), 2, in_stderr=["no circuit `frigde`"], is_silent=True)
    expect("new: an answer to nothing", run("new", "--circuit", "fan", "--answer", "pump.draws=2A"), 2, in_stderr=["pump.draws"], is_silent=True)


def edits(folder):
    van = folder / "edited.yaml"
    van.write_text(VAN, encoding="utf-8")
    van.chmod(0o640)
    before = snapshot_of(van)
    sized = run("edit", str(van), "--put", "wires.P3.says=thin: no # yes", "--put", "conditions={hottest: 40 degC}")
    expect("edit prints the file", sized, 0, in_stdout=['says: "thin: no # yes"', "hottest: 40 degC"])
    old, new = VAN.splitlines(), sized.stdout.decode().splitlines()
    case("edit prints all else as it was", all(line in new for line in old if "P3: {" not in line and "hottest" not in line and "coldest" not in line), *new)
    case("edit without --write changes nothing", snapshot_of(van) == before)

    for name, arguments, told in [
        ("a value that can't be", ["--put", "wires.P3.size=9 AWG"], ["edited.yaml:", "error:", "`9 AWG`"]),
        ("a label", ["--rename", "wires.P3=P99"], ["never changes", "add one under another label"]),
        ("what is not there", ["--drop", "wires.P77"], ["`wires.P77`"]),
        ("a value that is not closed", ["--put", "wires.P3.size=[9"], ["close every bracket"]),
        ("a path without a value", ["--put", "wires.P3.size"], ["PATH=VALUE"]),
        ("a move before nothing", ["--move", "items.lamp"], ["PATH=BEFORE"]),
        ("a move before what is not there", ["--move", "items.lamp=lmap"], ["there is no `lmap` beside it"]),
        ("an id that is none", ["--rename", "items.lamp=Lamp 1"], ["`Lamp 1` is not an id"]),
        ("nothing asked", [], ["--put"]),
    ]:
        expect(f"edit refuses {name}", run("edit", str(van), "--write", *arguments), 2, in_stderr=told, is_silent=True)
    case("refused, it leaves the file alone", snapshot_of(van) == before)
    expect("edit --write of standard input", run("edit", "-", "--write", "--drop", "wires.P3", input=VAN.encode()), 2, in_stderr=["can't be changed"], is_silent=True)
    expect("edit --write on a full disk", run("edit", str(van), "--write", "--drop", "wires.P3", preexec_fn=lambda: limit_files(512)), 3, in_stderr=["could not be written"], is_silent=True)
    case("the full disk left the old file", snapshot_of(van) == before)

    told = run("edit", str(van), "--write", "--json", "--drop", "wires.P3", "--wire", "{from: lamp.pos, to: dim.pos, length: 1 m}")
    read = json.loads(told.stdout)
    keys("edit --json: keys", read, ["van", "labels", "changed", "written"])
    case("edit --json tells the new label", len(read["labels"]) == 1 and read["changed"] and read["written"], read)
    text = van.read_text(encoding="utf-8")
    case("the wire is gone and its label retired", "  P3: {" not in text and "retired: [P3]" in text and f"  {read['labels'][0]}: {{" in text, text)
    case("edit keeps the rights", van.stat().st_mode & 0o777 == 0o640)
    expect("edit --rename", run("edit", str(van), "--write", "--rename", "items.lamp=reading-lamp"), 0, in_stdout=["Written to"])
    case("every mention is renamed", "lamp.pos" not in van.read_text(encoding="utf-8").replace("reading-lamp.pos", ""), van.read_text(encoding="utf-8"))
    lines = van.read_text(encoding="utf-8").splitlines()
    expect("edit --move", run("edit", str(van), "--write", "--move", "wires.P4=P2"), 0, in_stdout=["Written to"])
    moved = van.read_text(encoding="utf-8").splitlines()
    labels = [line.split(":")[0].strip() for line in moved if re.match(r"  [PNW]\d+:", line)]
    case("stands before it, and no line is another", labels.index("P4") + 1 == labels.index("P2") and sorted(moved) == sorted(lines), *moved)
    written = snapshot_of(van)
    expect("edit that changes nothing", run("edit", str(van), "--write", "--put", "items.reading-lamp.kind=led-light"), 0, in_stdout=["Nothing to change"])
    case("writes nothing", snapshot_of(van) == written)


def guarded(part, *arguments):
    """A part that dies is a failure, and the others still run."""
    try:
        return part(*arguments)
    except Exception:  # noqa: BLE001 - whatever it was, it is told
        case(f"{part.__name__} runs to its end", False, traceback.format_exc())
        return None


def main():
    with tempfile.TemporaryDirectory(prefix="loomwall-cli-") as name:
        folder = pathlib.Path(name)
        guarded(usage)
        guarded(reading, folder)
        guarded(judge_json)
        guarded(show, folder)
        guarded(catalogue)
        guarded(meter_json, folder)
        guarded(meter_states, folder)
        guarded(meter_refusals, folder)
        guarded(knowledge)
        guarded(terminals)
        guarded(standard_output)
        made = guarded(sheets, folder)
        if made:
            guarded(full_disk, made)
            guarded(kills, made)
        guarded(places, folder)
        guarded(new_files, folder)
        guarded(mends, folder)
        guarded(circuits, folder)
        guarded(labels, folder)
        guarded(label_kills, folder)
        guarded(edits, folder)
    return finish()


if __name__ == "__main__":
    sys.exit(main())
