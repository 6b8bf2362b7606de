"""Prints sheets by a browser, and looks at the paper: how many pages, whether each nozzle is on it once, in order, with a row
that is high enough, and whether anything runs into the margins.

    python3 tests/sheet/run.py PROGRAM

The browser is CHROMIUM, or that of the machine. Needs pdfinfo, pdftotext and pdftoppm.
"""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
DAY = "2026-06-01"
# In points, by the papers' standards: ANSI A and ISO 216.
PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
POINTS_PER_MM = 72 / 25.4
# The numbers of nozzles are in letters of 13 points, the title in larger ones, all else in smaller ones.
NUMBER_HIGH = 13.0
# Nothing but the lines at the foot may stand so near an edge.
WHITE_MM = 4.0
BROWSER = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
]
SETUPS = {
    "us": ["--nozzle", "06", "--pressure", "36 psi", "--speed", "4.2 mph", "--rate", "40 gal/acre"],
    "si": ["--units", "si", "--nozzle", "2.4 L/min at 3 bar", "--pressure", "2.5 bar", "--speed", "6 km/h"],
}
# Sections, nozzles in each, the pages it may take, and the least height of a row in millimeters.
BOOMS = [(1, "7", 1, 9.0), (3, "2,3,2", 1, 9.0), (5, "3", 1, 9.0), (9, "5", 2, 9.0), (15, "6", 3, 9.0)]
# A machine that was sold has nothing to test.
OUT_OF_SERVICE = ["dowitcher"]
CONTROLS = {
    "console": ["--control", "flow", "--speed-source", "wheel"],
    "plain": ["--control", "pressure", "--speed-source", "none"],
}


def browser():
    named = os.environ.get("CHROMIUM")
    found = [name for name in ("chromium", "chromium-browser", "google-chrome") if shutil.which(name)]
    if not named and not found:
        sys.exit("missing: a browser; install Chromium, or name one in CHROMIUM")
    return named or found[0]


def printed(command, **more):
    return subprocess.run(command, check=True, capture_output=True, text=True, **more).stdout


def sheet(program, folder, machine, paper, setup=None):
    setup = ["--setup", setup] if setup else []
    return printed([program, "sheet", machine, "--date", DAY, "--paper", paper, *setup], cwd=folder)


def as_pdf(html, folder):
    page, pdf = folder / "sheet.html", folder / "sheet.pdf"
    page.write_text(html)
    pdf.unlink(missing_ok=True)
    with tempfile.TemporaryDirectory() as profile:
        words = [*BROWSER, f"--user-data-dir={profile}", f"--print-to-pdf={pdf}", page.as_uri()]
        printed([browser(), *words])
    return pdf


def pages(pdf):
    return int(re.search(r"^Pages: +(\d+)", printed(["pdfinfo", pdf]), re.M).group(1))


def words(pdf):
    """Each word of the paper: page, text, left, top, right, bottom, in points."""
    found, page = [], 0
    number = r'"(-?[\d.]+)"'
    word = re.compile(rf"<word xMin={number} yMin={number} xMax={number} yMax={number}>(.*)</word>")
    for line in printed(["pdftotext", "-bbox", pdf, "-"]).splitlines():
        page += "<page " in line
        match = word.search(line)
        if match:
            *box, text = match.groups()
            found.append((page, text, *map(float, box)))
    return found


def nozzle_rows(pdf, paper):
    """Where the number of each nozzle stands, down each column of each page; nothing else on the paper is so large."""
    middle = PAPERS[paper][0] / 2
    large = [word for word in words(pdf) if re.fullmatch(r"\d+", word[1]) and NUMBER_HIGH < word[5] - word[3]]
    return sorted(large, key=lambda word: (word[0], middle < word[2], word[3]))


def ink_in_margins(pdf, folder, paper):
    """Dark points within the margins, where a box would run that is cut."""
    for old in folder.glob("page-*.pgm"):
        old.unlink()
    printed(["pdftoppm", "-gray", "-r", "60", pdf, folder / "page"])
    dark = 0
    for picture in sorted(folder.glob("page-*.pgm")):
        data = picture.read_bytes()
        head = re.match(rb"P5\s(\d+) (\d+)\s255\s", data)
        width, height = int(head.group(1)), int(head.group(2))
        data = data[head.end() :]
        edge = int(WHITE_MM / 25.4 * 60)
        for row in range(height):
            line = data[row * width : (row + 1) * width]
            outer = line if row < edge or height - edge <= row else line[:edge] + line[-edge:]
            dark += sum(point < 200 for point in outer)
    return dark


def look(what, html, folder, paper, most_pages, count, least_mm):
    pdf = as_pdf(html, folder)
    faults = []
    taken = pages(pdf)
    if most_pages < taken:
        faults.append(f"{taken} pages, not {most_pages}")
    size = re.search(r"^Page size: +([\d.]+) x ([\d.]+)", printed(["pdfinfo", pdf]), re.M).groups()
    if any(1 < abs(float(is_now) - wanted) for is_now, wanted in zip(size, PAPERS[paper])):
        faults.append(f"paper of {size} points")
    rows = nozzle_rows(pdf, paper)
    if [int(row[1]) for row in rows] != list(range(1, count + 1)):
        faults.append(f"nozzles {[row[1] for row in rows]}, not 1 to {count}")
    steps = [b[3] - a[3] for a, b in zip(rows, rows[1:]) if a[0] == b[0] and a[3] < b[3]]
    lowest = min(steps, default=1000) / POINTS_PER_MM
    if lowest < least_mm - 0.1:
        faults.append(f"a row of {lowest:.1f} mm, not {least_mm}")
    width, height = PAPERS[paper]
    out = [word[1] for word in words(pdf) if word[2] < 0 or word[3] < 0 or width < word[4] or height < word[5]]
    if out:
        faults.append(f"words beyond the edge: {out}")
    dark = ink_in_margins(pdf, folder, paper)
    if dark:
        faults.append(f"{dark} dark points in the margins")
    print(f"{what} on {paper}: {taken} pages, rows of {lowest:.1f} mm" + "".join(f"; FAULT: {fault}" for fault in faults))
    return faults


def demo(program):
    """Every setup of the demo fleet: machine, setup, and how many nozzles."""
    fleet = ROOT / "fixtures/saltmere"
    for file in sorted((fleet / "machines").glob("*.yaml")):
        if file.stem in OUT_OF_SERVICE:
            continue
        text = file.read_text()
        count = sum(int(number) for number in re.findall(r"nozzles: (\d+)", text))
        for setup in re.findall(r"^  ([a-z-]+): \{.*nozzle", text.split("\nsetups:")[1], re.M):
            yield fleet, file.stem, setup, count


def booms(program, folder):
    for sections, nozzles, most_pages, least in BOOMS:
        each = [int(number) for number in nozzles.split(",")]
        count = sum(each) if 1 < len(each) else sections * each[0]
        for units, setup in SETUPS.items():
            for control, options in CONTROLS.items():
                records = folder / f"{units}-{control}-{sections}-{nozzles}"
                valves = ["--section-valves", "bypass"] if 1 < sections else []
                start = [program, "start", records, "--by", "rm", "--machine", "sprayer-1", "--sections", str(sections)]
                printed([*start, "--nozzles", nozzles, *options, *valves, *setup])
                yield records, f"{units} {control} {sections} x {nozzles}", most_pages, count, least


def main(program):
    program = str(pathlib.Path(program).resolve())
    missing = [tool for tool in ("pdfinfo", "pdftotext", "pdftoppm") if not shutil.which(tool)]
    if missing:
        sys.exit(f"missing: {', '.join(missing)}; install poppler-utils")
    faults, seen = [], 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for paper in PAPERS:
            for records, machine, setup, count in demo(program):
                html = sheet(program, records, machine, paper, setup)
                least = 9.0 if count <= 15 else 7.0
                faults += look(f"{machine} {setup}", html, folder, paper, 1, count, least)
                seen += 1
        for records, what, most_pages, count, least in booms(program, folder):
            for paper in PAPERS:
                html = sheet(program, records, "sprayer-1", paper)
                faults += look(what, html, folder, paper, most_pages, count, least)
                seen += 1
    if faults or seen < 40:
        sys.exit(f"{len(faults)} faults in {seen} sheets")
    print(f"{seen} sheets, nothing cut")


if __name__ == "__main__":
    main(*sys.argv[1:])
