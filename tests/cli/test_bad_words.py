"""Words that cannot be meant: a clear refusal, exit status 2, nothing started."""

from __future__ import annotations

import json
import os

import pytest

BENCH = '[design]\nsources = ["no.v"]\n'


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "bench.toml").write_text(BENCH)
    (tmp_path / "timer.v").write_text("module timer(input clk); endmodule\n")
    (tmp_path / "notes.txt").write_text("x")
    (tmp_path / "empty").mkdir()
    return tmp_path


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["check", "--jsn", "x"], "'--jsn'. (Did you mean one of: '--jobs', '--json', '--junit'?)"),
        (["chek"], "No such command 'chek'. Did you mean 'check'?"),
        (["bench.toml"], "Did you mean 'everyedge check bench.toml'?"),
        (["check", "--seed", "abc"], "'abc'; expected a whole number from 0 to 18446744073709551615"),
        (["check", "--seed", "-1"], "'-1'; expected a whole number"),
        (["check", "--seed", "1.5"], "'1.5'; expected a whole number"),
        (["check", "--simulator", "verilater"], "'verilater' is not one of 'auto', 'icarus', 'verilator'"),
        (["check", "--quiet", "--verbose"], "--quiet and --verbose contradict each other"),
        (["check", "--json", "-", "--junit", "-"], "--json and --junit need two different places"),
        (["check", "--html", "-", "--json", "-"], "--json and --html need two different places"),
        (["check", "--html", "timer.v"], "the page would overwrite timer.v"),
        (["check", "--html", "no/r.html"], "the page cannot be written to no/r.html: there is no folder no"),
        (["check", "--vcd", "timer.v"], "cannot be written below timer.v: timer.v is a file"),
        (["check", "--annotate", "gitlab"], "'gitlab' is not 'github'"),
        (["replay"], "Missing argument 'FILE'"),
        (["models", "timmer"], "No such model 'timmer'."),
        (["check", "bensh.toml"], "bensh.toml: error: there is no such file\n  did you mean bench.toml?"),
        (["check", "tmier.v"], "tmier.v: error: there is no such file\n  did you mean timer.v?"),
        (["check", "gone/bench.toml"], "there is no folder gone either"),
        (["check", "notes.txt"], "notes.txt is neither a bench (bench.toml) nor Verilog (.v, .sv)"),
        (["check", "empty"], "there is no bench.toml in empty or below it"),
        (["check", "bench.toml", "timer.v"], "both a bench (bench.toml) and Verilog (timer.v) were named"),
        (["check", "--json", "no/r.json"], "there is no folder no\n  make it first (mkdir -p no)"),
        (["check", "--json", "empty"], "the JSON result cannot be written to empty: it is a folder"),
        (["check", "--json", "bench.toml"], "the JSON result would overwrite bench.toml"),
        (["check", "--junit", "timer.v"], "the JUnit result would overwrite timer.v"),
        (["replay", "gone.json"], "gone.json"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_is_refused_with_a_hint(everyedge, folder, words, told):
    ran = everyedge(*words)
    assert ran.status == 2
    assert told in ran.err
    assert ran.out == ""
    assert (folder / "bench.toml").read_text() == BENCH


def test_an_error_is_in_the_json_as_well(everyedge, folder):
    ran = everyedge("check", "bensh.toml", "--json", "-")
    found = json.loads(ran.out)
    assert ran.status == 2
    assert found["verdict"] == "error"
    assert found["error"]["kind"] == "bench"
    assert found["error"]["file"] == "bensh.toml"


def test_a_folder_of_verilog_says_how_to_start(everyedge, folder):
    (folder / "bench.toml").unlink()
    ran = everyedge("check")
    assert ran.status == 2
    assert "`everyedge check timer.v` infers one" in " ".join(ran.err.split())


def test_a_bench_with_a_fault_names_its_line(everyedge, folder):
    (folder / "bench.toml").write_text('[design]\nsources = ["timer.v"]\n\n[[chekc]]\nmodel = "timer"\n')
    ran = everyedge("check")
    assert ran.status == 2
    assert "bench.toml:4:" in ran.err
    assert "error: " in ran.err


def test_an_error_is_annotated_on_its_line_and_put_on_the_page(everyedge, folder):
    (folder / ".git").mkdir()
    (folder / "bench.toml").write_text('[design]\nsources = ["timer.v"]\n\n[[chekc]]\nmodel = "timer"\n')
    ran = everyedge("check", "--annotate", "github", "--html", "page.html", "--vcd", "waves")
    assert ran.status == 2
    assert ran.out.startswith("::error file=bench.toml,line=4,col=")
    assert "title=everyedge%3A bench error::" in ran.out
    assert "bench.toml:4:" in (folder / "page.html").read_text()
    assert not (folder / "waves").exists()


@pytest.mark.parametrize("name", ["pipe.v", "endless.toml"])
def test_a_pipe_or_a_device_is_named_and_never_waited_for(everyedge, tmp_path, name):
    if "endless" in name:
        (tmp_path / name).symlink_to("/dev/zero")
    else:
        os.mkfifo(tmp_path / name)
    told = everyedge("check", name)
    assert told.status == 2
    assert "it is a pipe or a device, not a regular file" in told.err


def test_a_link_to_nothing_is_not_told_to_be_a_misspelling_of_itself(everyedge, tmp_path):
    (tmp_path / "dial.v").symlink_to("dial.v")
    told = everyedge("check", "dial.v")
    assert told.status == 2
    assert "it is a link to what is not there" in told.err
