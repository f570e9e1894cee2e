"""A bench in a folder of its own, its runs, and whatever they leave behind."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import psutil

DIAL = """module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == {last}) ? 0 : q + 1;
endmodule
"""
BENCH = """[design]
sources = ["dial.v"]
[clock]
port = "clk"
[reset]
port = "rst"
[[check]]
model = "counter"
ports = { count = "q", enable = "en" }
expect = { modulo = 10 }
"""
RIGHT, WRONG = 9, 10
PATIENCE_SECONDS = 120


@dataclass(frozen=True)
class Workplace:
    """A folder with a bench, a build cache and a temporary folder that no other run shares."""

    folder: Path

    @classmethod
    def made(cls, folder: Path, last: int) -> Workplace:
        """A dial that rolls over after ``last``."""
        place = cls(folder)
        for path in (place.work, place.cache, place.temporary):
            path.mkdir(parents=True)
        (place.work / "dial.v").write_text(DIAL.format(last=last), encoding="utf-8")
        place.bench.write_text(BENCH, encoding="utf-8")
        return place

    @property
    def work(self) -> Path:
        return self.folder / "work"

    @property
    def bench(self) -> Path:
        return self.work / "bench.toml"

    @property
    def cache(self) -> Path:
        return self.folder / "cache"

    @property
    def temporary(self) -> Path:
        return self.folder / "tmp"

    @property
    def result(self) -> Path:
        return self.folder / "result.json"

    def start(self, walls: Sequence[str] = (), *more: str) -> subprocess.Popen[str]:
        """Start a check; ``walls`` is a command that runs another one."""
        self.result.unlink(missing_ok=True)
        env = os.environ | {"EVERYEDGE_CACHE": str(self.cache), "TMPDIR": str(self.temporary)}
        words = [sys.executable, "-m", "verify", "check", str(self.bench), "--json", str(self.result)]
        words += ["--simulator", "icarus", *more]  # or Verilator steps in, and compiles for long
        return subprocess.Popen(
            [*walls, *words], env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )

    def run(self, walls: Sequence[str] = ()) -> tuple[int, str]:
        """A check to its end: status and output."""
        process = self.start(walls)
        output, _ = process.communicate(timeout=PATIENCE_SECONDS)
        return process.returncode, output

    def verdict(self) -> str | None:
        """What the JSON result says; None when there is none."""
        try:
            return str(json.loads(self.result.read_text(encoding="utf-8"))["verdict"])
        except FileNotFoundError:
            return None

    def left_running(self, seconds: float = 20.0) -> list[str]:
        """Processes that still have to do with this place after a while."""
        deadline = time.monotonic() + seconds
        while (names := list(self._family())) and time.monotonic() < deadline:
            time.sleep(0.05)
        return names

    def _family(self) -> list[str]:
        found = []
        for process in psutil.process_iter():
            try:
                told = " ".join(process.cmdline()) + process.environ().get("EVERYEDGE_CACHE", "")
                if str(self.folder) in told and process.status() != psutil.STATUS_ZOMBIE:
                    found.append(f"{process.pid} {process.name()}")
            except psutil.Error:
                continue
        return [name for name in found if not name.startswith(f"{os.getpid()} ")]
