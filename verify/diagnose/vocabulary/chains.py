"""Faults of one stage in a chain, whether it is a digit of a counter or a stage of a timer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from verify.diagnose.bent.bends import Bend
from verify.diagnose.fault import Fault, staged
from verify.wording import enumerated

__all__ = ["stage_bends"]

Bends = tuple[Bend, ...]


def stage_bends(
    bends: Bends,
    moduli: Sequence[int],
    names: Sequence[str],
    signals: Sequence[str],
    *,
    controls: dict[str, str],
    down: bool,
    seen_carries: Sequence[Sequence[int]],
    seen_wraps: Sequence[Sequence[int]],
    prescaled: bool = False,
) -> Iterator[tuple[Fault, Bends]]:
    """Every fault of every stage. ``controls``: control -> port for those that are bound.

    ``prescaled``: not every clock is a step.

    ``seen_carries``: per stage the values at which the next one was seen to step; ``seen_wraps``:
    the values that followed the last one.
    """
    for i in range(len(bends)):
        for fault, bend in _stage(
            i, bends[i], moduli, names, controls, down=down, seen=(seen_carries[i], seen_wraps[i])
        ):
            at = i + 1 if ".carry_at = " in fault.key else i  # a carry shows where it goes
            shown = tuple(s for s in signals[at : at + 1] if s)
            yield replace(fault, signals=shown), (*bends[:i], bend, *bends[i + 1 :])
    for i in range(1, len(bends)):
        if prescaled:
            yield _stale(i, bends, names)
            yield _restless(i, bends, names)
        if i + 1 < len(bends):
            yield from _passed_on(i, bends, names)


def _stale(i: int, bends: Bends, names: Sequence[str]) -> tuple[Fault, Bends]:
    """The carry was noted when the fastest stage stepped last."""
    name, below = names[i], enumerated(names[:i])
    text = (
        f"{name} steps one step of {names[0]} late: whether {below} {'are' if i > 1 else 'is'} full "
        "is noted at one step, and counts at the next"
    )
    fault = Fault(f"{name}.carry = one step late", text, f"a carry into {name} one step late")
    return fault, (*bends[:i], replace(bends[i], late=True, stale=True), *bends[i + 1 :])


def _restless(i: int, bends: Bends, names: Sequence[str]) -> tuple[Fault, Bends]:
    """Nobody asks whether the fastest stage steps."""
    name, below = names[i], enumerated(names[:i])
    text = (
        f"{name} steps with every clock while {below} {'are' if i > 1 else 'is'} in the last state: "
        f"it does not wait for the step of {names[0]}"
    )
    fault = Fault(f"{name}.carry = every clock", text, f"{staged(name)} that steps with every clock then")
    return fault, (*bends[:i], replace(bends[i], restless=True), *bends[i + 1 :])


def _passed_on(i: int, bends: Bends, names: Sequence[str]) -> Iterator[tuple[Fault, Bends]]:
    """Where each stage is stepped by the one below, a wrong step reaches all stages above as well."""
    name, below, above = names[i], names[i - 1], enumerated(names[i + 1 :])
    yield (
        Fault(
            f"{name}.carry = one clock late, passed on",
            f"{name} steps one clock late, and {above} with it: the carry of {below} passes a register first",
            f"a carry into {name} one clock late",
        ),
        (*bends[:i], *(replace(bend, late=True) for bend in bends[i:])),
    )
    yield (
        Fault(
            f"{name}.carry = none, passed on",
            f"{name} steps together with {names[0]}, without waiting for a carry, and carries into {above}",
            f"{staged(name)} without carry",
        ),
        (
            *bends[:i],
            *(replace(b, waits_for=tuple(range(i, j))) for j, b in enumerate(bends[i:], i)),
        ),
    )


def _stage(
    i: int,
    bend: Bend,
    moduli: Sequence[int],
    names: Sequence[str],
    controls: dict[str, str],
    *,
    down: bool,
    seen: tuple[Sequence[int], Sequence[int]],
) -> Iterator[tuple[Fault, Bend]]:
    name, last = names[i], 0 if down else moduli[i] - 1
    if i > 0:
        yield from _carries(i, bend, names, controls)
    elif "enable" in controls:
        run = controls["enable"]
        text = f"{name} does not look at {run}: it steps in a pause too"
        yield (
            Fault(f"{name}.{run} = ignored", text, f"{staged(name)} that ignores {run}"),
            replace(bend, heedless=True),
        )
    yield from _turns(i, bend, moduli, names, last, down=down, seen=seen)
    yield from _deaf(bend, name, controls)
    yield (
        Fault(f"{name} = stuck", f"{name} never counts", f"{staged(name)} that stands still"),
        replace(bend, stuck=True),
    )
    way = "up" if down else "down"
    yield (
        Fault(
            f"{name}.direction = {way}",
            f"{name} counts {way} while the others count the right way",
            f"{staged(name)} that counts {way}",
        ),
        replace(bend, backwards=not bend.backwards),
    )
    yield (
        Fault(
            f"{name}.direction = {way}, carry as before",
            f"{name} counts {way} while the others count the right way, and carries when it leaves {last}",
            f"{staged(name)} that counts {way}",
        ),
        replace(bend, backwards=not bend.backwards, carry_at=last),
    )


def _carries(
    i: int, bend: Bend, names: Sequence[str], controls: dict[str, str]
) -> Iterator[tuple[Fault, Bend]]:
    name, below = names[i], names[i - 1]
    for emptied in (True, False) if {"clear", "load"} & set(controls) else (True,):
        for waits in (False, True) if "enable" in controls else (False,):
            extra = "" if emptied else ", and a clear or load does not stop it"
            extra += ", and it waits out a pause" if waits else ""
            text = f"{name} steps one clock late: the carry of {below} passes a register first{extra}"
            key = (
                f"{name}.carry = one clock late"
                + ("" if emptied else ", kept")
                + (", waits" if waits else "")
            )
            yield (
                Fault(key, text, f"a carry into {name} one clock late"),
                replace(bend, late=True, late_emptied=emptied, late_waits=waits),
            )
    if i > 1:
        text = (
            f"{name} steps at every step while {below} is in its last state: "
            f"it does not wait for {enumerated(names[: i - 1])}"
        )
        yield (
            Fault(f"{name}.waits_for = {below}", text, f"{staged(name)} that waits for {below} only"),
            replace(bend, waits_for=(i - 1,)),
        )
        for j in range(i - 1):
            yield (
                Fault(
                    f"{name}.carry = of {names[j]}",
                    f"{name} steps when {names[j]} rolls over, not when {below} does",
                    f"{staged(name)} that takes the carry of {names[j]}",
                ),
                replace(bend, waits_for=tuple(range(j + 1))),
            )
    yield (
        Fault(
            f"{name}.carry = none",
            f"{name} steps together with {names[0]}, without waiting for a carry",
            f"{staged(name)} without carry",
        ),
        replace(bend, waits_for=()),
    )
    if "enable" in controls:
        run = controls["enable"]
        text = (
            f"{name} does not look at {run}: it steps in a pause too, as long as {below} is in its last state"
        )
        yield (
            Fault(f"{name}.{run} = ignored", text, f"{staged(name)} that ignores {run}"),
            replace(bend, heedless=True),
        )


def _turns(
    i: int,
    bend: Bend,
    moduli: Sequence[int],
    names: Sequence[str],
    last: int,
    *,
    down: bool,
    seen: tuple[Sequence[int], Sequence[int]],
) -> Iterator[tuple[Fault, Bend]]:
    name, modulo = names[i], moduli[i]
    carries, wraps = seen
    if i + 1 < len(moduli):
        likely = [*carries, modulo - 1 if down else 0, *((last - 1, last + 1) if not down else (1,))]
        for value in dict.fromkeys(v for v in likely if v != last and 0 <= v < modulo):
            text = f"{names[i + 1]} steps when {name} leaves {value}, not when it leaves {last}"
            yield (
                Fault(
                    f"{name}.carry_at = {value}",
                    text,
                    f"a carry out of {name} at {value}",
                    constants=((value, last),),
                ),
                replace(bend, carry_at=value),
            )
    proper = modulo - 1 if down else 0
    for value in dict.fromkeys(v for v in (*wraps, 1) if v != proper and v >= 0):
        text = f"after {last} {name} goes on at {value} instead of {proper}"
        yield (
            Fault(
                f"{name}.wraps_to = {value}",
                text,
                f"{staged(name)} that wraps to {value}",
                constants=((value, proper),),
            ),
            replace(bend, wrap_to=value),
        )


def _deaf(bend: Bend, name: str, controls: dict[str, str]) -> Iterator[tuple[Fault, Bend]]:
    for control in ("clear", "load"):
        if control not in controls:
            continue
        port = controls[control]
        for what, text in (
            ("holds", f"{port} leaves {name} as it is"),
            ("steps", f"{name} does not look at {port}: it counts on"),
        ):
            yield (
                Fault(
                    f"{name}.{port} = {'ignored' if what == 'holds' else 'ignored, counts on'}",
                    text,
                    f"{staged(name)} that ignores {port}",
                ),
                replace(bend, **{control: what}),  # type: ignore[arg-type]
            )
    if "reset" in controls:
        yield (
            Fault(
                f"{name}.reset = missing",
                f"reset leaves {name} as it is",
                f"{staged(name)} without reset",
            ),
            replace(bend, reset="holds"),
        )
        yield (
            Fault(
                f"{name}.reset = at the clock edge",
                f"{name} takes reset at the clock edge only, the rest at once",
                f"{staged(name)} with a synchronous reset",
            ),
            replace(bend, reset="waits"),
        )
