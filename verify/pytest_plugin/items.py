"""One check as a test."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from verify.errors import DesignError, EveryedgeError
from verify.pytest_plugin.settings import settings_of
from verify.report.telling import check_text, error_text
from verify.results import CheckResult, Verdict

__all__ = ["CheckItem"]


class _Told(Exception):
    """A check that did not pass: ``headline`` in one line, ``text`` in full."""

    def __init__(self, headline: str, text: str) -> None:
        super().__init__(text)
        self.headline, self.text = headline, text


class CheckItem(pytest.Item):
    """Runs one check of a bench. ``line``: where it stands in the bench, from 1."""

    def __init__(
        self, *, check: str, model: str, module: str, line: int, trouble: DesignError | None, **more: Any
    ) -> None:
        super().__init__(**more)
        self._check, self._line, self._trouble = check, line, trouble
        self.extra_keyword_matches.update({"everyedge", model, module} - {""})
        self.user_properties += [("model", model), ("module", module)]

    def setup(self) -> None:
        """A design that does not compile is an error, not a failure."""
        if self._trouble is not None:
            raise pytest.fail.Exception(error_text(self._trouble), pytrace=False)

    def runtest(self) -> None:
        """Check; everything but a pass is raised."""
        from verify.checks import check_bench  # noqa: PLC0415 -- heavy, and only when it is to run
        from verify.report.crash import crash_of  # noqa: PLC0415 -- as above

        try:
            run = check_bench(self.path, settings_of(self.config, self._check))
        except EveryedgeError as error:
            raise _of_error(error) from None
        except pytest.UsageError:
            raise
        except Exception as error:  # noqa: BLE001 -- no traceback of ours is of use to a user
            raise _of_error(crash_of(error)) from None
        (check,) = run.checks
        self._keep(check)
        if check.verdict is not Verdict.PASS:
            raise _Told(f"{check.verdict.value}: {check.reason}", check_text(check))

    def _keep(self, check: CheckResult) -> None:
        """What the result tables of build servers may show beside the verdict."""
        facts = {"cycles": check.cycles, "latency": check.latency, "seed": check.seed}
        self.user_properties += [(name, value) for name, value in facts.items() if value is not None]
        if check.verdict is Verdict.PASS:
            self.add_report_section("call", "everyedge", check_text(check))

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """The report of the check, and no traceback."""
        if not isinstance(excinfo.value, _Told):
            return super().repr_failure(excinfo, style)
        told = excinfo.getrepr(style="value", chain=False)
        if told.reprcrash is not None:  # the one-line summary, and the message of JUnit XML
            told.reprcrash.path = str(self.path)
            told.reprcrash.lineno = self._line
            told.reprcrash.message = excinfo.value.headline
        return told

    def reportinfo(self) -> tuple[Path, int, str]:
        """The check in its bench."""
        return self.path, self._line - 1, self.name


def _of_error(error: EveryedgeError) -> _Told:
    place = f"{error.place}: " if error.place is not None else ""
    return _Told(f"{place}error: {error.message}".splitlines()[0], error_text(error))
