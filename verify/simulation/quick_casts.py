"""A library that makes Icarus Verilog's vvp faster, compiled where there is a C compiler.

What the simulator does is the same with and without it.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from verify.errors import ToolError
from verify.simulation.building import digest, tool_identity
from verify.simulation.cache import BuildCache
from verify.simulation.crew import Crew
from verify.simulation.limits import Limits

__all__ = ["with_quick_casts"]

SOURCE = Path(__file__).parent / "native" / "quick_casts.c"
OPTIONS = ("-O2", "-shared", "-fPIC")
LIBRARY = "quick_casts.so"
LIMITS = Limits(build_seconds=30.0)


def with_quick_casts(vvp: str, cache: BuildCache, crew: Crew) -> tuple[str, ...]:
    """The command that starts ``vvp``: with the library where it compiles and vvp starts with it."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        return (vvp,)

    def build(folder: Path) -> None:
        """Leaves the folder empty where it does not work: it is not tried again."""
        library = folder / LIBRARY
        compile_it = (compiler, *OPTIONS, str(SOURCE), "-o", str(library), "-ldl")
        commands = (compile_it, (*_loading(library, vvp), "-V"))
        if not all(_works(command, folder, crew) for command in commands):
            library.unlink(missing_ok=True)

    name = "casts_" + digest(tool_identity(compiler, vvp), OPTIONS, SOURCE.read_text())
    library = cache.get(name, build) / LIBRARY
    return _loading(library, vvp) if library.exists() else (vvp,)


def _works(command: tuple[str, ...], folder: Path, crew: Crew) -> bool:
    try:
        tool = crew.run(command, directory=folder, limits=LIMITS)
    except ToolError:
        return False
    # The loader goes on without a library that it cannot load, and says so.
    return tool.status == 0 and "preload" not in tool.output


def _loading(library: Path, vvp: str) -> tuple[str, ...]:
    return ("/usr/bin/env", f"LD_PRELOAD={library}", vvp)
