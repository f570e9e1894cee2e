"""What is said of the unexpected."""

from __future__ import annotations

import tempfile

from verify.report.crash import crash_of


def test_a_temporary_folder_that_vanishes_is_no_fault_of_ours(tmp_path, monkeypatch) -> None:
    gone = tmp_path / "gone"
    monkeypatch.setattr(tempfile, "tempdir", str(gone))
    told = crash_of(FileNotFoundError(2, "No such file or directory", str(gone / "run")))
    assert told.message == f"the temporary folder {gone} was removed during the run"
    assert told.advice is not None
    assert "TMPDIR" in told.advice


def test_any_other_missing_file_is_kept_to_be_looked_into(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    told = crash_of(FileNotFoundError(2, "No such file or directory", "elsewhere"))
    assert told.message.startswith("something unexpected went wrong")
    (kept,) = tmp_path.iterdir()
    assert str(kept) in (told.advice or "")
    assert "FileNotFoundError" in kept.read_text(encoding="utf-8")
