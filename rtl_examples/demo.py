"""Checks every worked design, then shows a flawed one being caught: what ``make demo`` runs.

Ends with status 0 when all right designs pass and the flawed one fails, else with 1.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.text import Text

HERE = Path(__file__).parent
FLAWED = HERE / "flawed" / "digits_swapped"
EVERYEDGE = [sys.executable, "-m", "verify"]


def results(folder: Path) -> dict[str, Any]:
    """What ``everyedge check --json`` says of the bench in ``folder``."""
    done = subprocess.run(  # noqa: S603 -- our own command
        [*EVERYEDGE, "check", str(folder / "bench.toml"), "--quiet", "--json", "-"],
        capture_output=True,
        text=True,
        check=False,
    )
    try:
        found: dict[str, Any] = json.loads(done.stdout)
    except json.JSONDecodeError:
        return {"verdict": "error", "checks": [], "error": {"message": done.stderr.strip()}}
    return found


def in_order(folders: list[Path]) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Each folder with its result, in order, as many at a time as there are processors."""
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        yield from zip(folders, pool.map(results, folders), strict=True)


def row(folder: Path, result: dict[str, Any]) -> Text:
    """One line of the table."""
    checks = result["checks"]
    clocks = sum(check["cycles"] for check in checks)
    passed = result["verdict"] == "pass"
    text = Text("  ")
    text.append(f"{result['verdict']:<10}", style="green" if passed else "bold red")
    text.append(f"{folder.name:<26}")
    text.append(f"{len(checks):>2} check{' ' if len(checks) == 1 else 's'}{clocks:>14,} clocks", style="dim")
    if not passed:
        reasons = [check["reason"] for check in checks if check["verdict"] != "pass"]
        text.append("\n            " + "; ".join(reasons or [(result["error"] or {}).get("message", "")]))
    return text


def main() -> int:
    """The exit status."""
    console = Console(highlight=False, soft_wrap=True)
    began = time.monotonic()
    folders = sorted(path.parent for path in HERE.glob("*/bench.toml"))
    console.print(f"\nEvery worked design in {HERE.name}/, every output on every clock edge:\n")
    right, checks, clocks = 0, 0, 0
    for folder, result in in_order(folders):
        console.print(row(folder, result))
        right += result["verdict"] == "pass"
        checks += len(result["checks"])
        clocks += sum(check["cycles"] for check in result["checks"])
    flaw = (FLAWED / "FLAW.txt").read_text(encoding="utf-8").splitlines()[0]
    bench = os.path.relpath(FLAWED / "bench.toml")
    command = ["check", bench, "--only", "display"]
    console.print(f"\nThe same timer with a flaw. {flaw}\n\n$ everyedge {' '.join(command)}", style="bold")
    caught = subprocess.run([*EVERYEDGE, *command], check=False).returncode == 1  # noqa: S603 -- our own
    console.rule(style="dim")
    good = right == len(folders)
    console.print(
        f"  {right} of {len(folders)} worked designs pass: {checks} checks, {clocks:,} clocks compared.",
        style="green" if good else "bold red",
    )
    console.print(
        f"  The flawed one was {'caught, as it must be' if caught else 'NOT caught'}.",
        style="green" if caught else "bold red",
    )
    console.print(
        f"  {time.monotonic() - began:.0f} seconds. Your own Verilog: see README.md.\n", style="dim"
    )
    return 0 if good and caught else 1


if __name__ == "__main__":
    sys.exit(main())
