"""Result files: looked at before the run, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from verify.errors import ToolError
from verify.report.figures import path_text

__all__ = ["check_folder", "check_writable", "save_below", "save_text"]

_INPUT_SUFFIXES = {".toml", ".v", ".vh", ".sv", ".svh"}


def check_writable(file: Path, what: str) -> None:
    """Say before a run that its result could not be written, rather than after it.

    ``what`` names the result, such as ``the JSON result``. Raises :class:`verify.errors.ToolError`
    when ``file`` is a folder, lies in no folder, may not be written, or looks like a design.
    """
    shown = path_text(file)
    if file.suffix.lower() in _INPUT_SUFFIXES:
        raise ToolError(
            f"{what} would overwrite {shown}: a {file.suffix} file is a bench or a design",
            advice="name a file that ends in .json, .xml or .html",
        )
    if file.is_dir():
        raise ToolError(
            f"{what} cannot be written to {shown}: it is a folder", advice="name a file in that folder"
        )
    folder = file.parent
    if not folder.is_dir():
        raise ToolError(
            f"{what} cannot be written to {shown}: there is no folder {path_text(folder)}",
            advice=f"make it first (mkdir -p {path_text(folder)}), or name a file in a folder that is there",
        )
    if not os.access(file if file.exists() else folder, os.W_OK):
        raise ToolError(
            f"{what} cannot be written to {shown}: permission denied",
            advice="name a file that you may write",
        )


def check_folder(folder: Path, what: str) -> None:
    """Say before a run that results could not be written below ``folder``, which may not be there yet.

    Raises :class:`verify.errors.ToolError`.
    """
    above = next(place for place in (folder, *folder.absolute().parents) if place.exists())
    if not above.is_dir():
        raise ToolError(
            f"{what} cannot be written below {path_text(folder)}: {path_text(above)} is a file",
            advice="name a folder",
        )
    if not os.access(above, os.W_OK):
        raise ToolError(
            f"{what} cannot be written below {path_text(folder)}: permission denied",
            advice="name a folder that you may write",
        )


def save_below(folder: Path, name: str, text: str, what: str) -> Path:
    """Write a file into ``folder``, which is made if need be. Raises as :func:`save_text`."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ToolError(
            f"{what} could not be written below {path_text(folder)}: {error.strerror or error}",
            advice="name another folder, and run again",
        ) from None
    save_text(folder / name, text, what)
    return folder / name


def save_text(file: Path, text: str, what: str) -> None:
    """Write UTF-8 ``text``; a reader sees the old file or the new one, never a part.

    Devices and pipes, such as ``/dev/stdout``, are written in place. Raises
    :class:`verify.errors.ToolError` when it cannot be done; then no partial file stays.
    """
    try:
        if file.exists() and not stat.S_ISREG(file.stat().st_mode):
            file.write_text(text, encoding="utf-8")
        else:
            _replace(file.resolve(), text)
    except OSError as error:
        raise ToolError(
            f"{what} could not be written to {path_text(file)}: {error.strerror or error}",
            advice="make room or name another file, and run again",
        ) from None


def _replace(file: Path, text: str) -> None:
    handle, name = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(handle)
            os.fchmod(handle, _mode(file))
        Path(name).replace(file)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise


def _mode(file: Path) -> int:
    """The mode the file has, or that a new one would get."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(file.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
