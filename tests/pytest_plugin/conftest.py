from __future__ import annotations

import pytest
from benches import CHECK, HEAD, RIGHT, WRONG

# A run inside this process forgets the modules that it is the first to load; these bear no second load.
import verify.checks.bench_run
import verify.properties  # noqa: F401 -- as above


@pytest.fixture
def folder(pytester):
    """A folder with ``right.v``, ``wrong.v`` and a bench of a check for each."""

    def make(**files):
        (pytester.path / "right.v").write_text(RIGHT)
        (pytester.path / "wrong.v").write_text(WRONG)
        checks = [CHECK.format(name=f"{m} one", module=m) for m in ("right", "wrong")]
        (pytester.path / "bench.toml").write_text(HEAD + "".join(checks))
        for name, text in files.items():
            (pytester.path / name.replace("__", ".")).write_text(text)
        return pytester

    return make
