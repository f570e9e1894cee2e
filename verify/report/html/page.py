"""The page: the view of an outcome, put into the templates."""

from __future__ import annotations

import base64
import hashlib
from importlib.metadata import version
from importlib.resources import files

import jinja2
from markupsafe import Markup

from verify.report.figures import count, duration, path_text, plural
from verify.report.html.views import PageView, check_views, error_view
from verify.report.look import MARKS
from verify.report.outcome import Outcome
from verify.report.summary import tally_text

__all__ = ["as_html", "page_view"]

_FOLDER = "templates"


def as_html(outcome: Outcome) -> str:
    """The whole page as one text."""
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader(__package__ or "verify.report.html", _FOLDER),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    text = environment.get_template("page.html.j2").render(page=page_view(outcome))
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def page_view(outcome: Outcome) -> PageView:
    """Everything that the page says, before it is laid out."""
    style = (files(__package__ or "verify.report.html") / _FOLDER / "style.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    verdict = outcome.verdict
    names = [path_text(part.source) for part in outcome.parts]
    heading = names[0] if len(names) == 1 else plural(len(names), "bench", "benches")
    clocks = sum(check.cycles for check in outcome.checks)
    return PageView(
        title=f"{verdict.value}: {heading}",
        heading=heading,
        verdict=verdict.value,
        mark=MARKS[verdict],
        style=Markup(style),  # noqa: S704 -- the package's own file, no word of the user in it
        style_hash=f"sha256-{digest}",
        numbers=(
            ("result", tally_text(outcome)),
            ("clocks compared", count(clocks)),
            ("time", duration(outcome.seconds)),
        ),
        checks=check_views(outcome),
        errors=tuple(error_view(part.source, part.error) for part in outcome.parts if part.error is not None),
        interrupted=outcome.interrupted,
        version=version("everyedge"),
    )
