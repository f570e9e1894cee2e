"""Lists of cycles, merged."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from verify.signals import merged_cycles

tracks = st.lists(
    st.lists(st.integers(0, 50)).map(lambda cycles: np.array(sorted(cycles), np.int64)), min_size=1
)


@given(tracks)
def test_merged_cycles_are_those_of_every_track_in_order_and_each_once(given_tracks):
    merged = merged_cycles(*given_tracks)
    assert merged.tolist() == sorted({c for track in given_tracks for c in track.tolist()})
    assert merged.dtype == np.int64
