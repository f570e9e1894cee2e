"""What a check drove, and on which ports."""

from __future__ import annotations

from verify.bench import ResolvedCheck, port_text
from verify.pictures import Binding, Driven
from verify.signals import Reset, Signal
from verify.stimulus import Stage

__all__ = ["DrivenCounter", "bindings_of"]


class DrivenCounter:
    """Adds up stimuli by what they are for."""

    def __init__(self) -> None:
        self._found: dict[str, Driven] = {}

    def add(self, stage: Stage) -> None:
        """Count one played stage."""
        old = self._found.get(stage.name, Driven(stage.name, 0, 0))
        resets = int((stage.stimulus.reset != Reset.RELEASED).sum())
        self._found[stage.name] = Driven(
            stage.name, old.stimuli + 1, old.clocks + stage.stimulus.length, old.resets + resets
        )

    def report(self) -> tuple[Driven, ...]:
        """In the order in which they were first played."""
        return tuple(self._found.values())


def bindings_of(check: ResolvedCheck) -> tuple[Binding, ...]:
    """Every bound role with its port, inputs first."""
    specs = {spec.name: spec for spec in check.family.roles}
    found = []
    for role, references in check.roles.items():
        for i, reference in enumerate(references):
            name = f"{role}[{i}]" if specs[role].many else role
            port = port_text(check, Signal(name, reference.width))
            found.append(Binding(name, port, reference.width, specs[role].direction))
    return tuple(sorted(found, key=lambda binding: binding.direction))
