"""The same command loop as a cocotb test: for versions of cocotb whose inner start is not known."""

import cocotb
import everyedge_child  # type: ignore[import-not-found]

everyedge_child.prepare()


@cocotb.test()
async def play_bursts(harness) -> None:  # type: ignore[no-untyped-def]
    """Play bursts until the parent has had enough."""
    await everyedge_child.play_bursts(harness)
