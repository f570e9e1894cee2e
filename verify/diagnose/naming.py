"""What a user calls the signals of a model."""

from __future__ import annotations

from collections.abc import Mapping

from verify.bench import ResolvedCheck, port_text
from verify.models.golden import GoldenModel

__all__ = ["Names", "names_of"]

Names = Mapping[str, str]
"""Signal of the model -> the port or ports that it is bound to, as the design calls them."""


def names_of(check: ResolvedCheck, model: GoldenModel) -> Names:
    """The names of all signals of ``model``."""
    return {s.name: port_text(check, s) for s in (*model.inputs, *model.outputs)}
