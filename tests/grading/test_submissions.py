"""What lies in a folder of submissions is read, or named, and never waited for."""

from __future__ import annotations

import os

from verify.grading.submissions import find_submissions


def test_pipes_devices_links_and_loops_are_never_opened(tmp_path):
    (tmp_path / "right.v").write_text("module m; endmodule\n")
    os.mkfifo(tmp_path / "pipe.v")
    (tmp_path / "endless.v").symlink_to("/dev/zero")
    (tmp_path / "all").symlink_to("/")
    (tmp_path / "loop.v").symlink_to("loop.v")
    inside = tmp_path / "folder"
    inside.mkdir()
    os.mkfifo(inside / "pipe.v")
    (inside / "again").symlink_to(".")
    (inside / "passwd.v").symlink_to("/etc/passwd")
    (inside / "m.v").write_text("module m; endmodule\n")
    (tmp_path / "pipes").mkdir()
    os.mkfifo(tmp_path / "pipes" / "pipe.v")

    found = {each.name: each for each in find_submissions(tmp_path)}
    assert {name for name, each in found.items() if not each.problem} == {"right", "folder"}
    assert [path for path, _ in found["folder"].content] == ["m.v"]
    for name in ("endless", "all", "loop"):
        assert found[name].problem == "it is a link, and links are not followed"
    assert found["pipe"].problem == "it is no file that can be read to its end"
    assert "pipes" not in found
