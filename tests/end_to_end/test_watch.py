"""``everyedge watch`` as somebody uses it who edits meanwhile."""

from __future__ import annotations

import os
import queue
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path

import psutil
import pytest

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
COMMAND = [sys.executable, "-m", "verify", "watch"]


class Watched:
    """A watch that runs; ``hears`` waits for a line and gives back those up to it."""

    def __init__(self, folder, *words):
        self.folder = folder
        environment = {**os.environ, "PYTHONUNBUFFERED": "1", "COLUMNS": "100"}
        self.process = subprocess.Popen(
            [*COMMAND, *words],
            cwd=folder,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
        )
        self.lines = queue.Queue()
        self.reader = threading.Thread(target=self._read)
        self.reader.start()

    def _read(self):
        for line in self.process.stdout:
            self.lines.put(line)
        self.lines.put(None)

    def hears(self, *parts):
        heard = []
        while True:
            line = self.lines.get(timeout=60)
            heard.append(line)
            assert line is not None, f"it ended: {heard}"
            if all(part in line for part in parts):
                return "".join(heard)

    def end(self, number=signal.SIGINT):
        below = psutil.Process(self.process.pid).children(recursive=True)
        self.process.send_signal(number)
        status = self.process.wait(20)
        self.reader.join()
        self.process.stdout.close()
        assert psutil.wait_procs(below, timeout=20)[1] == []
        rest = []
        while (line := self.lines.get()) is not None:
            rest.append(line)
        return status, "".join(rest)


@pytest.fixture
def watched(tmp_path):
    begun = []

    def begin(name, *words):
        ignored = shutil.ignore_patterns(".everyedge")
        shutil.copytree(EXAMPLES / name, tmp_path / "it", ignore=ignored)
        begun.append(Watched(tmp_path / "it", *words))
        return begun[-1]

    yield begin
    for watch in begun:
        if watch.process.poll() is None:
            watch.end(signal.SIGKILL)


def test_a_watch_follows_saves_of_every_kind_and_checks_what_they_touch(watched):
    watch = watched("exposure_timer", "--only", "decoder", "--only", "converter")
    rtl, bench = watch.folder / "rtl", watch.folder / "bench.toml"
    decoder, right = rtl / "seven_segment.v", (rtl / "seven_segment.v").read_text()
    watch.hears("watching: 2 pass")

    decoder.write_text(right.replace("4'd3", "4'd4"))
    watch.hears("rtl/seven_segment.v", "checking 1 check again")
    assert "converter" not in watch.hears("pass → fail", "decoder")

    (rtl / ".save").write_text(right)  # as editors do that save by renaming
    (rtl / ".save").rename(decoder)
    watch.hears("fail → pass", "decoder")

    decoder.write_text("module seven_segment (input wire")  # half way
    said = watch.hears("watching: 2 error")
    assert said.count("rtl/seven_segment.v:1:") == said.count("error: expected") == 1
    decoder.unlink()
    watch.hears("watching: ")
    decoder.write_text(right)
    watch.hears("watching: 2 pass")

    text = bench.read_text()
    bench.write_text(text.replace("latency = 2", "latency = "))
    watch.hears("bench.toml:", "error: not valid TOML")
    bench.unlink()
    watch.hears("bench.toml is gone")
    bench.write_text(text)
    watch.hears("watching: 2 pass")

    status, said = watch.end()
    assert status == 130
    assert "ended: 2 pass" in said
    assert "Traceback" not in said


def test_a_save_during_a_check_ends_it_and_the_newest_is_what_counts(watched):
    watch = watched("exposure_timer", "--only", "display", "--only", "decoder")
    watch.hears("pass", "decoder")
    decoder = watch.folder / "rtl" / "seven_segment.v"
    text = decoder.read_text()
    for number in range(3):  # the display takes seconds, so it is still being checked
        decoder.write_text(text.replace("4'd3", "4'd4") + f"// {number}\n")
        watch.hears("checking 2 checks again")
    said = watch.hears("fail", "display")
    assert said.count("display") == 1
    status, said = watch.end(signal.SIGTERM)
    assert status == 143


def test_what_cannot_be_watched_is_an_error_at_once(watched, tmp_path):
    for words, said in [
        (["nothing.toml"], "there is no such file"),
        ([str(EXAMPLES / "counter_step" / "rtl" / "five_minutes.v")], "a watch needs the bench"),
        ([str(EXAMPLES / "counter_step"), "--only", "no"], "no check is called 'no'"),
    ]:
        ran = subprocess.run([*COMMAND, *words], cwd=tmp_path, capture_output=True, text=True, check=False)
        assert ran.returncode == 2
        assert said in ran.stderr
