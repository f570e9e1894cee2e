"""What a user calls the signals of a model."""

from __future__ import annotations

from collections.abc import Mapping

from verify.bench import ResolvedCheck, reference_of
from verify.models.golden import GoldenModel
from verify.signals import Signal

__all__ = ["Names", "names_of"]

Names = Mapping[str, str]
"""Signal of the model -> the port or ports that it is bound to, as the design calls them."""


def names_of(check: ResolvedCheck, model: GoldenModel) -> Names:
    """The names of all signals of ``model``."""
    return {s.name: _port_text(check, s) for s in (*model.inputs, *model.outputs)}


def _port_text(check: ResolvedCheck, signal: Signal) -> str:
    texts = []
    for part in reference_of(check, signal).slices:
        port = check.module.port(part.port)
        if port is None or part.width == port.width:
            texts.append(part.port)
            continue
        step = 1 if port.left >= port.right else -1
        low = port.right + step * part.offset
        high = low + step * (part.width - 1)
        texts.append(f"{part.port}[{low}]" if part.width == 1 else f"{part.port}[{high}:{low}]")
    return texts[0] if len(texts) == 1 else "{" + ", ".join(reversed(texts)) + "}"
