"""Each way to get a bench file wrong has its message, exactly, with the key's place."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.bench import load_bench
from verify.errors import BenchError

WHOLE = "expected a whole number of clocks, 0 or more"
REFERENCE = (
    'expected a port reference: "name", "name[3]", "name[7:4]", a list of these (least significant first), '
    'or { port = "name", active = "low" }'
)
CHECK = 'check "metronome: divider"'
PORTS = 'ports = { tick = "tick", enable = "run" }'

# what is changed, into what, line:column, message, advice
CASES = [
    (
        "sources =",
        "source =",
        "2:1",
        'design: found the unknown key "source", expected one of sources, include, defines, top, allow',
        'did you mean "sources"?',
    ),
    (
        'sources = ["rtl/*.v"]\n',
        "",
        "1:2",
        'design.sources is missing: expected a list of files, such as ["rtl/*.v"]',
        None,
    ),
    (
        '["rtl/*.v"]',
        "3",
        "2:1",
        'design.sources: found 3, expected a list of files, such as ["rtl/*.v"]',
        None,
    ),
    (
        '["rtl/*.v"]',
        '["a.v", 1]',
        "2:19",
        'design.sources[1]: found 1, expected a file or a pattern, such as "rtl/*.v"',
        None,
    ),
    (
        '"metronome"',
        "true",
        "3:1",
        'design.top: found true, expected the name of a module, such as "exposure_timer"',
        None,
    ),
    (
        '"metronome"',
        '"m"\ndefines = { A = [1] }',
        "4:13",
        "design.defines.A: found [1], expected an integer, text, true or false",
        None,
    ),
    (
        "12_000_000",
        '"12 MHz"',
        "7:1",
        'clock.frequency: found "12 MHz", expected a whole number of Hz, such as 12_000_000',
        None,
    ),
    (
        "12_000_000",
        "12.5",
        "7:1",
        "clock.frequency: found 12.5, expected a whole number of Hz, such as 12_000_000",
        None,
    ),
    (
        "12_000_000",
        "0",
        "7:1",
        "clock.frequency: found 0, expected a whole number of Hz, such as 12_000_000",
        None,
    ),
    (
        '"CLK_HZ"',
        '"CLK_HZ"\nspeedup = "fast"',
        "9:1",
        'clock.speedup: found "fast", expected "auto" or a whole number from 1',
        None,
    ),
    (
        '"CLK_HZ"',
        '"CLK_HZ"\nedge = "up"',
        "9:1",
        'clock.edge: found "up", expected "rising" or "falling"',
        None,
    ),
    ('port = "clk"\n', "", "5:2", 'clock.port is missing: expected the name of a port, such as "clk"', None),
    ('"low"', '"lo"', "12:1", 'reset.active: found "lo", expected "high" or "low"', None),
    (
        'active = "low"',
        'kind = "async"',
        "12:1",
        'reset.kind: found "async", expected "asynchronous", "synchronous" or "mixed"',
        None,
    ),
    (
        "[[check]]",
        "[check]",
        "14:2",
        "check: found a single table, expected a list of tables",
        "write [[check]], with two brackets",
    ),
    (
        "[[check]]",
        "[[checks]]",
        "14:3",
        'the file: found the unknown key "checks", expected one of design, clock, reset, check',
        'did you mean "check"?',
    ),
    (
        'model = "divider"\n',
        "",
        "14:3",
        'check "metronome", model is missing: expected the name of a golden model, such as "bcd"',
        None,
    ),
    (
        PORTS,
        "",
        "14:3",
        f'{CHECK}, ports is missing: expected a table of roles, such as {{ binary = "bin", bcd = "bcd" }}',
        None,
    ),
    (
        PORTS,
        "ports = {}",
        "16:1",
        f"{CHECK}, ports: found an empty table, "
        'expected a table of roles, such as { binary = "bin", bcd = "bcd" }',
        None,
    ),
    ('"run"', "3", "16:26", f"{CHECK}, ports.enable: found 3, {REFERENCE}", None),
    (
        '"run"',
        '{ prot = "run" }',
        "16:37",
        f'{CHECK}, ports.enable: found the unknown key "prot", expected one of port, active',
        'did you mean "port"?',
    ),
    (
        '"run"',
        '{ port = "run", active = "lo" }',
        "16:51",
        f'{CHECK}, ports.enable.active: found "lo", expected "high" or "low"',
        None,
    ),
    (PORTS, PORTS + "\nlatency = -1", "17:1", f"{CHECK}, latency: found -1, {WHOLE}", None),
    (PORTS, PORTS + '\nlatency = "2"', "17:1", f'{CHECK}, latency: found "2", {WHOLE}', None),
    (PORTS, PORTS + "\nsettle = true", "17:1", f"{CHECK}, settle: found true, {WHOLE}", None),
    (
        PORTS,
        PORTS + "\nskew = { tick = 0.5 }",
        "17:10",
        f"{CHECK}, skew.tick: found 0.5, expected a whole number of clocks",
        None,
    ),
    (
        PORTS,
        PORTS + "\nlatancy = 2",
        "17:1",
        f'{CHECK}: found the unknown key "latancy", expected one of name, model, module, ports, latency, '
        "settle, skew, parameters, tie, expect, facts, clock, reset, weight",
        'did you mean "latency"?',
    ),
    (
        PORTS,
        PORTS + "\nparameters = { A = [3] }",
        "17:16",
        f"{CHECK}, parameters.A: found [3], expected an integer, a Verilog literal in quotes, or "
        "an expression in quotes",
        None,
    ),
    (
        PORTS,
        PORTS + "\nreset = 3",
        "17:1",
        f'{CHECK}, reset: found 3, expected the name of a port, {{ port = "rst", active = "low" }}, '
        "or false for a module without a reset",
        None,
    ),
    (
        PORTS,
        PORTS + "\nclock = true",
        "17:1",
        f"{CHECK}, clock: found true, expected the name of a port, or false for a module without a clock",
        None,
    ),
    (
        'model = "divider"',
        'name = "a"\nmodel = "divider"\nports = { tick = "tick" }\n[[check]]\nname = "a"\nmodel = "b"',
        "19:1",
        'check 2, name: found "a", which an earlier check has',
        "give every check a name of its own, or leave the names out",
    ),
    ("[design]", "[design", "1:8", "not valid TOML: expected ']' at the end of a table declaration", None),
    (
        "12_000_000",
        "12_000_000\nport = 3",
        "8:9",
        "not valid TOML: this key or table stands twice",
        "keep one of the two",
    ),
    ("[reset]", "[clock]", "10:7", "not valid TOML: this key or table stands twice", "keep one of the two"),
    ('"low"', '"low', "12:14", "not valid TOML: the text does not end on its line", "close the quotes"),
]


@pytest.mark.parametrize(("old", "new", "place", "message", "advice"), CASES)
def test_a_wrong_bench_gets_exactly_this_message(bench_file, old, new, place, message, advice):
    path = bench_file((old, new))
    with pytest.raises(BenchError, match=r"\S") as caught:
        load_bench(path)
    error = caught.value
    assert (error.message, error.advice) == (message, advice)
    assert str(error.place) == f"bench.toml:{place}"
    assert error.place.source == path.read_text().splitlines()[error.place.line - 1]


@pytest.mark.parametrize("text", ["", " \n\t\n"])
def test_an_empty_bench_says_what_it_needs(bench_file, text):
    with pytest.raises(BenchError, match="the bench file is empty") as caught:
        load_bench(bench_file(text=text))
    assert "[[check]]" in caught.value.advice


def test_a_bench_that_cannot_be_opened_is_named(tmp_path: Path):
    with pytest.raises(BenchError, match=r"there is no bench file .*gone\.toml"):
        load_bench(tmp_path / "gone.toml")
    with pytest.raises(BenchError, match="is a folder, not a bench file"):
        load_bench(tmp_path)


def test_a_byte_that_is_not_utf8_is_shown_with_its_place(tmp_path: Path):
    path = tmp_path / "bench.toml"
    path.write_bytes(b'[design]\ntop = "caf\xe9"\n')
    with pytest.raises(BenchError, match="byte 0xe9 is not UTF-8") as caught:
        load_bench(path)
    assert (caught.value.place.line, caught.value.place.column) == (2, 11)


@pytest.mark.parametrize("junk", ["\0\1\2", "[" * 5000, "a = " + "[" * 5000, "a." * 3000 + "b = 1"])
def test_junk_is_an_error_and_not_a_crash(bench_file, junk):
    with pytest.raises(BenchError, match=r"\S"):
        load_bench(bench_file(text=junk))


@pytest.mark.parametrize(
    ("sources", "message"),
    [
        ('"rtl/*.sv"', 'no file matches "rtl/*.sv" in '),
        ('"rtl"', '"rtl" is a folder, expected a file or a pattern'),
        ('"rtl/gone.v"', 'no file matches "rtl/gone.v" in '),
    ],
)
def test_sources_that_are_not_there_are_named(bench_file, sources, message):
    with pytest.raises(BenchError, match=r"design\.sources") as caught:
        load_bench(bench_file(('"rtl/*.v"', sources)))
    assert message in caught.value.message
    assert str(caught.value.place) == "bench.toml:2:12"


def test_an_include_folder_that_is_not_there_is_named(bench_file):
    with pytest.raises(BenchError, match=r'design\.include: found "inc", expected a folder in ') as caught:
        load_bench(bench_file(('"metronome"', '"metronome"\ninclude = ["rtl", "inc"]')))
    assert str(caught.value.place) == "bench.toml:4:19"


def test_every_prefix_of_a_bench_is_a_bench_or_an_error(bench_file):
    text = bench_file().read_text()
    for length in range(len(text)):
        path = bench_file(text=text[:length])
        try:
            found = load_bench(path)
        except BenchError as error:
            found = error.place
        assert found is not None
