from __future__ import annotations

import os
import resource
import signal
import stat
from pathlib import Path

import pytest

from verify.errors import ToolError
from verify.report.saving import check_writable, save_text

WHAT = "the JSON result"


def test_a_file_is_written_whole_with_the_usual_mode(tmp_path):
    file = tmp_path / "result.json"
    save_text(file, "{}\n", WHAT)
    assert file.read_text() == "{}\n"
    plain = tmp_path / "plain"
    plain.touch()
    assert stat.S_IMODE(file.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_an_existing_file_keeps_its_mode_and_a_link_stays_a_link(tmp_path):
    file, link = tmp_path / "result.json", tmp_path / "latest.json"
    file.write_text("old")
    file.chmod(0o600)
    link.symlink_to(file)
    save_text(link, "new", WHAT)
    assert link.is_symlink()
    assert file.read_text() == "new"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_full_disk_is_said_and_leaves_no_part(tmp_path, monkeypatch):
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with pytest.raises(ToolError, match=r"the JSON result could not be written to /dev/full: No space left"):
        save_text(Path("/dev/full"), "{}" * 10_000, WHAT)


def test_a_file_too_large_leaves_the_old_one_and_no_part(tmp_path):
    file = tmp_path / "result.json"
    file.write_text("old")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    heard = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, before[1]))
    try:
        with pytest.raises(ToolError, match=r"result\.json: File too large"):
            save_text(file, "x" * 100_000, WHAT)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, heard)
    assert file.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["result.json"]


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("missing/result.json", r"there is no folder .*missing"),
        ("folder", r"it is a folder"),
        ("bench.toml", r"would overwrite .*bench\.toml: a \.toml file is a bench or a design"),
        ("rtl.V", r"would overwrite .*rtl\.V"),
    ],
)
def test_what_would_fail_later_is_said_before_the_run(tmp_path, name, message):
    (tmp_path / "folder").mkdir()
    with pytest.raises(ToolError, match=message):
        check_writable(tmp_path / name, WHAT)


def test_a_folder_that_may_not_be_written_is_said_before_the_run(tmp_path):
    if os.geteuid() == 0:
        pytest.skip("root may write anywhere")
    tmp_path.chmod(0o500)
    with pytest.raises(ToolError, match="permission denied"):
        check_writable(tmp_path / "result.json", WHAT)


def test_a_place_that_can_be_written_is_accepted(tmp_path):
    check_writable(tmp_path / "result.json", WHAT)
    check_writable(Path("/dev/null"), WHAT)
