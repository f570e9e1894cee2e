"""A table is asked for what it has."""

from __future__ import annotations

import numpy as np
import pytest

from verify.models.lookup import NotInTableError, look_up, look_up_all


def test_a_value_that_the_table_lacks_is_an_error_of_its_own() -> None:
    assert look_up((5, 6, 7), 2) == 7
    assert look_up_all((5, 6, 7), np.array([2, 0])).tolist() == [7, 5]
    with pytest.raises(NotInTableError, match="3"):
        look_up((5, 6, 7), 3)
    with pytest.raises(NotInTableError, match="3"):
        look_up_all((5, 6, 7), np.array([0, 3]))
