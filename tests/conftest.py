"""What holds for every test."""

from __future__ import annotations

import signal
from collections.abc import Iterator

import pytest
from hypothesis import settings

# A deadline would assert a time, and a busy machine would fail it.
settings.register_profile("everyedge", deadline=None)
settings.load_profile("everyedge")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell ignores it for what it starts in the background, and the commands under test would, too.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(scope="session", autouse=True)
def build_cache(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Builds are kept beside pytest's own cache, not among the user's, and once for all rooms.

    So the runtime of Verilator and the library for Icarus are compiled once.
    """
    kept = getattr(request.config, "cache", None)
    folder = kept.mkdir("everyedge") if kept is not None else tmp_path_factory.mktemp("everyedge")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("EVERYEDGE_CACHE", str(folder))
        yield
