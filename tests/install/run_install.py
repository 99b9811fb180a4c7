#!/usr/bin/env python3
"""Installs into an empty folder, as a packager would, and uses what landed there. Speaks TAP.

usage: run_install.py BUILD-FOLDER
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

BUILD = sys.argv[1]


def run(*command, **options):
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False, **options)


def prefix_of_build():
    options = json.loads(run("meson", "introspect", "--buildoptions", BUILD).stdout)
    return next(option["value"] for option in options if option["name"] == "prefix")


def main():
    with tempfile.TemporaryDirectory(prefix="loomwall-install-") as name:
        answer = run("meson", "install", "-C", BUILD, "--no-rebuild", "--destdir", name)
        case("it installs", answer.returncode == 0, answer.stdout, answer.stderr)
        there = pathlib.Path(name + prefix_of_build())
        for path in ("bin/loomwall", "share/man/man1/loomwall.1", "share/bash-completion/completions/loomwall",
                     "share/zsh/site-functions/_loomwall", "share/doc/loomwall/README.md", "share/doc/loomwall/LICENSE",
                     "share/doc/loomwall/docs/architecture.md", "share/doc/loomwall/examples/heron/heron.yaml"):
            case(f"there is {path}", (there / path).is_file())
        outside = [path for path in pathlib.Path(name).rglob("*") if path.is_file() and there not in path.parents]
        case("nothing lands outside the prefix", not outside, outside)
        elsewhere = {"PATH": os.environ["PATH"], "HOME": name}
        judged = run(str(there / "bin/loomwall"), "judge", str(there / "share/doc/loomwall/examples/heron/heron.yaml"),
                     cwd=name, env=elsewhere)
        case("what was installed judges what was installed", judged.returncode == 0, judged.stderr)
        script = f"source {there}/share/bash-completion/completions/loomwall; COMP_WORDS=(loomwall ju); COMP_CWORD=1; _loomwall; echo ${{COMPREPLY[@]}}"
        completed = run("bash", "-c", script)
        case("bash completes a command", completed.stdout.split() == ["judge"], completed.stdout, completed.stderr)
    return finish()


if __name__ == "__main__":
    sys.exit(main())
