"""A value in words is the value that a bench would hold."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from verify.wording import toml_text

plain = st.booleans() | st.integers(0, 1 << 60) | st.text(st.characters(min_codepoint=32, max_codepoint=126))


@given(
    st.recursive(
        plain,
        lambda inner: st.lists(inner) | st.dictionaries(st.from_regex(r"[a-z]+", fullmatch=True), inner),
    )
)
def test_toml_reads_back_what_was_written(value: object) -> None:
    assert tomllib.loads(f"value = {toml_text(value)}") == {"value": value}
