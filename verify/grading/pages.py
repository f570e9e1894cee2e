"""All grades as pages: a table that leads to a page for each submission. No network, no script."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from pathlib import Path

from verify.grading.graded import CheckMark, Graded
from verify.grading.groups import alike
from verify.grading.sheet import marks_text
from verify.report.figures import clean, plural
from verify.report.look import MARKS
from verify.report.saving import save_text
from verify.results import Verdict

__all__ = ["Pages"]

_BACK = '<p><a href="../index.html">all designs</a></p>'
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


class Pages:
    """``index.html`` and ``designs/…`` in ``folder``, for the submissions of these names."""

    def __init__(self, folder: Path, names: Iterable[str]) -> None:
        self._folder, self._files = folder, _files(names)

    def save(self, name: str, page: str, key: str) -> None:
        """Write the page of one submission, as the page of a run. ``key``: that of its grade.

        Raises :class:`verify.errors.ToolError` when it cannot be done.
        """
        text = page.replace("</body>", f"{_BACK}</body>", 1) + _sign(key)
        save_text(self._folder / "designs" / self._files[name], text, "the page of a design")

    def finish(
        self, graded: Sequence[Graded], keys: Mapping[str, str], checks: Sequence[str], title: str
    ) -> None:
        """Write the table, and a plain page for each submission that has none of this grade yet."""
        for each in graded:
            file = self._folder / "designs" / self._files[each.name]
            if not _signed(file, keys[each.name]):
                save_text(file, _design(each), "the page of a design")
        save_text(self._folder / "index.html", _index(graded, checks, title, self._files), "the table")


def _sign(key: str) -> str:
    return f"<!-- {key} -->\n"


def _signed(file: Path, key: str) -> bool:
    """Whether the page was written for the grade of that key."""
    sign = _sign(key).encode()
    try:
        with file.open("rb") as stream:
            stream.seek(-len(sign), 2)
            return stream.read() == sign
    except OSError:
        return False


def _files(names: Iterable[str]) -> dict[str, str]:
    """A file name for each that any file system takes; those that would be equal get a digest."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        plain = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip(".-")[:80]
        if plain != name or f"{plain}.html".lower() in taken:
            digest = hashlib.sha256(name.encode(errors="surrogatepass")).hexdigest()[:8]
            plain = f"{plain or 'design'}-{digest}"
        found[name] = f"{plain}.html"
        taken.add(found[name].lower())
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
