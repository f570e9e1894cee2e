"""A bench file as pytest sees it: one item per check."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from verify.errors import BenchError, DesignError, Place
from verify.pytest_plugin.items import CheckItem
from verify.report.figures import clean
from verify.report.telling import error_text
from verify.whole_files import read_whole

__all__ = ["BenchFile", "is_bench"]

_TABLES = {"check", "clock", "design", "reset"}


def is_bench(file: Path) -> bool:
    """Whether a file that is only called like a bench is one: others may use the name, too.

    One that cannot be read is ours: an error is said rather than passed over.
    """
    try:
        tables = tomllib.loads(read_whole(file).decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return True
    return not tables or not _TABLES.isdisjoint(tables)


class BenchFile(pytest.File):
    """The checks of a bench; what is wrong with the bench is an error of the collection."""

    def collect(self) -> Iterator[CheckItem]:
        """One item per check, in the order of the bench."""
        # Heavy, and only wanted once there is a bench.
        from verify.bench import load_bench  # noqa: PLC0415 -- as above
        from verify.checks.planning import plan_check  # noqa: PLC0415 -- as above

        try:
            bench = load_bench(self.path)
            items = []
            for index, check in enumerate(bench.checks):
                trouble: DesignError | None = None
                try:
                    plan_check(bench, check)
                except DesignError as error:  # the others of this bench may be able to run
                    trouble = error
                place = bench.places.of("check", index) or Place(self.path)
                items.append((check, place.line or 1, trouble))
        except BenchError as error:
            raise self.CollectError(error_text(error)) from None
        taken: set[str] = set()
        for check, line, trouble in items:
            name = _free(_node_name(check.name), taken)
            taken.add(name)
            module = check.module or bench.design.top or ""
            yield CheckItem.from_parent(
                self,
                name=name,
                check=check.name,
                model=check.model,
                module=module,
                line=line,
                trouble=trouble,
            )


def _node_name(name: str) -> str:
    """Pytest takes ``::`` for the end of a name, and prints it on one line."""
    return " ".join(clean(name).replace("::", ": ").split())


def _free(name: str, taken: set[str]) -> str:
    number, found = 1, name
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    return found
