"""What README.md tells a user to write, written and run."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

README = Path(__file__).parents[2] / "README.md"


def blocks(language):
    return re.findall(
        rf"^```{language}\n(.*?)^```", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE
    )


def python_block(holding):
    """The only block of Python that holds these words."""
    (found,) = [block for block in blocks("python") if holding in block]
    return found


@pytest.fixture
def decade(tmp_path):
    """The counter of the README with its bench; right or, as printed there, wrong."""

    def make(*, right):
        verilog, bench = blocks("verilog")[0], blocks("toml")[0]
        assert "4'd10" in verilog
        (tmp_path / "decade.v").write_text(verilog.replace("4'd10", "4'd9") if right else verilog)
        (tmp_path / "bench.toml").write_text(bench)
        return tmp_path

    return make


def python(folder, *words):
    return subprocess.run(
        [sys.executable, *words], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )


@pytest.mark.parametrize(
    ("right", "status", "said"), [(True, 0, "pass decade"), (False, 1, "cycle 11: carry is 0")]
)
def test_the_script_of_the_readme_tells_a_right_design_from_a_wrong_one(decade, right, status, said):
    script = python_block("check_bench")
    ran = python(decade(right=right), "-c", script)
    assert ran.returncode == status, ran.stdout + ran.stderr
    assert said in ran.stdout
    assert ("▲" in ran.stdout) is not right


@pytest.mark.parametrize(("right", "ends"), [(True, "3 passed"), (False, "2 failed, 1 passed")])
def test_the_properties_of_the_readme_hold_for_the_right_design_alone(decade, right, ends):
    folder = decade(right=right)
    (folder / "test_decade.py").write_text(python_block("def test_it_counts"))
    ran = python(folder, "-m", "pytest", "-q", "test_decade.py", "-p", "no:cacheprovider")
    assert ends in ran.stdout, ran.stdout + ran.stderr


def test_the_properties_beside_a_worked_design_hold():
    folder = README.parent / "rtl_examples" / "exposure_timer"
    ran = python(folder, "-m", "pytest", "-q", "test_exposure_timer.py", "-p", "no:cacheprovider")
    assert "4 passed" in ran.stdout, ran.stdout + ran.stderr
