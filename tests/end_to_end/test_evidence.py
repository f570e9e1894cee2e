"""One failing run, told four times: page, waves, JSON and annotation agree, and a replay says the same."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from vcdvcd import VCDVCD

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
DESIGNS = ("add3_above_five", "lamp_test_without_g", "tick_two_clocks")


class Tables(HTMLParser):
    """The rows of every table, and those that are marked."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.rows: list[tuple[bool, list[str]]] = []
        self.cell = False
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append((("class", "marked") in attrs, []))
        self.cell = tag in {"td", "th"}
        if self.cell:
            self.rows[-1][1].append("")

    def handle_endtag(self, tag):
        self.cell = self.cell and tag not in {"td", "th"}

    def handle_data(self, data):
        if self.cell:
            self.rows[-1][1][-1] += data


def recipe() -> list[str]:
    """The words of the check in the README's recipe for continuous integration."""
    text = (EXAMPLES.parent / "README.md").read_text(encoding="utf-8")
    line = re.search(r"/opt/everyedge/bin/everyedge (check .*)", text).group(1)
    return shlex.split(line)


@pytest.fixture(scope="module", params=DESIGNS)
def evidence(request, tmp_path_factory):
    """Everything that one run of a flawed design leaves behind."""
    folder = tmp_path_factory.mktemp(request.param)
    name = f"flawed/{request.param}"
    flaw = (EXAMPLES / name / "FLAW.txt").read_text(encoding="utf-8")
    twin = re.search(r"^twin: (.*)$", flaw, re.MULTILINE).group(1)
    shutil.copytree(EXAMPLES / name, folder / name, ignore=shutil.ignore_patterns(".everyedge"))
    shutil.copytree(EXAMPLES / twin, folder / twin, ignore=shutil.ignore_patterns(".everyedge"))
    (folder / ".git").mkdir()
    words = [*recipe(), "--json", "r.json", "--quiet"]
    (folder / "result").mkdir()
    ran = subprocess.run(
        [sys.executable, "-m", "verify", *words, name],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ran.returncode == 1, ran.stdout + ran.stderr
    checks = json.loads((folder / "r.json").read_text(encoding="utf-8"))["checks"]
    failed = next(check for check in checks if check["mismatch"])
    return folder, failed, ran.stdout


def test_the_page_shows_the_cycle_and_the_values_of_the_json(evidence):
    folder, check, _ = evidence
    mismatch = check["mismatch"]
    tables = Tables((folder / "result" / "index.html").read_text(encoding="utf-8"))
    heads = next(cells for _, cells in tables.rows if f"{mismatch['port']} expected" in cells)
    cycle = f"{mismatch['cycle']:,}"
    row = next(cells for marked, cells in tables.rows if marked and cells[0] == cycle and len(cells) > 2)
    shown = dict(zip(heads, row, strict=True))
    for key in ("expected", "observed"):
        assert shown[f"{mismatch['port']} {key}"].split(" = ")[0] == mismatch[key]


def test_the_waves_show_the_cycle_and_the_values_of_the_json(evidence):
    folder, check, _ = evidence
    mismatch = check["mismatch"]
    (file,) = (folder / "result" / "waves").glob("*.vcd")
    waves = VCDVCD(str(file))
    period_ps = mismatch["time_ns"] * 1000 / (mismatch["cycle"] + 1)
    middle = round((mismatch["cycle"] + 0.5) * period_ps) - 1
    observed = waves[f"{check['module']}.{mismatch['port']}"][middle]
    expected = waves[f"golden.{mismatch['port']}"][middle]
    assert (expected, observed) == (mismatch["expected"], mismatch["observed"])
    differs = [time for time, value in waves["golden.differs"].tv if value == "1"]
    assert differs[0] == round(mismatch["cycle"] * period_ps)


def test_the_annotation_lands_on_a_line_of_the_design(evidence):
    folder, check, said = evidence
    line = next(line for line in said.splitlines() if line.startswith("::error "))
    found = re.match(r"::error file=(?P<file>[^,]+),line=(?P<line>\d+),col=\d+,title=[^:]*::", line)
    source = folder / found["file"]
    assert source.is_file()
    assert source.suffix in {".v", ".sv"}
    assert 1 <= int(found["line"]) <= len(source.read_text(encoding="utf-8").splitlines())
    assert f"cycle {check['mismatch']['cycle']:,}" in line
    whole = [each for each in check["explanations"] if each["reproduces_all_cycles"] and each["source"]]
    place = (whole[0] if whole else check["mismatch"])["source"]
    assert (source, int(found["line"])) == (folder / place["file"], place["line"])
    assert (folder / "result" / "junit.xml").is_file()


@pytest.mark.parametrize(
    ("name", "right"), [("add3_above_five", "bcd_combinational"), ("five_without_f", "segments_case")]
)
def test_a_fault_that_is_known_is_annotated_on_the_line_that_has_it(name, right, tmp_path):
    flaw, twin = EXAMPLES / "flawed" / name, EXAMPLES / right
    (file,) = (flaw / "rtl").iterdir()
    here = file.read_text(encoding="utf-8").splitlines()
    there = (twin / "rtl" / file.name).read_text(encoding="utf-8").splitlines()
    both = enumerate(zip(here, there, strict=True), start=1)
    changed = [number for number, (mine, theirs) in both if mine != theirs]
    ran = subprocess.run(
        [sys.executable, "-m", "verify", "check", flaw, "--annotate", "github", "--quiet"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    found = re.search(rf"^::error file=[^,]*{file.name},line=(\d+),", ran.stdout)
    assert found, ran.stdout + ran.stderr
    assert int(found[1]) in changed
