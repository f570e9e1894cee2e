"""What is read comes to an end, whatever a name leads to."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from verify.whole_files import MOST_BYTES, read_whole


def test_a_regular_file_is_read_whole(tmp_path: Path) -> None:
    content = bytes(range(256)) * 999
    (tmp_path / "a.v").write_bytes(content)
    (tmp_path / "link.v").symlink_to("a.v")
    assert read_whole(tmp_path / "a.v") == read_whole(tmp_path / "link.v") == content
    (tmp_path / "empty.v").touch()
    assert read_whole(tmp_path / "empty.v") == b""


def _bound(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as there:
        there.bind(str(path))


def _long(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (os.mkfifo, "a pipe or a device"),
        (lambda path: path.symlink_to("/dev/zero"), "a pipe or a device"),
        (lambda path: path.symlink_to("/dev/null"), "a pipe or a device"),
        (lambda path: path.symlink_to(path), "Too many levels of symbolic links"),
        (_bound, "No such device or address"),
        (_long, "more than 64 MB"),
        (Path.mkdir, "Is a directory"),
        (lambda path: None, "No such file"),
    ],
    ids=["pipe", "endless", "device", "loop", "socket", "long", "folder", "missing"],
)
def test_what_is_no_file_of_a_sensible_size_is_an_error_at_once(
    make: Callable[[Path], None], message: str, tmp_path: Path
) -> None:
    make(tmp_path / "a.v")
    with pytest.raises(OSError, match=message):
        read_whole(tmp_path / "a.v")
