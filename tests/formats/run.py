"""Holds every format of a report to validators that are not ours, from the demo fleet and from hostile records.

    python3 tests/formats/run.py PROGRAM

Installs what it needs (requirements.txt) into a folder below target/, and says so where it cannot. Python 3.11 or later.

- sarif-2.1.0.json: the schema of the standard (OASIS, errata 01), as the npm package @microsoft/jest-sarif 1.0.0-beta.0
  carries it (MIT).
- junit-10.xsd: the schema of one reader, as the source archive of the package pytest 8.3.4 carries it (MIT, see its head).
- code-quality.json: ours, of what the widgets say they read.
"""

import hashlib
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import urllib.parse

HERE = pathlib.Path(__file__).resolve().parent
PROJECT = HERE.parent.parent
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", PROJECT / "target"))
FORMATS = ["sarif", "annotations", "markdown", "junit", "code-quality", "jsonl", "plain", "terminal"]
TODAY = "2026-06-01"


def in_own_environment():
    """Runs this script again with the validators installed, each in the version that requirements.txt names."""
    wanted = (HERE / "requirements.txt").read_bytes()
    version = "-".join(str(part) for part in sys.version_info[:2])
    folder = TARGET / f"formats-{version}-{hashlib.sha256(wanted).hexdigest()[:12]}"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not (folder / "complete").exists():
        shutil.rmtree(folder, ignore_errors=True)
        print(f"installing the validators into {folder}", flush=True)
        try:
            subprocess.run([sys.executable, "-m", "venv", folder], check=True)
            install = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
            subprocess.run([*install, "-r", HERE / "requirements.txt"], check=True)
        except (OSError, subprocess.CalledProcessError) as why:
            sys.exit(
                f"the validators could not be installed: {why}\n"
                "needed: Python 3.11 or later with its venv module, and a package index that pip can reach"
            )
        (folder / "complete").touch()
    code = subprocess.run([python, __file__, *sys.argv[1:]], env={**os.environ, "IN_FORMATS": "1"})
    sys.exit(code.returncode)


if __name__ == "__main__" and "IN_FORMATS" not in os.environ:
    in_own_environment()

import cmarkgfm  # noqa: E402
import jsonschema  # noqa: E402
import lxml.etree  # noqa: E402
import lxml.html  # noqa: E402
import markdown_it  # noqa: E402
from cmarkgfm.cmark import Options  # noqa: E402

# Each as only somebody hostile, or a broken file, writes it.
HOSTILE = [
    "<img src=x onerror=alert(1)>",
    "<script>alert(1)</script><!-- -->",
    "a|b||c\\|d",
    "`code` ``more`` ```",
    "]]> &amp; &#64;x <![CDATA[",
    "::error file=a,line=1::forged",
    "\n::error::forged\r\n::stop-commands::x",
    "##[error]x ##vso[task.setvariable]y ##teamcity[z]",
    "\u001b[31m\u0007\u0000\u009b31m\u0085\u2028",
    "\u202egnihtemos\u2066\u200b\ufeff\u00ad",
    "a, b, \"c\", 'd' %0A %25",
    "=1+1",
    "[1](1) {0} [a](x)",
    "@team #12 GH-3 owner/name#4 user@example.invalid !5 ~label $x$ :smile:",
    "https://example.invalid www.example.invalid mailto:a@example.invalid 0123456789abcdef0123456789abcdef01234567",
    "[link](https://example.invalid) ![image](x) [x]: y [1](1) {0} **bold** _it_ ~~gone~~",
    "\ufffe\uffff",
    "x" * 10_000,
    "# h\n- [ ] task\n> quote\n--- \n| a | b |",
]


class Failed(Exception):
    """What does not hold."""


def hold(condition, what):
    if not condition:
        raise Failed(what)


def yaml_text(text):
    """A text as YAML has it in quotes."""
    return json.dumps(text)


def hostile_fleet(folder):
    """The base records with every hostile text wherever a record may have text."""
    shutil.copytree(PROJECT / "fixtures" / "base", folder)
    base = (folder / "calibrations/heron/2026-03-09.yaml").read_text(encoding="utf-8")
    machine = (folder / "machines/heron.yaml").read_text(encoding="utf-8")
    waivers = ["record: waivers", "waivers:"]
    for at, text in enumerate(HOSTILE):
        quoted = yaml_text(text)
        day = f"2026-04-{at + 1:02}"
        visit = base.replace("2026-03-09", day).replace("by: rm", f"by: {quoted}")
        visit = visit.replace("left: [36.5", "left: [42.5", 1)
        (folder / f"calibrations/heron/{day}.yaml").write_text(f"{visit}\n{quoted}: {quoted}\n", encoding="utf-8")
        visit = base.replace("2026-03-09", f"2026-05-{at + 1:02}").replace("36 psi", quoted)
        (folder / f"calibrations/heron/2026-05-{at + 1:02}.yaml").write_text(visit, encoding="utf-8")
        other = machine.replace("id: heron", f"id: m{at}").replace("fairways:", f"{quoted}:")
        other = other.replace("name: left", f"name: {quoted}")
        (folder / f"machines/m{at}.yaml").write_text(other, encoding="utf-8")
        service = ["record: service", f"machine: m{at}", "date: 2026-04-02", f"by: {quoted}", "hours: 10 h"]
        work = [f"work: [{{tires: {{what: {quoted}}}}}, {{pump: {{what: {quoted}}}}}]", f"remarks: {quoted}"]
        (folder / f"service/m{at}").mkdir(parents=True)
        (folder / f"service/m{at}/2026-04-02.yaml").write_text("\n".join(service + work) + "\n", encoding="utf-8")
        waivers.append(
            f"  - {{rule: nozzle-off-mean, machine: heron, record: {day}, reason: {quoted}, by: rm, "
            f"from: 2026-04-01, until: {'2026-06-30' if at % 2 else '2026-05-01'}}}"
        )
    (folder / "waivers.yaml").write_text("\n".join(waivers) + "\n", encoding="utf-8")
    rule = (PROJECT / "rules/nozzle-off-mean.yaml").read_text(encoding="utf-8")
    all_texts = yaml_text(" ".join(text[:40].replace("{", "(").replace("}", ")") for text in HOSTILE))
    rule = re.sub(r"^id: .*$", "id: our-own", rule, flags=re.M)
    rule = re.sub(r"^(why|title): .*(\n[ ]+.*)*$", lambda key: f"{key[1]}: {all_texts}", rule, flags=re.M)
    (folder / "house-rules").mkdir(exist_ok=True)
    (folder / "house-rules/our-own.yaml").write_text(rule, encoding="utf-8")
    # Names of files; what the file system refuses is left out.
    for name in ["a b,c:d%e.yaml", "<b>`x`|[y](z) @w #1.yaml", "\u202egnp.yaml", "::error::x.yaml", "ü.yaml"]:
        try:
            (folder / "machines" / name).write_text("record: machine\nid: x\nnobody: 1\n", encoding="utf-8")
        except OSError:
            print(f"the file system refuses the name {name!r}")


def written(program, top, records, out):
    """What every format has, the same bytes from three folders, by one thread and two, in two languages."""
    runs = [(top, records, "1", "C"), (top / records, ".", "2", "tr_TR.UTF-8"), (top / records / "machines", "..", "2", "de_DE.UTF-8")]
    first = None
    for n, (folder, path, threads, language) in enumerate(runs):
        files = {name: out / f"{n}.{name}" for name in FORMATS}
        also = [f"--also-write={name}={file}" for name, file in files.items()]
        command = [program, "check", "--today", TODAY, "--threads", threads, *also, path]
        done = subprocess.run(command, cwd=folder, env={**os.environ, "LC_ALL": language}, capture_output=True)
        hold(done.returncode in (1, 2), f"check ended with {done.returncode}: {done.stderr.decode()}")
        texts = {name: file.read_bytes() for name, file in files.items()}
        first = first or texts
        for name in FORMATS:
            hold(texts[name] == first[name], f"{name}: other bytes from {folder} with {threads} threads")
    return {name: text.decode("utf-8") for name, text in first.items()}


def check_sarif(text, n_findings, n_not_read, paths):
    log = json.loads(text)
    schema = json.loads((HERE / "sarif-2.1.0.json").read_text(encoding="utf-8"))
    validator = jsonschema.validators.validator_for(schema)(schema)
    errors = [f"{list(error.path)}: {error.message[:200]}" for error in validator.iter_errors(log)]
    hold(not errors, f"not SARIF: {errors[:5]}")
    (run,) = log["runs"]
    hold(run["columnKind"] == "unicodeCodePoints", "columns are not in characters")
    rules = run["tool"]["driver"]["rules"]
    hold(len({rule["id"] for rule in rules}) == len(rules), "a rule is described twice")
    prints = set()
    for result in run["results"]:
        hold(rules[result["ruleIndex"]]["id"] == result["ruleId"], "ruleIndex is of another rule")
        fingerprint = result["partialFingerprints"]["primaryLocationLineHash"]
        hold(fingerprint not in prints, f"two results have one fingerprint: {result['message']}")
        prints.add(fingerprint)
        told, _, see = result["message"]["text"].partition("\nSee ")
        plain = re.sub(r"\\[\\\[\]]|\{\{|\}\}", "", told)
        hold(not re.search(r"[\[\]{}\\]", plain), f"a link or a place to fill in: {told[:300]}")
        ids = {str(place["id"]) for place in result.get("relatedLocations", [])}
        links = re.findall(r"(?<!\\)\]\((\d+)\)", see)
        hold(set(links) <= ids, f"a link leads nowhere: {see}")
        for place in result["locations"] + result.get("relatedLocations", []):
            uri = place["physicalLocation"]["artifactLocation"]["uri"]
            hold(re.fullmatch(r"[A-Za-z0-9._~/%-]+", uri), f"not percent-encoded: {uri}")
            hold(urllib.parse.unquote(uri) in paths, f"no file from the top of the repository: {uri}")
            region = place["physicalLocation"]["region"]
            hold(
                (region["startLine"], region["startColumn"]) <= (region["endLine"], region["endColumn"]),
                f"a region ends before it begins: {region}",
            )
    for rule in rules:
        for key in ("shortDescription", "fullDescription"):
            hold(1 <= len(rule[key]["text"]) <= 1024, f"{rule['id']}: {key} has {len(rule[key]['text'])} characters")
        hold(len(rule["properties"]["tags"]) <= 20, "too many tags")
        check_inert(rule["help"]["markdown"], f"help of {rule['id']}")
    n = sum(result["kind"] == "fail" for result in run["results"])
    hold(n + run["properties"]["moreResults"] == n_findings, f"{n} results of {n_findings} findings")
    (invocation,) = run["invocations"]
    hold(invocation["executionSuccessful"] == (n_not_read == 0), "executionSuccessful")


def check_annotations(text, n_findings, n_not_read):
    own = 0
    more = 0
    kinds = []
    lines = text.split("\n")
    hold(lines.pop() == "", "the last line does not end")
    for line in lines:
        hold(not re.search(r"##\S*\[", line), f"a command to a log: {line[:200]}")
        if not line.lstrip().startswith("::"):
            continue
        command = re.fullmatch(r"::(error|warning|notice) ([^:]+)::(.*)", line)
        hold(command, f"not a command of ours: {line[:200]}")
        properties = dict(one.split("=", 1) for one in command[2].split(","))
        hold(set(properties) <= {"file", "line", "endLine", "col", "endColumn", "title"}, f"unknown property: {line[:200]}")
        hold(len(command[3]) <= 4096, f"{len(command[3])} characters")
        hold(not re.search(r"%(?!25|0D|0A|3A|2C)", line), f"a percent sign that is not escaped: {line[:200]}")
        kinds.append(command[1])
        if " not shown here: " in command[3]:
            more += int(re.match(r"(\d+) more", properties["title"])[1])
        else:
            own += 1
            hold("col" not in properties or properties["line"] == properties["endLine"], "columns over several lines")
    order = ["error", "warning", "notice"]
    hold(kinds == sorted(kinds, key=order.index), "not the worst first")
    hold(all(kinds.count(kind) <= 10 for kind in order), "more than 10 of a kind")
    n_failures = n_not_read
    hold(own + more == n_findings + n_failures, f"{own} and {more} more of {n_findings} findings")


# What markup of ours there is.
OURS = {"h1", "h2", "h3", "p", "ul", "li", "em", "strong", "code", "pre", "table", "thead", "tbody", "tr", "th", "td", "div"}


def check_inert(text, what):
    """By two renderers: nothing but our own markup, and outside code nothing that a service would link."""
    everything = Options.CMARK_OPT_UNSAFE | Options.CMARK_OPT_FOOTNOTES
    by_github = cmarkgfm.github_flavored_markdown_to_html(text, everything)
    eager = markdown_it.MarkdownIt("gfm-like", {"html": True, "linkify": True, "typographer": False})
    # Any word with a dot in it is a link to some services; none is to ours.
    eager.linkify.set({"fuzzy_link": False})
    for html in (by_github, eager.render(text)):
        tree = lxml.html.fragment_fromstring(html, create_parent="div")
        for element in tree.iter():
            hold(isinstance(element.tag, str), f"{what}: a comment or an instruction: {element}")
            hold(element.tag in OURS, f"{what}: <{element.tag}> in {lxml.html.tostring(element)[:300]}")
            extra = set(element.attrib) - ({"class", "lang"} if element.tag in ("code", "pre") else {"style", "align"})
            hold(not extra, f"{what}: attributes {extra}")
        for code in list(tree.iter("code")):
            code.text = ""
        rest = tree.text_content()
        for name, pattern in [
            ("a mention or an address", r"@"),
            ("a reference", r"#\d|\bGH-\d|!\d|~[a-z]|\b[0-9a-f]{7,40}\b"),
            ("a link", r"://|www\.|mailto:"),
            ("a picture", r":[a-z0-9_+-]+:"),
            ("a formula", r"\$\S"),
        ]:
            found = re.search(f".{{0,40}}(?:{pattern}).{{0,40}}", rest, re.I)
            hold(not found, f"{what}: {name} in {found and found[0]!r}")
    return by_github


def check_markdown(text, n_findings):
    hold(len(text.encode()) <= 1024 * 1024, "longer than a summary may be")
    html = check_inert(text, "markdown")
    tree = lxml.html.fragment_fromstring(html, create_parent="div")
    rows = [row for row in tree.iter("tr") if row.getparent().tag == "tbody"]
    for row in rows:
        # Renderers leave out cells beyond the fourth: the first ends with the place.
        first = row[0].text_content()
        hold(len(row) == 4 and re.search(r":\d+:\d+$", first), f"cells are cut apart: {first[:200]}")
    more = re.search(r"(\d+) more findings? not shown here", text)
    more = int(more[1]) if more else 0
    hold(len(rows) + more == n_findings, f"{len(rows)} rows and {more} more of {n_findings} findings")


def check_junit(text, n_findings, n_not_read):
    document = lxml.etree.fromstring(text.encode())
    schema = lxml.etree.XMLSchema(lxml.etree.parse(str(HERE / "junit-10.xsd")))
    hold(schema.validate(document), f"not of the schema: {schema.error_log}")
    cases = document.findall(".//testcase")
    names = {(case.get("classname"), case.get("name")) for case in cases}
    hold(len(names) == len(cases), "two cases of one name")
    hold(len(document.findall(".//failure")) == n_findings, "a finding is missing")
    hold(len(document.findall(".//error")) >= n_not_read, "a file that could not be read is missing")
    hold(all(failure.text.strip() for failure in document.iter("failure")), "a failure without its text")


def check_code_quality(text, n_findings):
    issues = json.loads(text)
    jsonschema.validate(issues, json.loads((HERE / "code-quality.json").read_text(encoding="utf-8")))
    prints = [issue["fingerprint"] for issue in issues]
    hold(len(set(prints)) == len(prints), "two issues of one fingerprint")
    n = sum(issue["check_name"] not in ("totals", "not-read") for issue in issues)
    hold(n == n_findings, f"{n} issues of {n_findings} findings")


def check_fleet(program, name, make):
    with tempfile.TemporaryDirectory() as folder:
        top = pathlib.Path(folder).resolve() / "repository"
        out = top.parent / "out"
        out.mkdir()
        records = "golf course/records"
        (top / ".git").mkdir(parents=True)
        (top / "golf course").mkdir()
        make(top / records)
        paths = {file.relative_to(top).as_posix() for file in top.rglob("*") if file.is_file()}
        texts = written(program, top, records, out)
    lines = [json.loads(line) for line in texts["jsonl"].splitlines()]
    n_findings = sum(line["kind"] == "finding" for line in lines)
    n_not_read = len(lines[-1]["failures"])
    hold(n_findings > 20, f"only {n_findings} findings")
    checks = [
        ("sarif", lambda text: check_sarif(text, n_findings, n_not_read, paths)),
        ("annotations", lambda text: check_annotations(text, n_findings, n_not_read)),
        ("markdown", lambda text: check_markdown(text, n_findings)),
        ("junit", lambda text: check_junit(text, n_findings, n_not_read)),
        ("code-quality", lambda text: check_code_quality(text, n_findings)),
    ]
    wrong = []
    for format, check in checks:
        try:
            check(texts[format])
        except (Failed, ValueError, lxml.etree.LxmlError, jsonschema.ValidationError) as why:
            wrong.append(f"{name}, {format}: {str(why)[:1000]}")
    print(f"{name}: {n_findings} findings, {len(checks) - len(wrong)} of {len(checks)} formats hold")
    return wrong


def main():
    program = pathlib.Path(sys.argv[1]).resolve()
    fleets = [
        ("the demo fleet", lambda to: shutil.copytree(PROJECT / "fixtures/saltmere", to)),
        ("hostile records", hostile_fleet),
    ]
    wrong = [line for name, make in fleets for line in check_fleet(program, name, make)]
    print("\n".join(wrong))
    sys.exit(1 if wrong else 0)


main()
