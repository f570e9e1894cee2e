"""``everyedge watch``: check again what a saved file touches."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

from verify.checks.engine import LOAD
from verify.checks.jobs import CheckJob
from verify.checks.settings import Settings
from verify.cli.paths import split_paths
from verify.cli.watch_lines import change_line, notice_line, tally_line
from verify.errors import BenchError, EveryedgeError
from verify.report.failure import detail_lines
from verify.report.figures import path_text
from verify.report.look import Lines
from verify.report.printing import Printer
from verify.report.trouble import error_lines
from verify.results import CheckResult, Verdict
from verify.watching import BenchState, Signature, Waking, look_at, signature_of
from verify.workers import Finished, Pool

__all__ = ["watch_paths"]

LOOK_SECONDS = 0.7
"""How often the files are looked at without word from the operating system."""

SETTLED_SECONDS = 0.04
"""A file that is still being written changes within this time."""

MOST_NAMED = 3

Key = tuple[Path, str]


def watch_paths(paths: Sequence[Path], *, only: tuple[str, ...], settings: Settings, verbose: bool) -> int:
    """Check, and check again until somebody ends it; never returns by itself.

    Raises the errors of :mod:`verify.errors` when there is no bench to begin with.
    """
    if not (found := split_paths(paths))[0]:
        raise BenchError(
            f"{path_text(found[1][0])} is Verilog; a watch needs the bench that says what must be true of it",
            advice="name the bench, or the folder that it is in",
        )
    anchors = {path.absolute() for bench in found[0] for path in (bench, bench.parent)}
    anchors |= {path.absolute() for path in paths or (Path(),)}
    watch = _Watch(lambda: split_paths(paths)[0], anchors, only, settings, verbose=verbose)
    with Pool(load=LOAD) as pool, Waking() as waking:
        pool.warm_up()
        try:
            watch.follow(pool, waking)
        except KeyboardInterrupt:
            watch.close()
            raise
    return 0


class _Watch:
    """What was seen last, and what was said of it."""

    def __init__(
        self,
        find: Callable[[], tuple[Path, ...]],
        anchors: set[Path],
        only: tuple[str, ...],
        settings: Settings,
        *,
        verbose: bool,
    ) -> None:
        self._find, self._anchors, self._only, self._settings = find, anchors, only, settings
        self._verbose = verbose
        self._printer = Printer(sys.stdout)
        self._states: dict[Path, BenchState] = {}
        self._seen: Signature = {}
        self._begun: dict[Key, str] = {}  # the digest that is being checked, or was
        self._verdicts: dict[Key, Verdict] = {}
        self._batch = 0
        self._troubles: list[Lines] = []

    def follow(self, pool: Pool, waking: Waking) -> None:
        """Look, check, wait, for ever."""
        self._look(pool, waking)
        missing = [name for name in self._only if not any(name == check for _, check in self._begun)]
        if missing and not any(state.error for state in self._states.values()):
            known = ", ".join(sorted({name for state in self._states.values() for name in state.digests}))
            raise BenchError(f"no check is called {missing[0]!r}", advice=f"the checks are: {known}")
        while True:
            for finished in pool.finished(LOOK_SECONDS, [waking]):
                self._told(finished)
            if self._batch and not pool.open:
                self._sum_up()
            waking.drain()
            if signature_of(self._seen) != self._seen:
                self._settle()
                self._look(pool, waking)

    def close(self) -> None:
        """The last line."""
        self._printer.print([tally_line(self._verdicts.values(), "ended")])

    # --- looking -----------------------------------------------------------------------------

    def _settle(self) -> None:
        """Wait until nothing moves: editors save in several steps."""
        before = signature_of(self._seen)
        for _ in range(10):
            time.sleep(SETTLED_SECONDS)
            now = signature_of(self._seen)
            if now == before:
                return
            before = now

    def _look(self, pool: Pool, waking: Waking) -> None:
        """See what is different, and have it checked."""
        before, benches = self._seen, self._benches()
        # Taken before the files are read: what changes meanwhile is seen as a change.
        now = signature_of(set(before) | {bench.absolute() for bench in benches})
        changed = [path for path in now if now[path] != before.get(path) and not path.is_dir()]
        begun: list[Key] = []
        for bench in {*self._states, *benches}:
            if bench not in benches:
                self._forget(bench, pool)
                continue
            old, new = self._states.get(bench), look_at(bench)
            self._states[bench] = new
            self._tell_error(bench, old, new)
            begun += self._begin(bench, new, pool)
        known = self._anchors | {path for state in self._states.values() for path in state.paths}
        folders = {folder for path in known for folder in (path, path.parent)}
        # What is known since a moment ago is taken as it is now; the rest as it was then.
        self._seen = dict(signature_of(known | folders)) | {p: s for p, s in now.items() if p in known}
        waking.watch(folders)
        if begun and before:
            self._printer.print([notice_line(_named(changed), len(begun), self._printer.width)])

    def _benches(self) -> tuple[Path, ...]:
        try:
            return self._find()
        except EveryedgeError:
            return ()

    def _begin(self, bench: Path, state: BenchState, pool: Pool) -> list[Key]:
        """Start the checks that something has changed for; end those that are out of date."""
        begun = []
        wanted = {name: d for name, d in state.digests.items() if not self._only or name in self._only}
        for key in [key for key in self._begun if key[0] == bench and key[1] not in wanted]:
            pool.cancel((*key, self._begun.pop(key)))
            if state.error is None:
                self._verdicts.pop(key, None)
        for name, digest in wanted.items():
            key = (bench, name)
            if self._begun.get(key) == digest:
                continue
            if key in self._begun:
                pool.cancel((*key, self._begun[key]))
            self._begun[key] = digest
            failing = self._verdicts.get(key) not in (None, Verdict.PASS)
            pool.add((*key, digest), CheckJob(bench, name, self._settings), rank=0 if failing else 1)
            begun.append(key)
        return begun

    def _forget(self, bench: Path, pool: Pool) -> None:
        self._begin(bench, BenchState(), pool)
        del self._states[bench]
        self._printer.print([notice_line(f"{path_text(bench)} is gone", 0, self._printer.width)])

    def _tell_error(self, bench: Path, old: BenchState | None, new: BenchState) -> None:
        said = None if old is None or old.error is None else str(old.error)
        if new.error is not None and str(new.error) != said:
            self._printer.print(error_lines(new.error, self._printer.width))
        elif new.error is None and said is not None:
            self._printer.print([notice_line(f"{path_text(bench)} can be read", 0, self._printer.width)])

    # --- telling -----------------------------------------------------------------------------

    def _told(self, finished: Finished) -> None:
        bench, name, digest = cast(tuple[Path, str, str], finished.key)
        outcome = finished.outcome
        cancelled = isinstance(outcome, EveryedgeError) and outcome.kind == "cancelled"
        if cancelled or self._begun.get((bench, name)) != digest:
            return
        shown = name if len(self._states) == 1 else f"{path_text(bench.parent)} · {name}"
        result = _result(outcome, shown)
        before = self._verdicts.get((bench, name))
        self._verdicts[bench, name] = result.verdict
        self._batch += 1
        self._printer.print([change_line(result, before, self._printer.width)])
        if isinstance(outcome, EveryedgeError):
            self._tell_trouble(outcome)
        elif self._verbose and result.verdict is not Verdict.PASS:
            self._printer.print(detail_lines(result, self._printer.width))

    def _tell_trouble(self, error: EveryedgeError) -> None:
        """In full, and once for all the checks that it stops."""
        lines = error_lines(error, self._printer.width)
        if lines not in self._troubles:
            self._troubles.append(lines)
            self._printer.print(lines)

    def _sum_up(self) -> None:
        if self._batch > 1:
            self._printer.print([tally_line(self._verdicts.values(), "watching")])
        self._batch = 0
        self._troubles.clear()


def _result(outcome: CheckResult | EveryedgeError, name: str) -> CheckResult:
    if isinstance(outcome, EveryedgeError):
        return CheckResult(name, "", "", Verdict.ERROR, outcome.message.splitlines()[0])
    return replace(outcome, name=name)


def _named(changed: Iterable[Path]) -> str:
    names = sorted({path_text(path) for path in changed})
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more
