"""Whatever a design is known to get wrong is injected somewhere."""

from __future__ import annotations

import re

import pytest
from faults import KINDS, TEMPLATES
from injection import RTL


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_fault_is_in_a_template_by_name_and_in_its_verilog(kind: str) -> None:
    for name, faults in KINDS[kind].items():
        template = TEMPLATES[name]
        verilog = (RTL / f"{template.top}.v").read_text(encoding="utf-8")
        injected = {int(number) for number in re.findall(r"`F\((\d+)\)", verilog)}
        assert set(faults) <= set(template.names)
        assert set(faults) <= injected, (name, set(faults) - injected)
