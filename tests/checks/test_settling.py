"""A check that nothing was told by says what would settle it."""

from __future__ import annotations

from verify.checks.passing.settling import orders_when_idle
from verify.models.catalogue import FAMILIES


def model_of(family: str, shape: dict[str, tuple[int, ...]], options: dict[str, object]):
    return FAMILIES[family].candidates(shape, options, True)[0].model


def test_a_slow_divider_asks_for_the_clocks_up_to_its_first_change() -> None:
    orders = orders_when_idle(model_of("divider", {"square": (1,)}, {"ratio": 100_000_000}))
    assert orders[0].startswith("allow 50,000,00")


def test_a_converter_that_may_be_given_one_value_only_asks_for_more() -> None:
    model = model_of("bcd", {"binary": (8,), "bcd": (12,)}, {"max_value": 0})
    assert orders_when_idle(model) == ("let the bench allow more than one value of binary",)
