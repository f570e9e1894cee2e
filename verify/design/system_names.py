"""System tasks and functions (IEEE 1800-2017 clauses 20 and 21) by what they may do to a check."""

from __future__ import annotations

__all__ = ["CLOCKS", "DUMPS", "ENDS", "HARMLESS", "LOADS", "PRINTS", "RANDOM", "REASONS", "TEXTS"]


def _with_radix(*names: str) -> frozenset[str]:
    return frozenset(name + radix for name in names for radix in ("", "b", "o", "h"))


PRINTS = _with_radix("$display", "$write", "$strobe", "$monitor") | {
    "$error", "$info", "$monitoroff", "$monitoron", "$printtimescale", "$timeformat", "$warning",
}  # fmt: skip
"""They print, and the design does not get back what they print."""

CLOCKS = frozenset({"$time", "$stime", "$realtime", "$simtime", "$abstime"})
"""Simulated time: of no harm in what is only printed."""

RANDOM = frozenset({"$random", "$urandom", "$urandom_range"})
"""Of no harm in an initial block, where they stand for the unknown contents of registers."""

TEXTS = frozenset({"$sformat", "$sformatf", "$psprintf"}) | _with_radix("$swrite")
"""They make text, which tells nothing about the run unless it holds %m, %l, %t or %v."""

LOADS = frozenset({"$readmemh", "$readmemb"})
DUMPS = frozenset({"$dumpall", "$dumpfile", "$dumpflush", "$dumplimit", "$dumpoff", "$dumpon", "$dumpvars"})
ENDS = frozenset({"$finish", "$stop", "$fatal", "$exit", "$finish_and_return"})

HARMLESS = frozenset(
    {
        "$signed", "$unsigned", "$clog2", "$bits", "$size", "$left", "$right", "$low", "$high",
        "$increment", "$dimensions", "$unpacked_dimensions", "$typename", "$isunbounded", "$cast",
        "$itor", "$rtoi", "$bitstoreal", "$realtobits", "$bitstoshortreal", "$shortrealtobits", "$ln",
        "$log10", "$exp", "$sqrt", "$pow", "$floor", "$ceil", "$sin", "$cos", "$tan", "$asin", "$acos",
        "$atan", "$atan2", "$hypot", "$sinh", "$cosh", "$tanh", "$asinh", "$acosh", "$atanh", "$min",
        "$max", "$abs", "$countbits", "$countones", "$onehot", "$onehot0", "$isunknown", "$past",
        "$rose", "$fell", "$stable", "$changed", "$sampled", "$past_gclk", "$rose_gclk", "$fell_gclk",
        "$stable_gclk", "$changed_gclk", "$assertoff", "$asserton", "$assertkill", "$assertcontrol",
        "$static_assert",
    }
)  # fmt: skip
"""Functions of values alone, and assertions."""

REASONS = {
    "$system": "it runs a program on this machine",
    "$deposit": "it changes a register behind the design's back",
    "$value$plusargs": "it reads the simulator's command line",
    "$test$plusargs": "it reads the simulator's command line",
    "$countdrivers": "it looks into the simulator",
    "$c": "it is C++ code inside the simulator",
}
"""What else is known of single ones; all others reach out of the design."""
