"""One long run of the exposure timer's clock, in a process of its own; prints what it took as JSON.

Arguments: bench file, simulator, clocks.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

from verify.checks import Settings, check_bench
from verify.simulation import process


def main(bench: Path, simulator: str, clocks: int) -> None:
    spent: list[float] = []
    close = process.Child.close

    def closing(child: process.Child) -> None:
        spent.append(child.cpu_seconds())
        close(child)

    process.Child.close = closing  # type: ignore[method-assign]
    begin = time.process_time()
    settings = Settings(simulator=simulator, cycles_limit=clocks, examples=0, only=("clock",))  # type: ignore[arg-type]
    (check,) = check_bench(bench, settings).checks
    assert check.failure is None, check.reason
    found = {
        "clocks": check.cycles,
        "python": time.process_time() - begin,
        "simulator": sum(spent),
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
