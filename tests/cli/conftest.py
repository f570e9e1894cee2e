from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass

import pytest


@dataclass(frozen=True)
class Told:
    """What a command printed and how it ended."""

    status: int
    out: str
    err: str


@pytest.fixture
def everyedge(tmp_path):
    """Run the command in an empty folder and hear what it says."""

    def run(*words, env=None, command=None, cwd=tmp_path, **options):
        ran = subprocess.run(
            [*(command or [sys.executable, "-c", "from verify.cli import main; main()"]), *map(str, words)],
            cwd=cwd,
            env={
                "PATH": os.environ["PATH"],
                "HOME": str(tmp_path),
                "EVERYEDGE_CACHE": os.environ["EVERYEDGE_CACHE"],
                "PYTHONIOENCODING": "utf-8",
                **(env or {}),
            },
            text=True,
            encoding="utf-8",
            timeout=60,
            stdin=subprocess.DEVNULL,
            stdout=options.pop("stdout", subprocess.PIPE),
            stderr=subprocess.PIPE,
            check=False,
            **options,
        )
        assert "Traceback" not in ran.stderr
        return Told(ran.returncode, ran.stdout or "", ran.stderr)

    return run
