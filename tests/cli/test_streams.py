"""Outputs of every kind: none may bring the command down or make a wrong verdict look right."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = f"{sys.executable} -m verify"


def test_an_ascii_terminal_gets_ascii(everyedge):
    plain = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0", "PYTHONIOENCODING": ""}
    told = everyedge("models", env=plain)
    assert told.status == 0
    assert told.out.isascii()


def test_text_that_the_terminal_cannot_say_is_escaped(everyedge, tmp_path):
    told = everyedge("check", "größe.toml", env={"PYTHONIOENCODING": "ascii"})
    assert told.status == 2
    assert told.err.isascii()


@pytest.mark.parametrize("words", ["--help", "models", "check nothing.toml"])
def test_a_closed_output_is_no_accident(everyedge, words, tmp_path):
    ran = subprocess.run(
        ["/bin/sh", "-c", f"{COMMAND} {words} >&- 2>&-; echo status $?"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert ran.stdout == f"status {2 if words.startswith('check') else 0}\n"


@pytest.mark.parametrize("words", ["--help", "models divider"])
def test_a_reader_that_leaves_early_is_no_accident(words, tmp_path):
    ran = subprocess.run(
        ["/bin/bash", "-c", f"{COMMAND} {words} | true; echo status ${{PIPESTATUS[0]}}"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert ran.stderr == ""
    assert ran.stdout in ("status 141\n", "status 0\n")


def test_json_to_a_reader_that_has_left_is_not_a_verdict(tmp_path):
    ran = subprocess.run(
        ["/bin/bash", "-c", f"{COMMAND} check none.toml --json - | true; echo status ${{PIPESTATUS[0]}}"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert ran.stderr.startswith("none.toml: error: ")
    assert ran.stdout in ("status 141\n", "status 2\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("words", ["--help", "models"])
def test_a_full_disk_is_said_and_is_no_success(words, tmp_path):
    ran = subprocess.run(
        ["/bin/sh", "-c", f"{COMMAND} {words} > /dev/full"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr
    assert "Exception ignored" not in ran.stderr
    assert "No space left on device" in ran.stderr


@pytest.mark.parametrize("columns", [40, 60, 200])
def test_the_width_of_the_terminal_is_kept(everyedge, columns):
    told = everyedge("models", "divider", env={"COLUMNS": str(columns)})
    assert max(map(len, told.out.splitlines())) <= max(min(columns, 100), 40)


@pytest.mark.parametrize(("variable", "coloured"), [("FORCE_COLOR", True), ("NO_COLOR", False)])
def test_colour_follows_the_usual_variables(everyedge, variable, coloured):
    assert ("\x1b[" in everyedge("models", env={variable: "1", "TERM": "xterm"}).out) is coloured


def test_piped_output_has_no_colour(everyedge):
    assert "\x1b[" not in everyedge("models", env={"TERM": "xterm-256color"}).out
