"""Failing stimuli on disk, to be played again to the same cycle."""

from __future__ import annotations

import json
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from verify.compare import DIRECT, Reading, ResetPath
from verify.errors import BenchError, Place
from verify.models.golden import GoldenModel
from verify.models.playing import ResetKind
from verify.signals import Stimulus, column
from verify.whole_files import read_whole

__all__ = ["FORMAT", "Replay", "load_replay", "save_replay"]

FORMAT = 1
"""Version of the file's layout."""


@dataclass(frozen=True, slots=True)
class Replay:
    """One failing stimulus and the reading under which it fails.

    ``columns``: input name -> value of each run; ``measured``: the open facts of the reading.
    """

    bench: Path
    check: str
    speedup: int
    seed: int
    simulator: str
    kind: ResetKind
    latency_cycles: int
    measured: dict[str, Any]
    cycles: list[int]
    reset: list[int]
    columns: dict[str, list[int]]
    first_difference: int
    reset_path: ResetPath = DIRECT

    @classmethod
    def of(
        cls,
        bench: Path,
        check: str,
        reading: Reading,
        stimulus: Stimulus,
        *,
        speedup: int,
        seed: int,
        simulator: str,
        first_difference: int,
    ) -> Replay:
        """The replay of ``stimulus`` under ``reading``."""
        return cls(
            bench,
            check,
            speedup,
            seed,
            simulator,
            reading.kind,
            reading.latency_cycles,
            dict(reading.candidate.measured),
            stimulus.cycles.tolist(),
            stimulus.reset.tolist(),
            {s.name: c.tolist() for s, c in zip(stimulus.signals, stimulus.values, strict=True)},
            first_difference,
            reading.reset_path,
        )

    def stimulus(self, model: GoldenModel) -> Stimulus:
        """The stimulus over the model's inputs; KeyError when the model has others."""
        return Stimulus(
            model.inputs,
            np.array(self.cycles, np.int64),
            np.array(self.reset, np.uint8),
            tuple(column(self.columns[s.name], s.width) for s in model.inputs),
        )


def save_replay(replay: Replay, directory: Path) -> Path:
    """Write ``replay`` below ``directory``, or below the temporary folder when that cannot be written."""
    slug = re.sub(r"[^A-Za-z0-9]+", "-", replay.check).strip("-").lower() or "check"
    text = json.dumps(
        {
            "everyedge_replay": FORMAT,
            "bench": str(replay.bench),
            "check": replay.check,
            "speedup": replay.speedup,
            "seed": replay.seed,
            "simulator": replay.simulator,
            "reset_kind": replay.kind.value,
            "reset_delay": replay.reset_path.delay_cycles,
            "reset_release": replay.reset_path.release_cycles,
            "latency": replay.latency_cycles,
            "measured": replay.measured,
            "first_difference": replay.first_difference,
            "cycles": replay.cycles,
            "reset": replay.reset,
            "inputs": replay.columns,
        },
        default=list,
    )
    for folder in (directory / ".everyedge" / "replays", Path(tempfile.gettempdir()) / "everyedge-replays"):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path = folder / f"{slug}.json"
            partial = path.with_suffix(".partial")
            partial.write_text(text, encoding="utf-8")
            partial.replace(path)
        except OSError:
            continue
        return path
    raise OSError("no folder to keep the replay in")


def load_replay(path: Path) -> Replay:
    """Read a replay file. Raises :class:`verify.errors.BenchError` when it is none."""
    try:
        data = json.loads(read_whole(path))
        if data["everyedge_replay"] != FORMAT:
            raise BenchError(
                f"a replay of format {data['everyedge_replay']}, this version reads format {FORMAT}",
                place=Place(path),
                advice="run the check again to make a new one",
            )
        return Replay(
            Path(data["bench"]),
            data["check"],
            int(data["speedup"]),
            int(data["seed"]),
            data["simulator"],
            ResetKind(data["reset_kind"]),
            int(data["latency"]),
            data["measured"],
            data["cycles"],
            data["reset"],
            data["inputs"],
            int(data["first_difference"]),
            ResetPath(int(data.get("reset_delay", 0)), int(data.get("reset_release", 0))),
        )
    except OSError as error:
        raise BenchError(
            f"the replay file cannot be read: {error.strerror}", place=Place(path), advice="check the path"
        ) from error
    except (ValueError, KeyError, TypeError) as error:
        raise BenchError(
            "this is no replay file",
            place=Place(path),
            advice="replay files are written by a failing check, under .everyedge/replays beside the bench",
        ) from error
