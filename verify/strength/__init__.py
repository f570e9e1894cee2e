"""How strong a bench is: which small changes of the design it finds, and which it does not."""

from verify.strength.measuring import measure_strength
from verify.strength.mutation import Mutation, Survivor, Trial
from verify.strength.outcome import Strength

__all__ = ["Mutation", "Strength", "Survivor", "Trial", "measure_strength"]
