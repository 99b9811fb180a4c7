#!/usr/bin/env python3
"""Writes a van of so many switched circuits, for measuring how cost grows with size.

A circuit is a slot of a fuse block, a lit switch, a light and two returns: four wires. Blocks and return bars of sixteen hang on one
battery through one main fuse. The lights are small, so that a thousand of them are still a load that a battery bears.

usage: make_van.py CIRCUITS
"""

import sys

IN_A_BLOCK = 16


def block_count(circuits):
    return -(-circuits // IN_A_BLOCK)


def items(circuits):
    blocks = block_count(circuits)
    yield "bank: {kind: battery, chemistry: lfp, capacity: 2000 Ah, voltage: 12 V}"
    yield "main-fuse: {kind: fuse, rating: 200 A, style: class-t}"
    yield f"feeds: {{kind: busbar, studs: {blocks + 1}, rating: 600 A}}"
    yield f"returns: {{kind: busbar, studs: {blocks + 1}, rating: 600 A}}"
    for block in range(blocks):
        slots = ", ".join(["5 A"] * IN_A_BLOCK)
        yield f"fuses-{block}: {{kind: fuse-block, slots: [{slots}]}}"
        yield f"bar-{block}: {{kind: busbar, studs: {2 * IN_A_BLOCK + 1}}}"
    for circuit in range(circuits):
        yield f"switch-{circuit}: {{kind: lit-switch}}"
        yield f"light-{circuit}: {{kind: led-light, draws: 1 W}}"


def wire(start, end, length, size, colour):
    return f"{{from: {start}, to: {end}, length: {length} m, size: {size} AWG, colour: {colour}}}"


def wires(circuits):
    blocks = block_count(circuits)
    yield wire("bank.pos", "main-fuse.in", 0.15, "4/0", "red")
    yield wire("main-fuse.out", "feeds.1", 0.5, "4/0", "red")
    yield wire("returns.1", "bank.neg", 0.5, "4/0", "black")
    for block in range(blocks):
        yield wire(f"feeds.{block + 2}", f"fuses-{block}.in", 1.5, "6", "red")
        yield wire(f"bar-{block}.1", f"returns.{block + 2}", 1.5, "6", "black")
    for circuit in range(circuits):
        block, slot = divmod(circuit, IN_A_BLOCK)
        length = 2 + circuit % 7 / 2
        yield wire(f"fuses-{block}.{slot + 1}", f"switch-{circuit}.feed", length, "16", "red")
        yield wire(f"switch-{circuit}.out", f"light-{circuit}.pos", length, "16", "red")
        yield wire(f"light-{circuit}.neg", f"bar-{block}.{2 * slot + 2}", length, "16", "black")
        yield wire(f"switch-{circuit}.lamp-return", f"bar-{block}.{2 * slot + 3}", length, "18", "black")


def text(circuits):
    lines = ["loomwall: 1", f"name: {circuits} circuits", "practice: north-america",
             "conditions: {hottest: 40 degC, coldest: 0 degC}", "items:"]
    lines += ["  " + item for item in items(circuits)]
    lines.append("wires:")
    lines += [f"  W{number}: {wire_text}" for number, wire_text in enumerate(wires(circuits), 1)]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    if len(sys.argv) != 2 or not sys.argv[1].isdigit() or int(sys.argv[1]) < 1:
        sys.exit(__doc__)
    sys.stdout.write(text(int(sys.argv[1])))
