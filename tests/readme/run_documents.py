#!/usr/bin/env python3
"""Runs what the documents show, and speaks TAP.

A block that is fenced as ```yaml NAME is a file: it is written to an empty folder, and if examples/ holds a file of that
name it must be the same. A block fenced as ```console holds commands after "$ " and their true output, run in that
folder one after the other; "..." on a line of its own stands for any lines. A block fenced as ```sh holds calls of make:
their targets must exist.

The picture in README is a page of the sheets of examples/heron, to the byte: `make picture` draws it anew.

usage: run_documents.py LOOMWALL ROOT DOCUMENT...
"""

import os
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

PICTURE, PICTURE_PAGE, PICTURE_DATE = "docs/pictures/heron-diagram.svg", "diagram-2.svg", "2026-05-09"

FENCE = re.compile(r"^```(\w+)?[ ]*(\S*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def commands(block):
    """(command, shown output) for each "$ " line of a console block."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, shown = part.partition("\n")
        yield command, shown


def matches(shown, output):
    pattern = "(?:.*\n)*?".join(re.escape(piece) for piece in re.split(r"^\.\.\.\n", shown, flags=re.MULTILINE))
    return re.fullmatch(pattern, output) is not None


def run_document(document, root, environment):
    text = (root / document).read_text()
    with tempfile.TemporaryDirectory() as folder:
        status, n_run = 0, 0
        (pathlib.Path(folder) / "examples").symlink_to(root / "examples")
        for language, name, block in FENCE.findall(text):
            if language == "yaml" and name:
                (pathlib.Path(folder) / name).write_text(block)
                for kept in root.glob(f"examples/*/{name}"):
                    case(f"{document}: {name} is {kept.relative_to(root)}", kept.read_text() == block, "they differ")
            elif language == "console":
                for command, shown in commands(block):
                    run = subprocess.run(
                        ["sh", "-c", f"(exit {status}); {command}"], cwd=folder, env=environment,
                        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=120, check=False,
                    )
                    status, n_run = run.returncode, n_run + 1
                    case(f"{document}: {command.replace('#', '')}", matches(shown, run.stdout), run.stdout)
            elif language == "sh":
                for target in re.findall(r"^make (\w+)", block, flags=re.MULTILINE):
                    has = re.search(rf"^{target}:", (root / "Makefile").read_text(), flags=re.MULTILINE)
                    case(f"{document}: make {target} exists", bool(has))
        case(f"{document}: shows something that was run", n_run > 0)


def check_picture(root, environment):
    with tempfile.TemporaryDirectory() as folder:
        draw = ["loomwall", "sheets", root / "examples/heron/heron.yaml", "--out", folder, "--only", "diagram",
                "--date", PICTURE_DATE]
        run = subprocess.run(draw, env=environment, capture_output=True, text=True, timeout=120, check=False)
        page = pathlib.Path(folder) / PICTURE_PAGE
        is_same = page.exists() and page.read_bytes() == (root / PICTURE).read_bytes()
        case(f"{PICTURE} is {PICTURE_PAGE} of heron", is_same, run.stderr or "draw it anew with `make picture`")


def main():
    loomwall, root = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    environment = dict(os.environ, PATH=f"{loomwall.parent}:{os.environ['PATH']}", LC_ALL="C")
    for document in sys.argv[3:]:
        run_document(document, root, environment)
    check_picture(root, environment)
    return finish()


if __name__ == "__main__":
    sys.exit(main())
