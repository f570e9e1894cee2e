"""Stimulus: what is driven. Knows the models' inputs, never the expected answer."""

from verify.stimulus.budget import Budget
from verify.stimulus.generated import Generated, held_in_batches, search
from verify.stimulus.plan import Stage, first_look, plan
from verify.stimulus.shrink import shrink

__all__ = ["Budget", "Generated", "Stage", "first_look", "held_in_batches", "plan", "search", "shrink"]
