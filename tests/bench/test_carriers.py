"""Which parameter carries the clock frequency, by its name or by the way to it."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.bench.carriers import CarrierError, carriers_in
from verify.design.interface import Module, Parameter
from verify.errors import Place

HERE = Place(Path("design.v"))


def module(name: str, *parameters: str, instances: dict[str, str] | None = None, local: str = "") -> Module:
    found = [Parameter(p, 1, HERE) for p in parameters]
    found += [Parameter(local, 1, HERE, local=True)] if local else []
    return Module(name, HERE, (), tuple(found), instances or {})


LEAF = module("leaf", "HZ", local="HALF")
MIDDLE = module("middle", "WIDTH", instances={"u_leaf": "leaf"})
TOP = module("top", "CLK_HZ", instances={"u_middle": "middle"})
MODULES = {m.name: m for m in (LEAF, MIDDLE, TOP)}


@pytest.mark.parametrize(
    ("names", "under_check", "found"),
    [
        (["CLK_HZ"], TOP, ("CLK_HZ",)),
        (["CLK_HZ", "HZ"], LEAF, ("HZ",)),
        (["CLK_HZ", "HZ"], MIDDLE, ()),
        (["u_middle.u_leaf.HZ"], TOP, ()),
        (["u_middle.u_leaf.HZ"], MIDDLE, ()),
        (["u_middle.u_leaf.HZ"], LEAF, ("HZ",)),
    ],
)
def test_a_module_carries_what_is_its_own(names, under_check, found) -> None:
    assert carriers_in(names, under_check, TOP, MODULES) == found


@pytest.mark.parametrize(
    ("name", "under_check", "message", "advice"),
    [
        ("CLKHZ", TOP, "expected a parameter of module top: CLK_HZ", 'did you mean "CLK_HZ"?'),
        (
            "u_midle.HZ",
            TOP,
            'module top has no instance "u_midle"; it has u_middle',
            'did you mean "u_middle"?',
        ),
        ("u_middle.HZ", TOP, "expected a parameter of module middle: WIDTH", None),
        ("u_middle.u_leaf.HALF", TOP, "expected a parameter of module leaf: HZ", None),
        ("u_middle.u_leaf.HALF", LEAF, '"HALF" is a localparam of leaf', "make it a parameter"),
    ],
)
def test_a_name_that_leads_nowhere_is_told_what_is_there(name, under_check, message, advice) -> None:
    with pytest.raises(CarrierError) as caught:
        carriers_in([name], under_check, TOP, MODULES)
    assert message in caught.value.message
    assert (caught.value.advice or "").startswith(advice or "")
    assert bool(caught.value.advice) is bool(advice)
