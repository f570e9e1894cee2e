"""A bench to start from, for Verilog that has none yet."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from verify.cli.reporting import Reporting
from verify.errors import BenchError
from verify.report.figures import path_text

__all__ = ["start_from"]


def start_from(verilog: Sequence[Path], reporting: Reporting) -> NoReturn:
    """Print a bench for the top module of ``verilog``; then say, as an error, that nothing was checked.

    Raises BenchError always, and the errors of :mod:`verify.errors` when the files do not compile.
    """
    from verify.checks.readable import require_readable_files  # noqa: PLC0415 -- heavy, and only here
    from verify.cli.skeleton import skeleton_of  # noqa: PLC0415 -- as above
    from verify.design.read import read_design  # noqa: PLC0415 -- as above

    require_readable_files(verilog)
    design = read_design(verilog)
    top = design.modules[design.tops[0]] if design.tops else next(iter(design.modules.values()))
    taken = Path("-") in reporting.files.values()
    (sys.stderr if taken else sys.stdout).write(skeleton_of(top, verilog))
    first = path_text(verilog[0])
    raise BenchError(
        f"nothing was checked: {first} was named without a bench that says what must be true of it",
        advice=f"a bench for module {top.name} to start from is printed above: keep it "
        f"(everyedge check {first} > bench.toml), choose a model and name the roles of the ports "
        "(everyedge models lists them), then run: everyedge check bench.toml",
    )
