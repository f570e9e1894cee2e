"""Designs that are not run: they hold what no synthesisable design needs."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from verify.bench import Bench, ResolvedCheck
from verify.design.board_view import unlike_on_board
from verify.design.interface import UnsafeConstruct
from verify.errors import DesignError
from verify.whole_files import is_file

__all__ = ["allowing", "refuse_unsafe"]

_SHOWN_FURTHER = 5


def allowing(bench: Bench, words: Sequence[str]) -> Bench:
    """The bench with more constructs allowed; a ``$`` before a word may be left out."""
    plain = tuple(word.lstrip("$`").lower() for word in (*bench.design.allow, *words))
    return replace(bench, design=bench.design.model_copy(update={"allow": plain}))


def refuse_unsafe(check: ResolvedCheck) -> None:
    """Raise DesignError, with the place of the first, for constructs that are not allowed."""
    target = check.target
    found = [*check.module.unsafe]
    found += unlike_on_board(target.sources, target.include_folders, dict(target.defines))
    refused = [construct for construct in found if construct.word.lower() not in check.allowed]
    if refused:
        raise _refusal(refused)
    _require_data(check)


def _require_data(check: ResolvedCheck) -> None:
    """Raise DesignError for a memory whose file is not there: it would stay unknown for ever."""
    target = check.target
    for data in check.module.data_files:
        if Path(data.name).is_absolute():
            continue
        beside = (data.place.file.parent, *(path.parent for path in target.sources))
        folders = list(dict.fromkeys(folder for each in beside for folder in target.data_folders(each)))
        if any(is_file(folder / data.name) for folder in folders):
            continue
        looked = " and ".join(_short(folder) for folder in folders)
        raise DesignError(
            f'{data.task} reads "{data.name}", and there is no such file in {looked}',
            place=data.place,
            advice="put the file there, or correct its name; a name is looked up from the folder of the "
            "bench (without a bench: the working directory), then beside the sources and above them",
        )


def _short(folder: Path) -> str:
    folder = Path(os.path.normpath(folder))
    try:
        return f"./{folder.relative_to(Path.cwd())}" if folder != Path.cwd() else "the working directory"
    except ValueError:
        return str(folder)


def _refusal(refused: Sequence[UnsafeConstruct]) -> DesignError:
    first, *others = refused
    lines = [f"{first.what} is refused: {first.why}"]
    lines += [f"  {other.place}: {other.what}: {other.why}" for other in others[:_SHOWN_FURTHER]]
    if len(others) > _SHOWN_FURTHER:
        lines.append(f"  and {len(others) - _SHOWN_FURTHER} more")
    words = list(dict.fromkeys(construct.word for construct in refused))
    options = " ".join(f"--allow {word}" for word in words)
    keys = ", ".join(f'"{word}"' for word in words)
    return DesignError(
        "\n".join(lines),
        place=first.place,
        advice="take it out of the design, where no circuit comes from it; if the files are yours and it "
        f"is meant, say {options}, or allow = [{keys}] under [design]",
    )
