"""Room for deep recursion: the Verilog reader recurses, and a full stack would end the process."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

__all__ = ["call_with_room"]

_STACK_BYTES = 512 * 1024 * 1024
"""Only what is used becomes memory; it is enough for an expression of 100 000 terms."""

_T = TypeVar("_T")


def call_with_room(function: Callable[[], _T]) -> _T:
    """Call ``function`` on a large stack; gives back what it returns or raises."""
    results: list[_T] = []
    errors: list[BaseException] = []

    def run() -> None:
        try:
            results.append(function())
        except BaseException as error:  # noqa: BLE001 -- handed on to the caller
            errors.append(error)

    before = threading.stack_size(_STACK_BYTES)
    try:
        thread = threading.Thread(target=run, name="verilog reader", daemon=True)
        thread.start()
    finally:
        threading.stack_size(before)
    thread.join()
    if errors:
        raise errors[0]
    return results[0]
