#!/usr/bin/env python3
"""Reads build books back with Poppler and speaks TAP.

Every page is exactly the paper asked for; the sheets are numbered, dated and carry the revision; contents and bookmarks
name the sheets where they are; the index is held against the pages both ways; the bar of 100 mm measures that on the
print; the same van gives the same bytes; no page is overfull.

usage: run_book.py LOOMWALL ROOT
"""

import collections
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from tap import case, finish  # noqa: E402

loomwall, root = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2])
sys.path.insert(0, str(root / "bench"))
import make_van  # noqa: E402

EXAMPLES = ["first-lamp", "heron", "heron-draft", "starling"]
CIRCUITS = [5, 20, 200]
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
DATE = "2026-11-25"
POINT_MM = 25.4 / 72
EDGE_MM = 4.5  # the zones stand in a band of 5 mm outside the border, which is 10 mm from the edge (ISO 5457)
DPI = 254  # ten pixels are a millimetre


def output(*command):
    return subprocess.run([str(word) for word in command], capture_output=True, check=True, timeout=300).stdout


def bind(van, folder, *options):
    output(loomwall, "sheets", van, "--book", "--out", folder, "--date", DATE, *options)
    return folder / "book.pdf"


Word = collections.namedtuple("Word", "text left top right bottom")
Page = collections.namedtuple("Page", "width height words")


def pages_of(pdf):
    """Words with their boxes in mm, page by page."""
    text = output("pdftotext", "-bbox", pdf, "-").decode()
    text = text[text.index("<body>"):text.index("</body>") + len("</body>")]
    return [Page(float(page.get("width")) * POINT_MM, float(page.get("height")) * POINT_MM,
                 [Word(word.text or "", *(float(word.get(key)) * POINT_MM for key in ("xMin", "yMin", "xMax", "yMax")))
                  for word in page.iter("word")])
            for page in ElementTree.fromstring(text).iter("page")]


def drawn_order(pdf):
    """The text of each page in the order in which it was drawn."""
    return output("pdftotext", "-raw", pdf, "-").decode().split("\f")[:-1]


def closed_up(text):
    """Without spaces: a name that is broken over two lines reads as one."""
    return re.sub(r"\s", "", text)


def with_links(pdf):
    return output("pdftohtml", "-xml", "-i", "-stdout", pdf).decode(errors="replace")


def bookmarks(xml):
    """(title, page) of the upper level."""
    if "<outline>" not in xml:
        return []
    body = xml[xml.index("<outline>"):xml.rindex("</outline>") + len("</outline>")]
    return [(item.text, int(item.get("page"))) for item in ElementTree.fromstring(body).findall("item")]


def sheets_in(marks, n_pages):
    """{title: pages}, from 1."""
    ends = [page for _, page in marks[1:]] + [n_pages + 1]
    return {title: range(first, end) for (title, first), end in zip(marks, ends)}


def check_pages(name, pages, paper, revision):
    sizes = {tuple(sorted((round(page.width, 1), round(page.height, 1)))) for page in pages}
    case(f"{name}: every page is {paper}", sizes == {PAPERS[paper]}, sizes)
    wrong = []
    for number, page in enumerate(pages, 1):
        text = "".join(word.text for word in page.words)
        if not all(part in text for part in (f"sheet{number}of{len(pages)}", DATE, revision)):
            wrong.append(number)
    case(f"{name}: every page has its number, the date and the revision", not wrong, wrong)
    outside = [(number, word.text) for number, page in enumerate(pages, 1) for word in page.words
               if word.left < EDGE_MM or word.top < EDGE_MM or word.right > page.width - EDGE_MM
               or word.bottom > page.height - EDGE_MM]
    case(f"{name}: nothing stands outside the frame", not outside, outside)


def check_contents(name, texts, sheets):
    text = "".join(closed_up(texts[page - 1]) for page in sheets["Contents"])
    wrong = [title for title, pages in sheets.items()
             if closed_up(title + (f"{pages[0]}to{pages[-1]}" if len(pages) > 1 else f"{pages[0]}")) not in text]
    case(f"{name}: the contents say what the bookmarks say", not wrong, wrong)
    wrong = [title for title, pages in sheets.items() for page in pages if closed_up(title) not in closed_up(texts[page - 1])]
    case(f"{name}: each bookmark leads to its sheet", len(sheets) > 7 and not wrong, wrong)


def pages_named(index, entry):
    """The numbers that stand behind an entry of the index."""
    spaced = r"\s*".join(re.escape(letter) for letter in closed_up(entry))
    found = re.search(rf"(?m)^{spaced}\s+((?:\d+,\s*)*\d+)$", index)
    return {int(number) for number in re.findall(r"\d+", found[1])} if found else set()


def check_wires(name, wires, texts, sheets, index):
    words = [set(text.split()) for text in texts]
    drawings = {page for title, pages in sheets.items() for page in pages
                if title.startswith(("Circuit", "Back of", "Connection", "Sleeve"))}
    wrong = []
    for wire in wires:
        named, label = pages_named(index, wire["label"]), wire["label"]
        there = {page for page in drawings if label in words[page - 1]}
        absent = [page for page in named if label not in texts[page - 1]]
        if named & drawings != there or absent or not there:
            wrong.append(f"{label}: the index says {sorted(named)}, the sheets {sorted(there)}, absent from {absent}")
    case(f"{name}: the index has each wire where it is, and nowhere else", wires and not wrong, "\n".join(wrong))


def check_items(name, items, texts, sheets, index):
    pages = [closed_up(text) for text in texts]
    wrong = []
    for item in items:
        called = item["name"] or item["id"]
        named = pages_named(index, called if called == item["id"] else called + item["id"])
        listed = {page for page in sheets["Connection list"] if closed_up(f"{called}{item['id']},{item['kind']}") in pages[page - 1]}
        absent = [page for page in named if closed_up(called) not in pages[page - 1] and item["id"] not in texts[page - 1]]
        if not listed <= named or absent or not named:
            wrong.append(f"{called}: the index says {sorted(named)}, listed on {sorted(listed)}, absent from {absent}")
    case(f"{name}: the index has each item where it is", items and not wrong, "\n".join(wrong))


def check_findings(name, van, texts, sheets):
    judged = subprocess.run([loomwall, "judge", van, "--json"], capture_output=True, check=False).stdout
    text = "".join(closed_up(texts[page - 1].partition("Low voltage, high")[0]) for page in sheets["Findings and decisions"])
    cover = "".join(closed_up(texts[page - 1]) for page in sheets["Cover"])
    judgement = json.loads(judged)
    lacking = [finding["says"] for finding in judgement["findings"]
               for part in (finding["rule"], finding["says"], finding["source"], finding["remedy"], finding.get("decided", {}).get("why", ""))
               if closed_up(part) not in text]
    case(f"{name}: every finding with its source, remedy and decision", not lacking, "\n".join(lacking))
    lacking = [finding["rule"] for finding in judgement["findings"]
               if finding["grade"] in ("stop", "mind") and closed_up(finding["rule"] + ":" + ", ".join(finding["where"])) not in cover]
    case(f"{name}: the cover names what shuts a gate and what was decided", not lacking, "\n".join(lacking))
    lacking = [gate["gate"] for gate in judgement["gates"] if gate["gate"].upper() + ("open" if gate["open"] else "SHUT") not in cover]
    case(f"{name}: the cover shows the gates as they are judged", not lacking, lacking)


def check_links(name, xml, sheets, index):
    """A number of the index, and a title of the contents, leads to its sheet."""
    pages = dict(zip(re.findall(r'<page number="(\d+)"', xml), re.split(r"<page ", xml)[1:]))
    links = re.findall(r'<a href="[^"]*?#?(\d*)">([^<]*)</a>', "".join(pages[str(page)] for page in sheets["Index"]))
    wrong = [link for link in links if link[0] not in re.findall(r"\d+", link[1])]
    n_numbers = len(re.findall(r"\d+,", index))
    case(f"{name}: the numbers of the index lead to their sheets", len(links) >= n_numbers and links and not wrong, wrong, f"{len(links)} links, {n_numbers} numbers")
    contents = "".join(pages[str(page)] for page in sheets["Contents"])
    lacking = [title for title, those in sheets.items() if f'#{those[0]}">{title}<' not in contents]
    case(f"{name}: each title of the contents leads to its sheet", not lacking, lacking)


def bar_mm(pdf, number, page):
    """Length of the scale bar: the longest dark run above its words."""
    head = next(word for word, after in zip(page.words, page.words[1:]) if (word.text, after.text) == ("100", "mm."))
    _, size, _, pixels = output("pdftoppm", "-r", DPI, "-gray", "-f", number, "-l", number, pdf).split(b"\n", 3)
    width, longest = int(size.split()[0]), 0
    for y in range(int(head.top * 10) - 50, int(head.bottom * 10)):
        row = pixels[y * width:(y + 1) * width]
        dark = "".join("x" if value < 128 else " " for value in row[int(head.left * 10) - 20:int(head.left * 10) + 1050])
        longest = max([longest] + [len(run) for run in dark.split()])
    return longest / 10


def check_scale(name, pdf, pages, sheets):
    number = sheets["Sleeve labels"][0]
    length = bar_mm(pdf, number, pages[number - 1])
    case(f"{name}: the bar of 100 mm measures {length} mm", abs(length - 100) <= 0.2)
    lacking = [page for page in sheets["Sleeve labels"] if "1:1" not in [word.text for word in pages[page - 1].words]]
    case(f"{name}: every sheet of sleeves says its scale", not lacking, lacking)


def check_book(name, van, pdf, paper):
    pages, texts, xml = pages_of(pdf), drawn_order(pdf), with_links(pdf)
    marks = bookmarks(xml)
    shown = json.loads(output(loomwall, "show", van, "--json"))
    sheets = sheets_in(marks, len(pages))
    case(f"{name}: the book has its parts", {"Cover", "Cautions", "Contents", "Circuit diagram", "Findings and decisions", "Index"} <= set(sheets), marks)
    index = "\n".join(texts[page - 1] for page in sheets["Index"])
    check_pages(name, pages, paper, shown["own_revision"])
    check_contents(name, texts, sheets)
    check_wires(name, shown["wires"], texts, sheets, index)
    check_items(name, shown["items"], texts, sheets, index)
    check_findings(name, van, texts, sheets)
    check_links(name, xml, sheets, index)
    check_scale(name, pdf, pages, sheets)
    said = " ".join(texts).lower()
    claims = [claim for claim in ("is safe", "complies", "compliant", "approved") if claim in said]
    case(f"{name}: nothing is said to be safe or to comply", not claims, claims)


def main():
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        for name in EXAMPLES:
            van = root / "examples" / name / f"{name}.yaml"
            for paper in PAPERS:
                check_book(f"{name} on {paper}", van, bind(van, folder / f"{name}-{paper}", "--paper", paper), paper)
        heron = root / "examples/heron/heron.yaml"
        again = bind(heron, folder / "again", "--paper", "a4").read_bytes()
        case("heron: twice the same bytes", again == (folder / "heron-a4/book.pdf").read_bytes())
        whole = folder / "whole"
        output(loomwall, "sheets", heron, "--out", whole, "--date", DATE)
        case("heron: the book of the set is the same book", (whole / "book.pdf").read_bytes() == bind(heron, folder / "alone").read_bytes())
        for circuits in CIRCUITS:
            van = folder / f"{circuits}.yaml"
            van.write_text(make_van.text(circuits))
            check_book(f"{circuits} circuits", van, bind(van, folder / str(circuits)), "letter")
    return finish()


if __name__ == "__main__":
    sys.exit(main())
