#!/usr/bin/env python3
"""Proves that the checks of the house can fail: each is run on a small tree that is right, then on one that is not.

Speaks TAP. usage: run_tools.py ROOT
"""

import importlib.machinery
import importlib.util
import pathlib
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

ROOT = pathlib.Path(sys.argv[1]).resolve()


def tree(folder, tool, files):
    """A folder that holds a copy of the tool and these files, as a git work tree."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "tools").mkdir(parents=True)
    shutil.copy(ROOT / "tools" / tool, folder / "tools" / tool)
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    subprocess.run(["git", "init", "-q", str(folder)], check=True)
    return folder / "tools" / tool


def check(folder, tool, name, files, status, said):
    answer = subprocess.run([str(tree(folder, tool, files))], capture_output=True, text=True, timeout=60, check=False)
    case(f"{tool}: {name}", answer.returncode == status and said in answer.stdout, answer.stdout, answer.stderr)


LAYERS_GOOD = {
    "src/base/text.h": "",
    "src/units/units.h": '#include "base/text.h"\n',
    "src/circuit/net.c": '#include "units/units.h"\n',
    "src/draw/draw.h": '#include "base/text.h"\n',
    "src/sheets/sheets.c": '#include "draw/draw.h"\n#include "circuit/net.h"\n',
    "src/api/api.c": '#include "loomwall/loomwall.h"\n#include "sheets/sheets.h"\n',
    "app/cli/main.c": '#include "loomwall/loomwall.h"\n#include "base/text.h"\n',
    "include/loomwall/loomwall.h": "",
}
WORDS_GOOD = {
    "src/a.c": 'const char *s = "This never says that an installation is safe.";\n',
    "README.md": "See [the other](docs/other.md).\n",
    "docs/other.md": "It is not known whether it complies with anything.\n",
}


def layers(folder):
    def changed(**files):
        return {**LAYERS_GOOD, **{name.replace("__", "/").replace("_DOT_", "."): text for name, text in files.items()}}

    check(folder, "check-layers", "a house in order", LAYERS_GOOD, 0, "point the right way")
    check(folder, "check-layers", "an empty one", {"src/base/README": ""}, 1, "no sources found")
    check(folder, "check-layers", "base may not use units", changed(src__base__text_DOT_h='#include "units/units.h"\n'), 1,
          "src/base/text.h:1: base may not use units")
    check(folder, "check-layers", "circuit may not use read", changed(src__circuit__net_DOT_c='\n#include "read/read.h"\n'), 1,
          "src/circuit/net.c:2: circuit may not use read")
    check(folder, "check-layers", "draw knows no units", changed(src__draw__draw_DOT_h='#include "units/units.h"\n'), 1,
          "draw may not use units")
    check(folder, "check-layers", "circuit may not draw", changed(src__circuit__net_DOT_c='#include "draw/draw.h"\n'), 1,
          "circuit may not use draw")
    check(folder, "check-layers", "the command line goes through the library",
          changed(app__cli__main_DOT_c='#include "model/van.h"\n'), 1, "cli may not use model")
    check(folder, "check-layers", "public headers stand alone",
          changed(include__loomwall__loomwall_DOT_h='#include "base/text.h"\n'), 1, "loomwall may not use base")
    check(folder, "check-layers", "a folder without a place", changed(src__magic__wand_DOT_c=""), 1, "no place")


def words(folder):
    check(folder, "check-words", "texts that promise nothing", WORDS_GOOD, 0, "promise nothing")
    for promise in ("The installation is safe.", "This complies with the code.", "Your wiring is fully compliant."):
        check(folder, "check-words", f"`{promise}`", {**WORDS_GOOD, "src/a.c": f'const char *s = "{promise}";\n'}, 1,
              "src/a.c:1: promises too much")
    check(folder, "check-words", "a link that leads nowhere", {**WORDS_GOOD, "README.md": "\n[x](docs/none.md)\n"}, 1,
          "README.md:2: leads nowhere: `docs/none.md`")
    check(folder, "check-words", "no texts at all", {}, 1, "no texts found")


def counting():
    loader = importlib.machinery.SourceFileLoader("run_tests", str(ROOT / "tools" / "run-tests"))
    sys.dont_write_bytecode = True
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader("run_tests", loader))
    loader.exec_module(module)
    for name, test, wanted in [
        ("TAP lines are counted", ("1..3\nok 1 - a\nnot ok 2 - b\nok 3\n", "FAIL"), (2, 1, 0)),
        ("a skipped case is neither", ("1..2\nok 1 - a # SKIP no tool\nok 2 - b\n", "OK"), (1, 0, 1)),
        ("words that start like TAP are not", ("okay then\nnot okay\nok 1\n1..1\n", "OK"), (1, 0, 0)),
        ("a crash after good cases fails", ("ok 1 - a\n", "ERROR"), (1, 1, 0)),
        ("a time-out fails", ("", "TIMEOUT"), (0, 1, 0)),
        ("a program without TAP is one case", ("", "OK"), (1, 0, 0)),
        ("and fails as one", ("", "FAIL"), (0, 1, 0)),
    ]:
        counted = module.cases({"stdout": test[0], "result": test[1]})
        case(f"run-tests: {name}", counted == wanted, counted)


def main():
    with tempfile.TemporaryDirectory(prefix="loomwall-tools-") as name:
        folder = pathlib.Path(name) / "tree"
        layers(folder)
        words(folder)
    counting()
    answer = subprocess.run([str(ROOT / "tools/setup"), "everything"], capture_output=True, text=True, timeout=60, check=False)
    case("setup: an unknown set", answer.returncode == 2 and "usage" in answer.stderr)
    return finish()


if __name__ == "__main__":
    sys.exit(main())
