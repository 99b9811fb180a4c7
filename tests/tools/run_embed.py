#!/usr/bin/env python3
"""Proves that the embedders put in what the files hold, that a misshapen table is refused with its place, that the check
of tables can fail, and that no table, case file or unit was forgotten where they are listed by hand.

Speaks TAP. usage: run_embed.py ROOT CHECK_TABLES
"""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

ROOT = pathlib.Path(sys.argv[1]).resolve()
CHECK_TABLES = pathlib.Path(sys.argv[2]).resolve()
HEADING = "# standard: S 1\n# edition: 2\n# table: T 3\n# how: memory\n# read: by nobody\n# unique: size\n"
COLUMNS = "size:text\tbears_A:number\tspare_A:optional\tgot:how\n"
GOOD = HEADING + COLUMNS + 'a "b"\\\t10\t-\tpublished\nc\t2.5e-3\t7\tmemory\n'

TABLE_MAIN = """
#include "t.h"
#include <stdio.h>
int main(void)
{
    for (int i = 0; i < n_a_table; i++) {
        const row_a_table *r = &table_a_table[i];
        printf("%s %g %g %d\\n", r->size, r->bears_A, r->spare_A, (int)r->got);
    }
    printf("%s %d\\n", source_a_table.document, (int)source_a_table.how);
}
"""
ASSET_MAIN = """
#include "t.h"
#include <stdio.h>
int main(void)
{
    for (int i = 0; i < n_things; i++) {
        printf("%s %zu %d ", things[i].name, things[i].n, things[i].text[things[i].n]);
        fwrite(things[i].text, 1, things[i].n, stdout);
    }
}
"""


def run(*command):
    return subprocess.run([str(word) for word in command], capture_output=True, timeout=60, check=False)


def shape(folder, name, text, said):
    path = folder / "a-table.tsv"
    path.write_text(text)
    answer = run(ROOT / "tools/embed-tables", "--check", path)
    error = answer.stderr.decode()
    case(f"embed-tables: {name}", answer.returncode == 1 and said in error, error)


def tables(folder):
    path = folder / "a-table.tsv"
    path.write_text(GOOD)
    (folder / "main.c").write_text(TABLE_MAIN)
    run(ROOT / "tools/embed-tables", "--header", folder / "t.h", "--source", folder / "t.c", path)
    built = run("cc", "-Wall", "-Werror", f"-I{ROOT}/src", f"-I{folder}", folder / "main.c", folder / "t.c", "-o", folder / "m")
    answer = run(folder / "m").stdout.decode()
    case("embed-tables: what is embedded is what the file says",
         answer == 'a "b"\\ 10 0 0\nc 0.0025 7 3\nS 1, T 3 3\n', built.stderr.decode(), answer)

    rows = "a\t1\t-\tmemory\n"
    shape(folder, "a cell too few", HEADING + COLUMNS + "a\t1\t-\n", "a-table.tsv:8: 3 cells where 4 columns are")
    shape(folder, "a cell too many", HEADING + COLUMNS + "a\t1\t-\tmemory\tx\n", "a-table.tsv:8: 5 cells")
    shape(folder, "no number", HEADING + COLUMNS + "a\t1,5\t-\tmemory\n", "`1,5` in column bears_A is no number")
    shape(folder, "a number that C would read as octal", HEADING + COLUMNS + "a\t010\t-\tmemory\n", "`010`")
    shape(folder, "a dash where a number must be", HEADING + COLUMNS + "a\t-\t-\tmemory\n", "`-` in column bears_A")
    shape(folder, "an unknown origin", HEADING + COLUMNS + "a\t1\t-\thearsay\n", "`hearsay` in column got is no how")
    shape(folder, "a blank at the end of a line", HEADING + COLUMNS + "a\t1\t-\tmemory \n", "a-table.tsv:8: an empty line, or")
    shape(folder, "an empty line", HEADING + COLUMNS + "\n" + rows, "a-table.tsv:8: an empty line")
    shape(folder, "a last line without an end", GOOD[:-1], "the last line does not end")
    shape(folder, "one key twice", HEADING + COLUMNS + rows + rows, "two rows for a")
    shape(folder, "no rows", HEADING + COLUMNS, "no rows")
    shape(folder, "a heading is missing", HEADING.replace("# read: by nobody\n", "") + COLUMNS + rows, "lacks read")
    shape(folder, "a heading that is not known", "# page: 3\n" + HEADING + COLUMNS + rows, "a-table.tsv:1: the heading `page`")
    shape(folder, "a heading below the columns", HEADING + COLUMNS + "# says: x\n" + rows, "a-table.tsv:8: a heading is")
    shape(folder, "a column without a type", HEADING + "size\n" + rows, "a-table.tsv:7: `size` is not `name:type`")
    shape(folder, "an unknown key", HEADING.replace("unique: size", "unique: sise") + COLUMNS + rows, "unique names a column")


def assets(folder):
    (folder / "one.yaml").write_bytes(b"a: 1\n\x00\xff\n")
    (folder / "two words.yaml").write_bytes(b"")
    (folder / "main.c").write_text(ASSET_MAIN)
    command = [ROOT / "tools/embed-asset", "--name", "things", "--header", folder / "t.h", "--source", folder / "t.S",
               folder / "one.yaml", folder / "two words.yaml"]
    run(*command)
    built = run("cc", "-Wall", "-Werror", f"-I{folder}", folder / "main.c", folder / "t.S", "-o", folder / "m")
    answer = run(folder / "m").stdout
    case("embed-asset: byte for byte, with a NUL behind", answer == b"one 8 0 a: 1\n\x00\xff\ntwo words 0 0 ",
         built.stderr.decode(), answer)
    before = (folder / "t.S").read_text()
    (folder / "one.yaml").write_bytes(b"a: 2\n\x00\xff\n")
    run(*command)
    case("embed-asset: a changed asset changes the assembler file", before != (folder / "t.S").read_text())
    wrong = run(ROOT / "tools/embed-asset", "--name", "no-name", "--header", folder / "t.h", "--source", folder / "t.S",
                folder / "one.yaml")
    case("embed-asset: a name that C can't have", wrong.returncode == 2)


def check_of_tables(folder):
    good = run(CHECK_TABLES, ROOT / "data/awg.tsv")
    case("check-tables: table and program agree", good.returncode == 0, good.stdout.decode()[-500:])
    altered = folder / "awg.tsv"
    altered.write_text((ROOT / "data/awg.tsv").read_text().replace("0.1019", "0.1029"))
    answer = run(CHECK_TABLES, altered)
    case("check-tables: one altered figure fails", answer.returncode == 1 and answer.stdout.count(b"\nnot ok") == 1,
         answer.stdout.decode()[-500:])
    shutil.copy(ROOT / "data/awg.tsv", folder / "new.tsv")
    answer = run(CHECK_TABLES, folder / "new.tsv")
    case("check-tables: a table that nothing checks fails", answer.returncode == 1 and b"no check holds" in answer.stdout)
    for name, text in (("none.tsv", None), ("units.tsv", "rubbish\n")):
        if text is not None:
            (folder / name).write_text(text)
        answer = run(CHECK_TABLES, folder / name)
        is_good = answer.returncode != 0
        case(f"check-tables: {name} that is {'rubbish' if text else 'not there'} fails", is_good, answer.stdout.decode())
    case("check-tables: nothing to check fails", run(CHECK_TABLES).returncode != 0)


def lists():
    for folder, ending, build in (("data", "tsv", "tests/tables"), ("expect", "expect", "tests/expect")):
        listed = (ROOT / build / "meson.build").read_text()
        forgotten = [path.name for path in (ROOT / folder).glob(f"*.{ending}") if f"{folder}/{path.name}'" not in listed]
        case(f"{build}/meson.build lists all of {folder}/", not forgotten, forgotten)
    units = re.findall(r'^#define UNITS_(\w+)|X\(D, "([^"]+)"', (ROOT / "src/units/unit.h").read_text(), re.MULTILINE)
    in_program, dimension = {}, None
    for head, unit in units:
        if head:
            dimension = in_program.setdefault({"AREA": "cross-section"}.get(head, head.lower()), [])
        else:
            dimension.append(unit)
    rows = re.findall(r"^\| ([a-z-]+) \| (`[^|]+`) \|", (ROOT / "docs/units.md").read_text(), re.MULTILINE)
    in_manual = {name: [unit for unit in re.findall("`([^`]+)`", units) if unit != "AWG"] for name, units in rows}
    in_program = {name: units for name, units in in_program.items() if units}
    case("docs/units.md lists the units of the program", in_manual == in_program and len(rows) > 10, in_manual, in_program)


def main():
    with tempfile.TemporaryDirectory(prefix="loomwall-embed-") as name:
        for part in (tables, assets, check_of_tables):
            part(pathlib.Path(name))
    lists()
    return finish()


if __name__ == "__main__":
    sys.exit(main())
