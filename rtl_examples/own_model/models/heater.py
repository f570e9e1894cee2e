"""What a dew heater should do: a golden model of one's own."""

from verify.signals import Signal


class Ramp:
    """A level that climbs while heating and falls while not, a step at a time, from 0 to a limit."""

    inputs = (Signal("step", 1), Signal("heat", 1))
    outputs = (Signal("level", 8), Signal("full", 1))
    resting = {"step": 1, "heat": 1}  # noqa: RUF012 -- nobody changes it

    def __init__(self, *, limit=200):
        """``limit``: the highest level."""
        self.limit = limit

    def initial(self):
        """The state after reset."""
        return (0,)

    def out(self, state, inputs):  # noqa: ARG002 -- goes by the state alone
        """The outputs of one cycle."""
        (level,) = state
        return (level, int(level == self.limit))

    def next(self, state, inputs):
        """The state of the following cycle."""
        (level,) = state
        step, heat = inputs
        if step and heat:
            level = min(level + 1, self.limit)
        elif step:
            level = max(level - 1, 0)
        return (level,)
