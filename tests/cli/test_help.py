from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("numpy", "cocotb", "hypothesis", "pyslang", "pydantic", "rich", "junitparser", "verify.results")


def modules_after(code):
    script = f"import sys\n{code}\nprint(' '.join(sys.modules), file=sys.stderr)"
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(ran.stderr.split())


@pytest.mark.parametrize("words", [["--help"], ["check", "--help"], ["--version"], ["replay", "-h"]])
def test_help_loads_nothing_heavy(words):
    code = f"""
from verify.cli import main
sys.argv = ["everyedge", *{words!r}]
try:
    main()
except SystemExit as end:
    assert end.code == 0, end.code
"""
    assert modules_after(code).isdisjoint(HEAVY)


@pytest.mark.parametrize(
    "code", ["import verify; dir(verify)", "import verify.checks; verify.checks.Settings(seed=7)"]
)
def test_importing_the_library_loads_nothing_heavy(code):
    assert modules_after(code).isdisjoint((*HEAVY, "click"))


def test_the_library_offers_every_name_it_lists():
    code = "import verify\nfor name in verify.__all__: getattr(verify, name)\nassert verify.Verdict.PASS"
    assert "numpy" in modules_after(code)


def test_an_unknown_name_of_the_library_is_an_attribute_error():
    import verify  # noqa: PLC0415 -- the subject

    with pytest.raises(AttributeError, match="has no attribute 'check_bnech'"):
        verify.check_bnech  # noqa: B018 -- looked up, not used


def test_help_says_the_exit_statuses_and_how_to_complete_words(everyedge):
    told = everyedge("--help")
    assert told.status == 0
    assert "0 all pass, 1 something fails, 2 could not start, 3 undecided" in told.out
    assert "_EVERYEDGE_COMPLETE=bash_source" in told.out
    assert max(map(len, told.out.splitlines())) <= 80


def test_words_complete_in_a_shell(everyedge):
    told = everyedge(
        env={"_EVERYEDGE_COMPLETE": "bash_complete", "COMP_WORDS": "everyedge ch", "COMP_CWORD": "1"}
    )
    assert "check" in told.out


def test_python_m_is_the_same_command(everyedge):
    told = everyedge("--version", command=[sys.executable, "-m", "verify"])
    assert told.out == everyedge("--version").out
    assert told.out.startswith("everyedge ")
