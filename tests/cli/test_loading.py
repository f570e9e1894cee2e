"""The first tenth of a second of a command."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

INTERRUPTING = "import os, signal\nos.kill(os.getpid(), signal.SIGINT)\n"


@pytest.mark.parametrize(("loaded", "status"), [("click", 130), ("loaded_by_nobody", 0)])
def test_ctrl_c_while_the_command_loads_ends_it_without_a_word(
    tmp_path: Path, loaded: str, status: int
) -> None:
    (tmp_path / f"{loaded}.py").write_text(INTERRUPTING)
    env = os.environ | {"PYTHONPATH": str(tmp_path)}
    command = [sys.executable, "-m", "verify", "--help"]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (status, "")
    assert bool(done.stdout) is (status == 0)
