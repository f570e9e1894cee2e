from __future__ import annotations

from pathlib import Path

import pytest

from verify.cli.paths import benches_in, split_paths
from verify.cli.selection import jobs_at_once, selected
from verify.errors import BenchError

CHECKS = """
[design]
sources = ["t.v"]
[[check]]
name = "{}"
model = "bcd"
ports = {{ binary = "a", bcd = "b" }}
"""


@pytest.fixture
def tree(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for folder in ("b", "a/deep", ".hidden", "node_modules/x"):
        Path(folder).mkdir(parents=True)
        (Path(folder) / "bench.toml").write_text(CHECKS.format(folder))
        (Path(folder) / "t.v").write_text("module t(input a, output b); assign b = a; endmodule\n")
    return tmp_path


def test_a_folder_means_every_bench_below_it_in_the_order_of_names(tree):
    assert benches_in(Path()) == (Path("a/deep/bench.toml"), Path("b/bench.toml"))


def test_a_bench_in_the_folder_itself_is_the_one_that_is_meant(tree):
    Path("bench.toml").write_text(CHECKS.format("here"))
    assert benches_in(Path()) == (Path("bench.toml"),)


def test_no_word_means_the_folder_one_stands_in(tree):
    assert split_paths([])[0] == benches_in(Path())


def test_a_bench_named_twice_is_checked_once(tree):
    benches, _ = split_paths([Path("b"), Path("b/bench.toml"), tree / "b" / "bench.toml"])
    assert len(benches) == 1


def test_a_bench_may_have_any_name_that_ends_in_toml(tree):
    Path("my.TOML").write_text("")
    assert split_paths([Path("my.TOML")])[0] == (Path("my.TOML"),)


def test_only_picks_the_benches_that_have_the_check(tree):
    benches = benches_in(Path())
    assert selected(benches, ("b",)) == [(Path("b/bench.toml"), ("b",))]
    assert selected(benches, ()) == [(bench, ()) for bench in benches]


def test_only_with_a_name_that_no_bench_has_says_the_nearest(tree):
    with pytest.raises(BenchError, match="no check is called 'a/deap' in the 2 benches") as error:
        selected(benches_in(Path()), ("a/deap",))
    assert error.value.advice == "did you mean 'a/deep'?"


def test_a_bench_that_cannot_be_read_does_not_stop_the_choice_among_the_others(tree):
    Path("b/bench.toml").write_text("nonsense")
    assert selected(benches_in(Path()), ("a/deep",)) == [(Path("a/deep/bench.toml"), ("a/deep",))]


def test_a_folder_without_a_bench_names_the_verilog_to_start_from(tree):
    Path("c").mkdir()
    Path("c/timer.v").touch()
    with pytest.raises(BenchError, match=r"no bench\.toml in c or below it") as error:
        benches_in(Path("c"))
    assert "`everyedge check c/timer.v`" in error.value.advice


@pytest.mark.parametrize("text", ["check = 3", "not TOML", "check = " + "[" * 9_000, "\x00", ""])
def test_what_is_no_bench_is_left_to_whoever_reads_it(tmp_path, text):
    (tmp_path / "bench.toml").write_text(text)
    (tmp_path / "endless.toml").symlink_to("/dev/zero")
    for name in ("bench.toml", "endless.toml", "none.toml"):
        assert jobs_at_once([(tmp_path / name, ())], 8) == 1
