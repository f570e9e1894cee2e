"""What has been graded so far, kept line by line, so that an interruption costs nothing."""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

from verify.errors import ToolError
from verify.grading.graded import Graded
from verify.report.figures import path_text

__all__ = ["State"]

FORMAT = 1


class State:
    """A file with a line for every submission; a context manager that keeps others out of it.

    A line that is not whole, as an interruption leaves it, counts for nothing.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self.known: dict[str, Graded] = {}
        self._handle = -1

    def add(self, key: str, graded: Graded) -> bool:
        """Keep a grade; False when there is one under that key already, which then stays.

        Raises :class:`verify.errors.ToolError` when it cannot be written.
        """
        if key in self.known:
            return False
        body = json.dumps({"format": FORMAT, "key": key, "graded": graded.as_json()})
        line = f"{_sum(body)} {body}\n".encode(errors="surrogatepass")
        try:
            written = os.write(self._handle, line)
            if written < len(line):
                os.write(self._handle, line[written:])
        except OSError as error:
            raise self._unwritable(error) from None
        self.known[key] = graded
        return True

    def __enter__(self) -> State:
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            self._handle = os.open(self.file, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            raw = self.file.read_bytes()
            self.known = dict(_whole(raw))
            if raw and not raw.endswith(b"\n"):
                os.write(self._handle, b"\n")
        except BlockingIOError:
            self._close()
            raise ToolError(
                f"these designs are being graded by another command, which keeps {path_text(self.file)}",
                advice="wait for its end, or name another file with --state",
            ) from None
        except OSError as error:
            self._close()
            raise self._unwritable(error) from None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()

    def clear(self) -> None:
        """Forget everything."""
        with contextlib.suppress(OSError):
            os.ftruncate(self._handle, 0)
        self.known.clear()

    def _close(self) -> None:
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1

    def _unwritable(self, error: OSError) -> ToolError:
        return ToolError(
            f"the grades cannot be kept in {path_text(self.file)}: {error.strerror or error}",
            advice="name a file that can be written with --state",
        )


def _whole(raw: bytes) -> Iterator[tuple[str, Graded]]:
    for line in raw.decode("utf-8", errors="surrogateescape").splitlines():
        digest, _, body = line.partition(" ")
        if digest != _sum(body):
            continue
        with contextlib.suppress(ValueError, KeyError, TypeError):
            entry = json.loads(body)
            if entry["format"] == FORMAT:
                yield entry["key"], Graded.of_json(entry["graded"])


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode(errors="surrogatepass")).hexdigest()[:16]
