"""Designs written on the spot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from verify.design import Design, read_design

Reader = Callable[..., Design]


@pytest.fixture
def read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Reader:
    """Write ``name=text`` files into an empty folder and read them, with the options given."""
    monkeypatch.chdir(tmp_path)

    def reader(files: str | dict[str, str | bytes], **options: Any) -> Design:
        files = {"d.sv": files} if isinstance(files, str) else files
        for name, text in files.items():
            raw = text.encode() if isinstance(text, str) else text
            Path(name).parent.mkdir(parents=True, exist_ok=True)
            Path(name).write_bytes(raw)
        return read_design(options.pop("sources", list(files)), **options)

    return reader
