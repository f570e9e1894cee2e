"""``everyedge models``: what a bench can say of each golden model."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Sequence

import click

from verify.models.catalogue import FAMILIES
from verify.models.family import Family, OptionSpec, RoleSpec
from verify.report.look import Lines, hanging, line, rule
from verify.report.printing import Printer

__all__ = ["print_families"]

_KINDS = {"flag": "true or false", "names": "list of names", "numbers": "list of numbers"}

_NUMBER = "A number is an integer, or an expression over the module's parameters in quotes."


def print_families(names: tuple[str, ...]) -> int:
    """All families in short, or those named in full; a usage error for a name that none has."""
    for name in names:
        if name not in FAMILIES:
            near = difflib.get_close_matches(name, FAMILIES, n=1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            raise click.UsageError(f"No such model '{name}'.{hint} The models are: {', '.join(FAMILIES)}.")
    printer = Printer(sys.stdout)
    told = _in_full if names else _in_short
    for name in names or FAMILIES:
        printer.print([*told(FAMILIES[name], printer.width), line("")])
    more = "`everyedge models NAME` says what each role and option means."
    printer.print(hanging("", _NUMBER if names else more, printer.width, indent=0, column=0, style="dim"))
    return 0


def _in_short(family: Family, width: int) -> Lines:
    lines = [rule(family.name, width, "cyan"), *hanging("", family.about, width, column=0)]
    for title in ("input", "output"):
        roles = [role.name for role in family.roles if role.direction == title]
        lines += hanging(f"{title}s", ", ".join(roles), width) if roles else []
    return lines + hanging("options", ", ".join(option.name for option in family.options), width)


def _in_full(family: Family, width: int) -> Lines:
    lines = [rule(family.name, width, "cyan"), *hanging("", family.about, width, column=0)]
    longest = max(len(name) for name in (*_names(family.roles), *_names(family.options)))
    column = min(longest + 2, 24)
    for title in ("input", "output"):
        roles = [role for role in family.roles if role.direction == title]
        lines += _headed(f"{title}s, under `ports`", roles, column, width)
    return lines + _headed("options, under `expect`", list(family.options), column, width)


def _names(specs: Sequence[RoleSpec] | Sequence[OptionSpec]) -> list[str]:
    return [spec.name for spec in specs]


def _headed(title: str, specs: list[RoleSpec] | list[OptionSpec], column: int, width: int) -> Lines:
    lines: Lines = [line("  ", (title, "dim"))] if specs else []
    for spec in specs:
        about = _role_words(spec) if isinstance(spec, RoleSpec) else _option_words(spec)
        lines += hanging(spec.name, about, width, indent=4, column=column, label_style="bold")
    return lines


def _role_words(role: RoleSpec) -> str:
    extra = ["a list, least significant first"] if role.many else []
    extra += ["may be active low"] if role.control else []
    return f"{role.about} ({', '.join(extra)})" if extra else role.about


def _option_words(option: OptionSpec) -> str:
    kind = " or ".join(option.choices) if option.choices else _KINDS.get(option.kind, option.kind)
    default = "" if option.default is None else f"; default {_default(option.default)}"
    return f"{option.about} [{kind}{default}]"


def _default(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return ", ".join(map(str, value)) if isinstance(value, (list, tuple)) else str(value)
