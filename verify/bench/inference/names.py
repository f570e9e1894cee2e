"""Names taken apart: the words in them, what they mean, numbers, and marks of polarity."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from verify.bench.inference.vocabulary import MEANINGS

__all__ = ["Name", "name_of"]

_PIECES = re.compile(r"[A-Z]+(?=[A-Z][a-z])|[A-Z]?[a-z]+|[A-Z]+|\d+")
_DIRECTION = {"i", "o", "in", "out", "io", "ip", "op", "inp", "outp"}
_LOW_PREFIX = re.compile(
    r"^([io]_)?n_?(?=(rst|reset|res|clr|clear|en|ena|ce|load|ld|raz)(_|\d|$|[A-Z]))", re.IGNORECASE
)
_LOW_SUFFIX = re.compile(
    r"(?i)(_n|_ni|_no|_low|_neg|_bar|_inv|#)$|_n_(i|o|in|out)$|(rst|reset)n$|"
    r"^(?:[io]_)?(a|s|sys_?|glob_?|por_?)?(rst|reset|res|clr|clear|en)_?(n|b|x|l|ni|bi)(_(i|o|in))?$|bar$"
)
_CAPITALS_LOW = re.compile(r"(?<![A-Za-z])([A-Z]{2,})n(?![A-Za-z])")
"""``LDn``, which is no ``L`` and ``Dn``."""
_CAMEL_LOW = re.compile(r"^n[A-Z]|[a-z]N$|^n(RST|EN|CLR|LOAD)$|_L$")


_UP_OR_DOWN = re.compile(r"(?i)^u_?d(?=_?n?$)")
"""As on the pins of old parts."""


@dataclass(frozen=True, slots=True)
class Name:
    """``words`` in lower case, prefixes of direction left out; ``numbers`` as they come.

    ``low``: the name says active low.
    """

    text: str
    words: tuple[str, ...]
    numbers: tuple[int, ...]
    low: bool

    def means(self, *meanings: str) -> bool:
        """Whether any word of it may mean one of ``meanings``."""
        return any(MEANINGS.get(word, frozenset()) & set(meanings) for word in self.words)

    @property
    def meanings(self) -> frozenset[str]:
        """Everything that its words may mean."""
        return frozenset(m for word in self.words for m in MEANINGS.get(word, frozenset()))

    @property
    def index(self) -> int | None:
        """The number at its end, such as 3 of ``hex3``."""
        match = re.search(r"(\d+)(_[a-z]{1,2})?$", self.text.lower())
        return int(match[1]) if match else None

    def has(self, *words: str) -> bool:
        """Whether one of the words stands in it."""
        return any(word in self.words for word in words)


@lru_cache(maxsize=4096)
def name_of(text: str) -> Name:
    """A name taken apart."""
    stem = text.split("[", maxsplit=1)[0]
    stem = _CAPITALS_LOW.sub(r"\1_n", stem)
    low = bool(_LOW_SUFFIX.search(stem) or _LOW_PREFIX.search(stem) or _CAMEL_LOW.search(stem))
    stem = _UP_OR_DOWN.sub("ud", stem)
    pieces = [piece.lower() for part in re.split(r"[_$]+", stem) for piece in _PIECES.findall(part)]
    numbers = tuple(int(piece) for piece in pieces if piece.isdigit())
    words = [piece for piece in pieces if not piece.isdigit()]
    if len(words) > 1 and words[0] in _DIRECTION:
        words = words[1:]
    if len(words) > 1 and words[-1] in {"i", "o"}:
        words = words[:-1]
    found: list[str] = []
    for word in words:
        found += _split(word)
    found = _joined(found)
    if low and len(found) > 1:
        found = [word for word in found if word not in {"n", "b", "l", "x", "bar", "neg"}] or found
    # "CLK1HZ", "clk_1hz": the unit belongs to the number before it
    return Name(text, tuple(found), numbers, low)


def _joined(words: list[str]) -> list[str]:
    """Two pieces that are one word, such as ``Fen`` and ``Pin``, which have nothing to do with minutes."""
    found: list[str] = []
    for word in words:
        if found and word not in MEANINGS and found[-1] + word in MEANINGS:
            found[-1] += word
        else:
            found.append(word)
    return found


@lru_cache(maxsize=4096)
def _split(word: str) -> tuple[str, ...]:
    """A word, or the known words that it is made of."""
    if word in MEANINGS or len(word) < 4:
        return (word,)
    best: tuple[str, ...] | None = None
    for cut in range(len(word) - 2, 1, -1):
        head, tail = word[:cut], word[cut:]
        if head in MEANINGS and len(head) >= 2:
            rest = (tail,) if tail in MEANINGS or tail in _TAILS else _split(tail)
            if all(part in MEANINGS or part in _TAILS for part in rest):
                best = (head, *rest)
                break
    if best is None and word.startswith(("n", "a", "s", "i", "o")) and word[1:] in MEANINGS:
        return (word[1:],)
    if best is None and word.endswith(("n", "s", "b")) and word[:-1] in MEANINGS:
        return (word[:-1],)
    return best or (word,)


_TAILS = {"in", "out", "reg", "hz", "khz", "mhz", "n", "to", "bit", "bits", "mod", "modulo", "freq"}
