"""The vocabulary of any model, wrapped or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, cast

from verify.diagnose.bent.rewrapping import holds_innermost, rewrapped
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.fault import Edit, Fault
from verify.diagnose.vocabulary.context import Context
from verify.diagnose.vocabulary.converters import converter_edits, sequential_edits
from verify.diagnose.vocabulary.counters import counter_edits
from verify.diagnose.vocabulary.decoders import decoder_edits
from verify.diagnose.vocabulary.displays import display_edits
from verify.diagnose.vocabulary.dividers import square_edits, tick_edits
from verify.diagnose.vocabulary.inputs import control_edits, data_edits
from verify.diagnose.vocabulary.timers import timer_edits
from verify.models.bcd_converter import Converter
from verify.models.bcd_sequential import SequentialConverter
from verify.models.counter_model import Counter
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.divider_square import SquareDivider
from verify.models.divider_tick import TickDivider
from verify.models.golden import GoldenModel
from verify.models.latched import Latched, Machine
from verify.models.segment_decoder import Decoder, HoldingDecoder
from verify.models.timer_model import Timer

__all__ = ["edits"]


def edits(model: GoldenModel, context: Context) -> Iterator[Edit]:
    """Every single fault of ``model``, the plain ones first. A wrapper's are those of what is inside."""
    if isinstance(model, Wrapper):
        taken = holds_innermost(model)
        for edit in edits(model.inner, context):
            if not (taken and holds_innermost(edit.model)):
                yield replace(edit, model=rewrapped(model, edit.model))
        return
    for fault, edited in control_edits(model, context):
        yield Edit((fault,), edited)
    if isinstance(model, Latched):
        yield from _behind(model, context)
        return
    for fault, edited in _own(model, context):
        yield Edit((fault,), edited, whole=bool(getattr(edited, "outlives_reset", False)))
    for fault, edited in data_edits(model, context):
        yield Edit((fault,), edited)


def _behind(model: Latched, context: Context) -> Iterator[Edit]:
    """The faults of the machine behind a latch, which has no port for its enable."""
    unseen = {signal.name for signal in model.inner.inputs} - {signal.name for signal in model.inputs}
    names = replace(context, names={**context.names, **dict.fromkeys(unseen, "its latch")})
    for edit in edits(model.inner, names):
        if not any(unseen & set(fault.reads) for fault in edit.faults):
            yield replace(edit, model=replace(model, inner=cast(Machine, edit.model)))


def _own(model: Any, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    if isinstance(model, TickDivider):
        yield from tick_edits(model, context)
    elif isinstance(model, SquareDivider):
        yield from square_edits(model, context)
    elif isinstance(model, Counter):
        yield from counter_edits(model, context)
    elif isinstance(model, Timer):
        yield from timer_edits(model, context)
    elif isinstance(model, SequentialConverter):
        yield from sequential_edits(model, context)
    elif isinstance(model, Converter):
        yield from converter_edits(model, context)
    elif isinstance(model, (StaticDisplay, ScannedDisplay)):
        yield from display_edits(model, context)
    elif isinstance(model, (Decoder, HoldingDecoder)):
        yield from decoder_edits(model, context)
