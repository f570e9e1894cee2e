"""Names in the styles and languages that people use are taken apart and understood."""

from __future__ import annotations

import pytest

from verify.bench.inference.names import name_of


@pytest.mark.parametrize(
    ("text", "meanings"),
    [
        ("secOnes", {"seconds", "ones"}),
        ("o_sec_tens", {"seconds", "tens"}),
        ("SekundenZehner", {"seconds", "tens"}),
        ("minutes_dizaines", {"minutes", "tens"}),
        ("segundos_unidades", {"seconds", "ones"}),
        ("ore_decine", {"hours", "tens"}),
        ("minutos_dezenas", {"minutes", "tens"}),
        ("godziny_jednosci", {"hours", "ones"}),
        ("uren_tientallen", {"hours", "tens"}),
        ("HOUR_TENS_O", {"hours", "tens"}),
        ("secones", {"seconds", "ones"}),
    ],
)
def test_a_unit_and_a_place_are_read_in_any_style(text: str, meanings: set[str]) -> None:
    assert meanings <= name_of(text).meanings


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("takt", "clock"),
        ("horloge", "clock"),
        ("reloj", "clock"),
        ("zegar", "clock"),
        ("klok", "clock"),
        ("ruecksetzen", "reset"),
        ("raz", "reset"),
        ("reinicio", "reset"),
        ("zeruj", "reset"),
        ("freigabe", "enable"),
        ("habilita", "enable"),
        ("abilita", "enable"),
        ("zezwol", "enable"),
        ("vrijgave", "enable"),
        ("pausa", "pause"),
        ("uebertrag", "carry"),
        ("cathodes", "segments"),
    ],
)
def test_a_word_means_the_same_in_any_language(text: str, meaning: str) -> None:
    assert name_of(text).means(meaning)


@pytest.mark.parametrize(
    "text",
    ["rst_n", "nRst", "rstn", "aresetn", "reset_b", "RST_N", "en_n", "i_rst_n", "rst_ni", "resetN", "nreset"],
)
def test_an_active_low_name_is_known(text: str) -> None:
    assert name_of(text).low


@pytest.mark.parametrize(
    "text", ["an", "en", "btn", "countdown", "down", "run", "seg_b", "min", "rst", "open", "q_l"]
)
def test_an_innocent_n_or_b_is_not_taken_for_active_low(text: str) -> None:
    assert not name_of(text).low


@pytest.mark.parametrize(
    ("text", "index"), [("hex3", 3), ("d0", 0), ("digit_12", 12), ("sec", None), ("HEX5_n", 5)]
)
def test_the_number_at_the_end_is_the_index(text: str, index: int | None) -> None:
    assert name_of(text).index == index
