"""The result as JUnit XML, for the test tables of build servers.

A bench is a test suite, a check a test case. An undecided check is an *error* there, not *skipped*:
many readers count a skipped case as good.
"""

from __future__ import annotations

from junitparser import Error, JUnitXml, TestCase, TestSuite
from junitparser import Failure as FailureElement

from verify.errors import EveryedgeError
from verify.report.failure import detail_lines
from verify.report.figures import clean
from verify.report.look import Lines
from verify.report.outcome import Outcome, Part
from verify.report.trouble import error_lines
from verify.results import CheckResult, Verdict

__all__ = ["as_xml"]

WIDTH = 100
"""Cells of a failure's text."""


def as_xml(outcome: Outcome) -> str:
    """The XML text of the whole outcome."""
    report = JUnitXml("everyedge")
    for part in outcome.parts:
        report.add_testsuite(_suite(part))
    if outcome.interrupted:
        suite = TestSuite("everyedge")
        ended = Error("ended before all was checked", "interrupted")
        suite.add_testcase(_case("interrupted", "everyedge", ended))
        report.add_testsuite(suite)
    report.time = round(outcome.seconds, 3)
    text: bytes = report.tostring()  # type: ignore[no-untyped-call]
    return text.decode("utf-8") + "\n"


def _suite(part: Part) -> TestSuite:
    suite = TestSuite(clean(str(part.source)))
    for check in part.result.checks if part.result is not None else ():
        suite.add_testcase(_checked(check))
    if part.error is not None:
        suite.add_testcase(_failed_to_start(part.error))
    suite.time = round(part.result.seconds, 3) if part.result is not None else 0.0
    return suite


def _checked(check: CheckResult) -> TestCase:
    result = None
    if check.verdict is not Verdict.PASS:
        kind = check.failure.kind if check.failure is not None else check.verdict.value
        element = FailureElement if check.verdict is Verdict.FAIL else Error
        result = element(clean(check.reason), kind)
        result.text = _joined(detail_lines(check, WIDTH))
    case = _case(check.name, f"{check.model}.{check.module}", result)
    case.time = round(check.seconds, 3)
    return case


def _failed_to_start(error: EveryedgeError) -> TestCase:
    result = Error(clean(error.message.splitlines()[0] if error.message else error.kind), error.kind)
    result.text = _joined(error_lines(error, WIDTH))
    return _case("bench", error.kind, result)


def _case(name: str, class_name: str, result: Error | FailureElement | None) -> TestCase:
    case = TestCase(clean(name), clean(class_name))
    if result is not None:
        case.result = [result]
    return case


def _joined(lines: Lines) -> str:
    return "\n".join(text.plain.rstrip() for text in lines)
