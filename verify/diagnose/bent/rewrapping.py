"""Put another model into a wrapper."""

from __future__ import annotations

from dataclasses import replace

from verify.diagnose.bent.inputs import InputsChanged, inputs_changed
from verify.diagnose.bent.outputs import OutputsRewired, outputs_rewired
from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import (
    GoldenModel,
)

__all__ = ["rewrapped"]


def rewrapped(wrapper: Wrapper, inner: GoldenModel) -> GoldenModel:
    """The same wrapper around another model, which may be of another kind."""
    if isinstance(wrapper, OutputsRewired):
        return outputs_rewired(inner, wrapper.wires)
    if isinstance(wrapper, InputsChanged):
        return inputs_changed(inner, *wrapper.changes)
    if getattr(wrapper, "innermost", False) and isinstance(inner, Wrapper):
        return rewrapped(inner, rewrapped(wrapper, inner.inner))
    return replace(wrapper, inner=inner)
