from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.errors import ToolError
from verify.grading import CheckMark, Graded, alike
from verify.grading.pages import Pages
from verify.grading.sheet import as_csv
from verify.grading.state import State


def mark(verdict="pass", likeness="", name="count", weight=1.0, reason="why"):
    what = likeness and f"it is {likeness}"
    return CheckMark(name, verdict, weight, reason, what, likeness, f"<b>{reason}</b>")


def graded(name, *marks):
    return Graded(name, marks or (mark(),), 1.5)


@given(cut=st.integers(0, 400), junk=st.binary(max_size=20))
def test_whatever_is_cut_off_or_added_to_the_state_no_grade_is_wrong(tmp_path_factory, cut, junk):
    file = tmp_path_factory.mktemp("state") / "s.jsonl"
    grades = {str(number): graded(f"n\u2028{number}", mark("fail", "a\u2028b\n")) for number in range(3)}
    with State(file) as state:
        for key, each in grades.items():
            assert state.add(key, each)
    raw = file.read_bytes()
    file.write_bytes(raw[: max(len(raw) - cut, 0)] + junk)
    with State(file) as state:
        assert state.known.items() <= grades.items()
        missing = [key for key in grades if key not in state.known]
        assert all(state.add(key, grades[key]) for key in missing)
    with State(file) as state:
        assert state.known == grades


def test_a_grade_is_kept_once_and_two_commands_do_not_share_a_state(tmp_path):
    with State(tmp_path / "s.jsonl") as state:
        assert state.add("k", graded("a"))
        assert not state.add("k", graded("b"))
        with (
            pytest.raises(ToolError, match="are being graded by another command"),
            State(tmp_path / "s.jsonl"),
        ):
            pass
    with State(tmp_path / "s.jsonl") as state:
        assert state.known["k"].name == "a"
    (tmp_path / "folder").mkdir()
    with pytest.raises(ToolError, match="cannot be kept in"), State(tmp_path / "folder"):
        pass


def test_designs_that_go_wrong_alike_are_grouped_the_commonest_first():
    sorts = {"a": "x", "b": "y", "c": "x", "d": "", "e": "x", "f": "y", "g": "z"}
    grades = [graded(name, mark("fail" if like else "pass", like)) for name, like in sorts.items()]
    groups = alike(grades, at_least=2)
    assert [(group.what, group.members) for group in groups] == [
        ("it is x", ("a", "c", "e")),
        ("it is y", ("b", "f")),
    ]
    other_check = graded("h", mark("fail", "x", name="carry"))
    assert alike([*grades, other_check], at_least=2) == groups


def test_marks_are_the_weights_of_passes_and_doubt_is_for_a_person():
    each = graded("a", mark(weight=3), mark("fail", weight=2), mark("undecided", weight=0.5))
    assert (each.marks, each.out_of, each.verdict, each.doubtful) == (3, 5.5, "fail", True)
    assert not graded("a", mark("fail")).doubtful
    assert Graded("a", ()).verdict == "undecided"


def test_the_sheet_has_a_row_each_and_no_word_of_a_design_becomes_a_formula():
    grades = [
        graded("=1+1", mark("fail", "x", reason="@sum"), mark(name="carry")),
        graded("b", mark(), mark()),
    ]
    first, second = csv.DictReader(io.StringIO(as_csv(grades, ["count", "carry"])))
    assert first["submission"] == "'=1+1"
    assert first["count: why"] == "'@sum; it is x"
    assert (first["marks"], first["out of"], first["percent"], first["count: group"]) == (
        "1",
        "2",
        "50.0",
        "1",
    )
    assert (second["verdict"], second["count: group"]) == ("pass", "")


def test_pages_lead_to_every_design_and_show_its_words_as_words(tmp_path):
    names = ["<script>", "a/../b", "a", "A", "ü", ".."]
    grades = [graded(name, mark("fail", "<i>", reason="<img>")) for name in names]
    folder = tmp_path / "h"
    (folder / "designs").mkdir(parents=True)
    keys = {name: f"key of {number}" for number, name in enumerate(names)}
    made = Pages(folder, names)
    made.save("a", "<body>with pictures</body>", keys["a"])
    made.save("A", "<body>of an earlier grade</body>", "another key")
    made.finish(grades, keys, ["count"], "in & out")
    assert "with pictures" in (folder / "designs" / "a.html").read_text()
    pages = sorted((folder / "designs").iterdir())
    assert not any("earlier" in page.read_text(encoding="utf-8") for page in pages)
    assert len({page.name.lower() for page in pages}) == len(names)
    index = (folder / "index.html").read_text(encoding="utf-8")
    assert all(f'href="designs/{page.name}"' in index for page in pages)
    for text in (index, *(page.read_text(encoding="utf-8") for page in pages)):
        assert not any(tag in text for tag in ("<script>", "<img>", "<i>", "<b>"))
        assert "http" not in text
