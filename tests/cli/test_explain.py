import pytest
from click.testing import CliRunner

from verify.cli.commands import everyedge


def run(*words):
    return CliRunner().invoke(everyedge, ["explain", *words])


def test_a_conversion_is_worked_out_to_its_digits():
    result = run("bcd", "243", "--width", "8")
    assert result.exit_code == 0
    assert "0010 0100 0011" in result.output.splitlines()[-6] + result.output


@pytest.mark.parametrize("text", ["243", "0xF3", "8'hF3", "8'b1111_0011", "0b11110011"])
def test_a_number_may_be_written_as_verilog_writes_it(text):
    assert run("bcd", text).output == run("bcd", "243").output


@pytest.mark.parametrize("text", ["359999s", "359999", "99:59:59", "99h59m59s", "359,999"])
def test_a_time_may_be_written_as_people_write_it(text):
    assert run("timer", text).output == run("timer", "359999").output
    assert "99:59:59" in run("timer", text).output


@pytest.mark.parametrize("text", ["12e6", "12MHz", "12000000", "12_000_000"])
def test_a_frequency_may_have_a_power_or_a_unit(text):
    result = run("divider", "--clock", text)
    assert "11,999,999" in result.output
    assert result.output == run("divider", "--ratio", "12000000").output.replace(
        "12,000,000 clocks per period", "12,000,000 Hz / 1 Hz = 12,000,000 clocks per period"
    )


def test_an_ascii_terminal_gets_ascii():
    result = CliRunner(charset="ascii").invoke(everyedge, ["explain", "segments", "8"])
    assert result.exit_code == 0
    assert result.output.isascii()


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("bcd", "twelve"), "expected a whole number such as 243"),
        (("bcd", "8'b12"), "expected a whole number such as 243"),
        (("bcd", "300", "--width", "8"), "expected at least 9 bits"),
        (("segments", "16x"), "expected a digit from 0 to 9 or A to F"),
        (("segments", "6", "--active", "medium"), "'medium' is not one of 'high', 'low'"),
        (("divider",), "Give either --clock"),
        (("divider", "--clock", "1", "--ratio", "3"), "Give either --clock"),
        (("divider", "--clock", "fast"), "expected a frequency in Hz"),
        (("divider", "--clock", "1/0"), "expected a frequency in Hz"),
        (("divider", "--ratio", "1", "--square"), "at least 2 for a square wave"),
        (("timer", "soon"), "expected a time such as 359999s"),
        (("timer", "1", "--modulo", "60,,24"), "expected whole numbers with commas between"),
        (("timer", "1", "--modulo", "60,1"), "expected 2 to 1,000,000"),
    ],
)
def test_words_that_make_no_sense_are_refused_with_status_2(words, message):
    result = run(*words)
    assert result.exit_code == 2
    assert message in result.output


def test_a_picture_goes_into_a_file_or_to_the_output(tmp_path):
    file = tmp_path / "six.svg"
    assert run("segments", "6", "--svg", str(file)).exit_code == 0
    assert file.read_text(encoding="utf-8") == run("segments", "6", "--svg", "-").output
