"""Put another model into a wrapper."""

from __future__ import annotations

from dataclasses import replace

from verify.diagnose.bent.inputs import InputsChanged, inputs_changed
from verify.diagnose.bent.outputs import OutputsRewired, outputs_rewired
from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import GoldenModel

__all__ = ["holds_innermost", "rewrapped"]


def rewrapped(wrapper: Wrapper, inner: GoldenModel) -> GoldenModel:
    """The same wrapper around another model, which may be of another kind.

    Of two that have to stand next to the golden model itself there can only be one, see
    :func:`holds_innermost`.
    """
    if isinstance(wrapper, OutputsRewired):
        return outputs_rewired(inner, wrapper.wires)
    if isinstance(wrapper, InputsChanged):
        return inputs_changed(inner, *wrapper.changes)
    if _is_innermost(wrapper) and isinstance(inner, Wrapper):
        return rewrapped(inner, rewrapped(wrapper, inner.inner))
    return replace(wrapper, inner=inner)


def holds_innermost(model: GoldenModel) -> bool:
    """Whether one of its wrappers has to stand next to the golden model itself."""
    while isinstance(model, Wrapper):
        if _is_innermost(model):
            return True
        model = model.inner
    return False


def _is_innermost(model: GoldenModel) -> bool:
    return bool(getattr(model, "innermost", False))
