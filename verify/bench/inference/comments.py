"""What the comments of a module say it does: how many states, which way, by how much it divides."""

from __future__ import annotations

import re
from collections.abc import Iterator

from verify.bench.inference.view import View

__all__ = ["RANGE", "comments_of", "said_converter", "said_down", "said_ratio", "said_states"]

_COMMENT = re.compile(r"//([^\n]*)|/\*(.*?)\*/", re.DOTALL)
_TO = r"(?:to|-|\u2013|\.\.+|~|->|\u2192|bis|a|\xe0|hasta|at\xe9|ate|al|do|tot|till|through|thru|until)"
RANGE = re.compile(rf"(?i)(?<![\w.'\[])0+\s*{_TO}\s*(\d+)(?![\w.'\]]|\s*[kMG]?Hz)")
"""``0 to 99``: the highest number in the group."""

_DOWNWARDS = re.compile(rf"(?i)(?<![\w.'\[])(\d+)\s*(?:down\s*)?{_TO}\s*0+(?![\w.'\]])")
_MODULO = re.compile(
    r"(?i)\bmod(?:ulo|ulus|\.)?[\s_-]*(\d+)\b|\b(\d+)[\s-]*(?:states|zust\xe4nde|\xe9tats|estados)\b"
)
_COUNTS = re.compile(
    r"(?i)count|cnt|z\xe4hl|zaehl|compt|cont[aeo]|cuent|licz|tell?er|r\xe4kn|jishu|\u8ba1\u6570|wrap|roll|range|values?"
)
_DECADE = re.compile(
    r"(?i)\bdecade\b|\b(?:bcd|decimal)[\s-]+(?:digit[\s-]+)?(?:up[\s-]+)?counter"
    r"|(?:compteur|contador|contatore|z\xe4hler|zaehler|licznik|teller)\s+(?:bcd|d[e\xe9]c\w*|dezim\w*|dzies\w*)"
    r"|dezimalz\xe4hler|dekadenz\xe4hler|dekadischer"
)
_DOWN = re.compile(
    r"(?i)\bcounts?[\s-]+down|\bdown[\s-]*counter|\bcount-?down|r\xfcckw\xe4rts|rueckwaerts|d\xe9compt|descend|"
    r"cuenta (?:atr\xe1s|regresiva)|conto alla rovescia|decresc|abw\xe4rts"
)
_BOTH_WAYS = re.compile(
    r"(?i)\bup[\s/-]*(?:and|or)?[\s/-]*down\b|\bdown[\s/]*up\b|vor[\s/-]*(?:und|oder)?[\s/-]*r"
)
_DIVIDES = re.compile(
    r"(?i)\bdivid\w*\s+(?:[\w']+\s+){0,3}?(?:by|por|per|par)\s+(\d[\d_]*)(?!\s*[\w.]*hz)|"
    r"\bteil\w*\s+(?:[\w']+\s+){0,3}?durch\s+(\d[\d_]*)|\bdivis\w*\s+par\s+(\d[\d_]*)|\xf7\s*(\d[\d_]*)|"
    r"(?<!\w)/\s?(\d[\d_]*)\s+(?:divider|counter|prescaler)"
)
_CONVERTS = re.compile(
    r"(?i)double[\s-]*dabble|add[\s-]*3|binary?[\s-]*(?:to|->|2)[\s-]*(?:bcd|decimal)|bin[\s-]*(?:to|2)[\s-]*bcd|"
    r"to bcd|nach bcd|en bcd|a bcd|in bcd|\bbcd (?:conver|encod)|dez\w*wandl"
)
_USUAL_LAST = {5, 9, 11, 23, 59, 99, 999, 9999}


def comments_of(view: View) -> Iterator[str]:
    """Every comment above and in the module, a line at a time."""
    yield from view.header.splitlines()
    for match in _COMMENT.finditer(view.text):
        yield from (match[1] or match[2] or "").splitlines()


def said_states(view: View, most: int) -> tuple[int, str] | None:
    """The one number of states, up to ``most``, that the comments speak of, and the comment."""
    found: dict[int, str] = {}
    for comment in comments_of(view):
        for number in _states_in(comment):
            if 1 < number <= most:
                found.setdefault(number, " ".join(comment.split())[:60])
    return next(iter(found.items())) if len(found) == 1 else None


def _states_in(comment: str) -> Iterator[int]:
    for match in _MODULO.finditer(comment):
        yield int(match[1] or match[2])
    if _DECADE.search(comment):
        yield 10
    if re.search(r"(?i)\bbits?\b|\bdigits?\b|\bstell", comment):
        return
    for pattern in (RANGE, _DOWNWARDS):
        for match in pattern.finditer(comment):
            last = int(match[1])
            if last > 1 and (_COUNTS.search(comment) or last in _USUAL_LAST):
                yield last + 1


def said_down(view: View) -> bool:
    """Whether the comments say that it counts down, and nothing of both ways."""
    text = "\n".join(comments_of(view))
    ranges = any(_COUNTS.search(c) and _DOWNWARDS.search(c) for c in comments_of(view))
    return bool(_DOWN.search(text) or ranges) and not _BOTH_WAYS.search(text)


def said_ratio(view: View) -> tuple[int, str] | None:
    """The one number that the comments say a clock is divided by, and the comment."""
    found: dict[int, str] = {}
    for comment in comments_of(view):
        for match in _DIVIDES.finditer(comment):
            number = int(next(group for group in match.groups() if group).replace("_", ""))
            if number > 1:
                found.setdefault(number, " ".join(comment.split())[:60])
    return next(iter(found.items())) if len(found) == 1 else None


def said_converter(view: View) -> bool:
    """Whether the comments say that a number becomes decimal digits."""
    return any(_CONVERTS.search(comment) for comment in comments_of(view))
