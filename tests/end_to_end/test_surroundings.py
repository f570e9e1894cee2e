"""Whatever happens around a run, it gives no wrong verdict, ends, and leaves the next one a clean place."""

from __future__ import annotations

import os
import random
import shutil
import signal
import time
from pathlib import Path

import psutil
import pytest
from surroundings import PATIENCE_SECONDS, RIGHT, WRONG, Workplace

KILLS = int(os.environ.get("EVERYEDGE_KILLS", "3"))
"""How many runs are ended at a random moment."""
SIGNALS = (signal.SIGTERM, signal.SIGINT, signal.SIGKILL, signal.SIGHUP)
BWRAP = shutil.which("bwrap")
needs_walls = pytest.mark.skipif(BWRAP is None, reason="bubblewrap makes the small and read-only folders")


def walls(*words: str | Path) -> list[str]:
    return [str(BWRAP), "--bind", "/", "/", "--dev-bind", "/dev", "/dev", *map(str, words), "--"]


@pytest.fixture
def wrong(tmp_path: Path) -> Workplace:
    return Workplace.made(tmp_path / "wrong", WRONG)


@pytest.fixture
def right(tmp_path: Path) -> Workplace:
    return Workplace.made(tmp_path / "right", RIGHT)


def test_a_run_that_is_ended_at_a_random_moment_gives_no_verdict_and_harms_no_other(wrong, right) -> None:
    luck = random.Random(20)
    assert right.run()[0] == 0
    began = time.monotonic()
    assert wrong.run()[0] == 1
    whole = time.monotonic() - began
    finished = 0
    for turn in range(KILLS):
        if turn % 4 == 0:
            shutil.rmtree(wrong.cache)  # ended during a build, too
            wrong.cache.mkdir()
        process = wrong.start()
        time.sleep(luck.uniform(0, 1.3 * whole))
        how = luck.choice(SIGNALS)
        process.send_signal(how)
        output, _ = process.communicate(timeout=PATIENCE_SECONDS)
        finished += process.returncode == 1
        assert process.returncode in {1, -how, 128 + how}, output
        assert "Traceback" not in output
        assert wrong.verdict() in {None, "fail", "undecided", "error"}
        assert wrong.left_running() == []
    assert wrong.run()[0] == 1
    assert right.run()[0] == 0
    assert wrong.verdict() == "fail"
    assert finished < KILLS  # or nothing was tried


@pytest.mark.parametrize("last", [RIGHT, WRONG])
def test_a_simulator_that_is_killed_is_never_a_pass(tmp_path: Path, last: int) -> None:
    place = Workplace.made(tmp_path / "place", last)
    place.run()
    process = place.start((), "--seed", "5")
    deadline = time.monotonic() + PATIENCE_SECONDS
    killed = False
    while not killed and process.poll() is None and time.monotonic() < deadline:
        for child in psutil.Process(process.pid).children(recursive=True):
            try:
                if child.name() == "vvp":
                    child.kill()
                    killed = True
            except psutil.Error:
                continue
        time.sleep(0.01)
    output, _ = process.communicate(timeout=PATIENCE_SECONDS)
    assert killed
    assert process.returncode in {1, 2, 3}, output
    assert place.verdict() != "pass"
    assert place.left_running() == []
    assert place.run()[0] == (0 if last == RIGHT else 1)


def test_a_cache_in_which_any_file_is_damaged_is_made_anew(right, wrong) -> None:
    luck = random.Random(21)
    shutil.rmtree(wrong.cache)
    wrong.cache.symlink_to(right.cache)
    assert (right.run()[0], wrong.run()[0]) == (0, 1)
    for file in [path for path in right.cache.rglob("*") if path.is_file() and path.stat().st_size]:
        raw = bytearray(file.read_bytes())
        if luck.random() < 0.5:
            raw[luck.randrange(len(raw))] ^= 1 << luck.randrange(8)
        else:
            del raw[luck.randrange(len(raw)) :]
        file.write_bytes(raw)
    assert (right.run()[0], wrong.run()[0]) == (0, 1)


def test_a_build_in_the_place_of_another_is_found_out(right, wrong) -> None:
    """Every file whole, and yet not the design that was asked for."""
    assert (right.run()[0], wrong.run()[0]) == (0, 1)
    (ours,) = wrong.cache.glob("everyedge_*")
    (others,) = right.cache.glob("everyedge_*")
    shutil.rmtree(ours)
    shutil.copytree(others, ours)
    assert wrong.run()[0] == 1


@pytest.mark.parametrize("what", ["cache", "temporary"])
def test_a_folder_that_vanishes_during_a_run_is_never_a_pass(wrong, right, what: str) -> None:
    luck = random.Random(22)
    for place, status in ((wrong, 1), (right, 0)):
        process = place.start()
        time.sleep(luck.uniform(0.3, 2.0))
        shutil.rmtree(getattr(place, what), ignore_errors=True)
        output, _ = process.communicate(timeout=PATIENCE_SECONDS)
        assert process.returncode in {status, 2, 3}, output
        assert "Traceback" not in output
        getattr(place, what).mkdir(exist_ok=True)
        assert place.left_running() == []
        assert place.run()[0] == status


def test_two_runs_in_one_folder_do_not_disturb_each_other(right, wrong) -> None:
    shutil.rmtree(wrong.cache)
    wrong.cache.symlink_to(right.cache)
    running = [(place, place.start()) for place in (right, wrong, right, wrong)]
    statuses = []
    for place, process in running:
        output, _ = process.communicate(timeout=PATIENCE_SECONDS)
        statuses.append((place, process.returncode))
        assert "Traceback" not in output
    assert [status for _, status in statuses] == [0, 1, 0, 1]


@needs_walls
@pytest.mark.parametrize(
    ("what", "size"), [("work", 8192), ("cache", 4096), ("cache", 65536), ("temporary", 16384)]
)
def test_a_full_disk_is_never_a_pass_of_a_wrong_design(wrong, what: str, size: int) -> None:
    small = getattr(wrong, what)
    kept = wrong.folder / "kept"
    shutil.copytree(small, kept)
    inside = [walls("--size", str(size), "--tmpfs", small, "--ro-bind", kept, "/mnt")]
    copy = ["sh", "-c", f'cp -r /mnt/. {small}/; exec "$@"', "sh"]
    status, output = wrong.run([*inside[0], *copy])
    assert status in {1, 2, 3}, output
    assert "Traceback" not in output
    assert wrong.verdict() != "pass"
    assert wrong.run()[0] == 1


@needs_walls
def test_read_only_folders_do_not_change_a_verdict(wrong, right) -> None:
    for place, status in ((right, 0), (wrong, 1)):
        got, output = place.run(
            walls("--ro-bind", place.work, place.work, "--ro-bind", place.cache, place.cache)
        )
        assert got == status, output
