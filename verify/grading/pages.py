"""All grades as pages: a table that leads to a page for each submission. No network, no script."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from html import escape
from pathlib import Path

from verify.grading.graded import CheckMark, Graded
from verify.grading.groups import alike
from verify.grading.sheet import marks_text
from verify.report.figures import clean, plural
from verify.report.look import MARKS
from verify.report.saving import save_text
from verify.results import Verdict

__all__ = ["save_pages"]

_STYLE = """
:root { color-scheme: light dark; --line: #8886; --good: #17803d; --bad: #c02626; --open: #a66300; }
@media (prefers-color-scheme: dark) { :root { --good: #5fcf87; --bad: #ff8078; --open: #e8b04b; } }
body { font: 1rem/1.5 system-ui, sans-serif; margin: 2rem auto; max-width: 72rem; padding: 0 1rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .25rem .6rem; border-bottom: 1px solid var(--line); vertical-align: top; }
td.number { text-align: right; font-variant-numeric: tabular-nums; }
pre { overflow-x: auto; padding: .8rem; border: 1px solid var(--line); border-radius: .3rem; }
.pass { color: var(--good); } .fail, .error { color: var(--bad); } .undecided { color: var(--open); }
"""


def save_pages(folder: Path, graded: Sequence[Graded], checks: Sequence[str], title: str) -> None:
    """Write ``index.html`` and ``designs/…`` into ``folder``.

    Raises :class:`verify.errors.ToolError` when it cannot be done.
    """
    files = _files(graded)
    for each in graded:
        save_text(folder / "designs" / files[each.name], _design(each), "the page of a design")
    save_text(folder / "index.html", _index(graded, checks, title, files), "the table of grades")


def _files(graded: Sequence[Graded]) -> dict[str, str]:
    """A file name for each that any file system takes; those that would be equal get a digest."""
    found: dict[str, str] = {}
    for each in graded:
        plain = re.sub(r"[^A-Za-z0-9._-]+", "-", each.name).strip(".-")[:80]
        if plain != each.name or plain.lower() in {name.lower() for name in found.values()}:
            digest = hashlib.sha256(each.name.encode(errors="surrogatepass")).hexdigest()[:8]
            plain = f"{plain or 'design'}-{digest}"
        found[each.name] = f"{plain}.html"
    return found


def _index(graded: Sequence[Graded], checks: Sequence[str], title: str, files: dict[str, str]) -> str:
    head = "".join(f'<th scope="col">{_text(check)}</th>' for check in checks)
    rows = "".join(_row(each, files[each.name]) for each in graded)
    passed = sum(each.verdict == "pass" for each in graded)
    groups = "".join(
        f"<li>{_text(plural(len(group.members), 'design'))}: {_text(group.check)}: {_text(group.what)}<br>"
        + ", ".join(f'<a href="designs/{files[name]}">{_text(name)}</a>' for name in group.members)
        + "</li>"
        for group in alike(graded, at_least=2)
    )
    return _page(
        title,
        f"<p>{plural(len(graded), 'design')}, {passed} of them pass.</p>"
        '<div class="wide"><table><thead><tr><th scope="col">design</th><th scope="col">marks</th>'
        f"{head}</tr></thead><tbody>{rows}</tbody></table></div>"
        + (f"<h2>Alike</h2><ul>{groups}</ul>" if groups else ""),
    )


def _row(each: Graded, file: str) -> str:
    cells = "".join(f"<td>{_verdict(check)}</td>" for check in each.checks)
    marks = f"{marks_text(each.marks)} / {marks_text(each.out_of)}"
    link = f'<a href="designs/{file}">{_text(each.name)}</a>'
    return f'<tr><th scope="row">{link}</th><td class="number">{marks}</td>{cells}</tr>\n'


def _design(each: Graded) -> str:
    parts = [
        '<p><a href="../index.html">all designs</a> · '
        f"{marks_text(each.marks)} of {marks_text(each.out_of)}</p>"
    ]
    parts += [
        f"<h2>{_verdict(check)} {_text(check.name)}</h2><pre>{_text(check.detail, lines=True)}</pre>"
        for check in each.checks
    ]
    return _page(each.name, "\n".join(parts))


def _verdict(check: CheckMark) -> str:
    return f'<span class="{check.verdict}">{MARKS[Verdict(check.verdict)]} {check.verdict}</span>'


def _page(title: str, body: str) -> str:
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{_text(title)}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{_STYLE}</style></head><body><main><h1>{_text(title)}</h1>\n{body}</main></body></html>\n"
    )


def _text(text: str, *, lines: bool = False) -> str:
    shown = "\n".join(clean(part) for part in text.split("\n")) if lines else clean(text)
    return escape(shown)
