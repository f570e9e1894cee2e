"""Numbers that names, parameters and comments give: clock frequency, rates, ratios, how many states."""

from __future__ import annotations

import re
from dataclasses import dataclass

from verify.bench.inference.findings import Assumption
from verify.bench.inference.names import Name, name_of
from verify.bench.inference.view import View
from verify.bench.inference.vocabulary import NUMBER_WORDS
from verify.design.interface import Parameter
from verify.errors import Place

__all__ = [
    "Frequency",
    "Number",
    "frequency_of",
    "modulo_parameter",
    "number_in_name",
    "plain_megahertz",
    "rate_of",
    "ratio_parameter",
    "said_rate",
    "time_parameter",
]

_SCALES = {"g": 10**9, "m": 10**6, "k": 10**3, "": 1}
_IN_TEXT = re.compile(r"(?<![\w.])(\d+(?:[._]\d+)*)\s*([GMkK]?)[hH][zZ]\b")
_IN_NAME = re.compile(r"(?i)(\d+)(?:p(\d+))?_?(g|m|k)(?:hz)?(?![a-z])|(\d+)_?hz")
_FREQUENCY = re.compile(
    r"(?i)^f$|(^|_)(f_?clk|fclk|clk_?f|hz|fre[qc]\w*|czestotliwosc|fosc|f_?in|takt\w*|clock_?rate|osc_?hz)(_|$)|hz$|fre[qc]u?en|freq|"
    r"(^|_)(clk|clock|sys_?clk|osc)(_?(in|hz|speed|rate|khz|mhz))?$"
)
_AS_IS = re.compile(
    r"(?i)^(p_|g_|c_)?(n|m|k|mod\w*|modul\w*|div|divisor|div_?(by|ratio|factor|value|val)?|divide\w*|ratio|"
    r"period\w*|teiler\w*|factor|num_?states|states|steps|cycles\w*|clocks\w*|clks\w*|ticks\w*|prescale\w*|"
    r"count_?mod\w*|radix|base|diviseur|divisore|dzielnik|deler|\w*_?modulo|\w*_?divisor|\w*_?div|\w*_?period|"
    r"\w*_?ratio|\w*cycles|\w*per_?(tick|sec|second|step|us|ms)\w*)$"
)
_LEAST_HZ = 1000
"""What a parameter of one letter has to come to before it is taken for a frequency."""

_HALF = re.compile(r"(?i)half|demi|halb|medio|meta|mitad|polowa")
_LAST = re.compile(
    r"(?i)^(p_|g_|c_)?(\w*_?max\w*|\w*limit\w*|\w*top\w*|\w*last\w*|\w*term\w*|tc|\w*_?end|final|\w*cmp\w*|"
    r"\w*compare\w*|\w*reload\w*|\w*rollover\w*|endwert|\w*wrap\w*|\w*ceiling|\w*peak|highest)$"
)


_TIME = re.compile(r"(?i)^(?!.*per_?[mun]s).*_(ms|us|ns|msec|usec|nsec)$")
_PER_SECOND = {"ms": 10**3, "us": 10**6, "ns": 10**9}


@dataclass(frozen=True, slots=True)
class Frequency:
    """Of the clock, in Hz; ``parameter`` when one can be set that carries it."""

    hz: int
    text: str
    place: Place | None
    parameter: str | None = None
    expression: str | None = None

    @property
    def assumption(self) -> Assumption:
        """In words."""
        return Assumption("clock.frequency", self.text, self.place)


@dataclass(frozen=True, slots=True)
class Number:
    """``value`` as the bench holds it (a number or an expression), and what it comes to."""

    value: int | str
    number: int
    text: str
    place: Place | None
    sure: bool = True
    other: int | str | None = None
    other_text: str = ""
    parameter: str | None = None


def frequency_of(view: View) -> Frequency | None:
    """What parameter, clock name or comment says of the clock's frequency."""
    for parameter in view.module.parameters:
        found = _of_parameter(parameter)
        if found is not None:
            return found
    if view.clock is not None:
        hz = _in_name(view.clock.port)
        port = view.module.port(view.clock.port)
        if hz is not None:
            return Frequency(hz, f"the clock is called {view.clock.port}", port.place if port else None)
        hz = plain_megahertz(view.clock.port)
        if hz is not None:
            text = f"the clock is called {view.clock.port}: taken for {hz // 10**6} MHz"
            return Frequency(hz, text, port.place if port else None)
        comment = _clock_comment(view)
        if comment is not None:
            return comment
    return None


def _of_parameter(parameter: Parameter) -> Frequency | None:
    of_clock = bool(_TIME.search(parameter.name)) and name_of(parameter.name).means("clock")
    if parameter.value is None or parameter.value < 1 or not (_FREQUENCY.search(parameter.name) or of_clock):
        return None
    if re.search(
        r"(?i)out|target|tick|baud|refresh|scan|rate$|desired|blink|led", parameter.name
    ) and not re.search(r"(?i)clk_?rate|clock_?rate", parameter.name):
        return None
    if of_clock and (time := _TIME.search(parameter.name)):
        per_second = _PER_SECOND[time[1].lower().replace("sec", "s")]
        hz = per_second // parameter.value
        text = f"{parameter.name} = {parameter.value}: a clock of {hz:,} Hz"
        return Frequency(hz, text, parameter.place, None, f"{per_second:_} // {parameter.name}")
    scale = (
        10**6
        if re.search(r"(?i)mhz", parameter.name)
        else 10**3
        if re.search(r"(?i)khz", parameter.name)
        else 1
    )
    if scale == 1 and parameter.value < (_LEAST_HZ if len(parameter.name) == 1 else 2):
        return None
    text = f"{parameter.name} carries the clock frequency: {parameter.value * scale:,} Hz by default"
    settable = scale == 1 and not parameter.local
    expression = parameter.name if scale == 1 else f"{parameter.name} * {scale}"
    return Frequency(
        parameter.value * scale, text, parameter.place, parameter.name if settable else None, expression
    )


def _in_name(text: str) -> int | None:
    match = _IN_NAME.search(text)
    if match is None:
        return None
    if match[4]:
        return int(match[4])
    number = float(f"{match[1]}.{match[2] or 0}")
    return round(number * _SCALES[match[3].lower()])


def _clock_comment(view: View) -> Frequency | None:
    port = view.module.port(view.clock.port) if view.clock else None
    rows = (view.header + "\n" + view.text[:6000]).splitlines()
    if port is not None and port.place.source:
        rows.insert(0, port.place.source)
    for row in rows:
        comment = row.partition("//")[2] if "//" in row else row if row in view.header else ""
        if row is rows[0] and port is not None:
            comment = row
        found = [
            (m, round(float(m[1].replace("_", "")) * _SCALES[m[2].lower()]))
            for m in _IN_TEXT.finditer(comment)
        ]
        clocks = [hz for m, hz in found if hz >= 1000 or (len(found) == 1 and row is rows[0])]
        if clocks and re.search(
            r"(?i)clk|clock|osc|takt|input|board|fpga|in\b|from|horloge|reloj|zegar|system", comment
        ):
            hz = max(clocks)
            told = (comment.partition("//")[2] or comment.partition("/*")[2] or comment).strip(" /*")[:60]
            return Frequency(hz, f'the comment "{told}" says {hz:,} Hz', port.place if port else None)
    return None


def said_rate(view: View, clock_hz: int) -> tuple[int, str] | None:
    """The one frequency below that of the clock that the comments speak of, and the words."""
    text = "\n".join((view.header, *re.findall(r"//([^\n]*)", view.text)))
    found = {
        round(float(m[1].replace("_", "")) * _SCALES[m[2].lower()]): m[0] for m in _IN_TEXT.finditer(text)
    }
    below = {hz: words for hz, words in found.items() if 0 < hz < clock_hz}
    return next(iter(below.items())) if len(below) == 1 else None


def plain_megahertz(text: str) -> int | None:
    """The frequency in Hz of a clock called ``clk_25`` or ``CLOCK_50``."""
    number = re.fullmatch(r"(?i)clo?c?k_?(\d\d+)", text)
    return int(number[1]) * 10**6 if number else None


def rate_of(text: str) -> int | None:
    """Periods per second that a name such as ``tick_1hz``, ``clk_1k`` or ``en_10ms`` speaks of."""
    lowered = text.lower()
    hz = _in_name(text)
    if hz is not None:
        return hz
    match = re.search(r"(\d*)_?(ms|us|msec|usec)(?![a-z])", lowered)
    if match:
        unit = 1000 if match[2].startswith("m") else 10**6
        count = int(match[1] or 1)
        return unit // count if count and unit % count == 0 else None
    if re.search(
        r"1s(?![a-z])|(?<![a-z])1_?sec|one_?sec|onehz|one_?hz|(?<![a-z])pps(?![a-z])|every_?sec|per_?sec",
        lowered,
    ):
        return 1
    name = name_of(text)
    if (name.means("seconds") and name.means("tick", "enable", "carry", "clock", "square")) or (
        name.has("hz") and not name.numbers
    ):
        return 1
    if name.words and any(
        w in {"sekunde", "seconde", "segundo", "secondo", "second", "sekunda", "seconds", "sec"}
        for w in name.words
    ):
        return 1
    return None


def time_parameter(view: View) -> Number | None:
    """A parameter that says how long a period lasts, such as ``PERIOD_MS``; ``value`` is to be
    multiplied by the frequency.
    """
    for parameter in view.module.parameters:
        match = _TIME.search(parameter.name)
        if match and parameter.value and not name_of(parameter.name).means("clock"):
            unit = match[1].lower().replace("sec", "s")
            text = f"{parameter.name} = {parameter.value}: a period lasts {parameter.value} {unit}"
            value = f"{parameter.name} // {_PER_SECOND[unit]:_}"
            return Number(value, parameter.value, text, parameter.place, parameter=parameter.name)
    return None


def ratio_parameter(view: View, *, square: bool) -> Number | None:
    """A parameter that says how many clocks a period has."""
    return _parameter(view, square=square, what="clocks per period")


def modulo_parameter(view: View) -> Number | None:
    """A parameter that says how many states a counter has."""
    return _parameter(view, square=False, what="states")


def _parameter(view: View, *, square: bool, what: str) -> Number | None:
    found = []
    for parameter in view.module.parameters:
        if parameter.value is None or parameter.value < 1 or _is_width(parameter, view):
            continue
        if _TIME.search(parameter.name):  # a time is no number of clocks
            continue
        if _FREQUENCY.search(parameter.name) and not re.search(r"(?i)div|cycles|period", parameter.name):
            continue
        number = _of_name(parameter, square=square, what=what)
        if number is not None:
            found.append((parameter.local, number))
    found.sort(key=lambda item: item[0])
    return found[0][1] if found else None


def _is_width(parameter: Parameter, view: View) -> bool:
    name = parameter.name
    if re.search(r"(?i)width|bits|^w$|_w$|size|wid|breite|largeur|ancho|^wd$|digits", name):
        return True
    value = parameter.value or 0
    ranged = re.compile(rf"\[\s*{re.escape(name)}\s*-\s*1\s*:\s*0\s*\]")
    port = any(p.width == value and ranged.search(p.place.source or "") for p in view.module.ports)
    return port or bool(ranged.search(view.text))


def _of_name(parameter: Parameter, *, square: bool, what: str) -> Number | None:
    name, value = parameter.name, parameter.value or 0
    place = parameter.place
    if _HALF.search(name):
        text = f"{name} is half a period"
        if square:
            return Number(f"2 * {name}", 2 * value, text, place, parameter=name)
        return Number(f"2 * {name}", 2 * value, text, place, False, name, f"{name} is a whole period", name)
    if _LAST.match(name):
        up, same = f"{name} + 1", name
        last = Number(
            up, value + 1, f"{name} = {value} is the last state: {value + 1} {what}", place, parameter=name
        )
        whole = Number(name, value, f"{name} = {value} is the number of {what}", place, parameter=name)
        vague = not re.search(r"(?i)last|final|term|^tc$|highest|endwert", name)
        if vague and _round(value) and not _round(value + 1):
            return Number(same, value, whole.text, place, False, up, last.text, name)
        return Number(
            up, value + 1, last.text, place, _round(value + 1) and not _round(value), same, whole.text, name
        )
    if _AS_IS.match(name) or (name_of(name).means("divider", "tick")):
        if square:
            text = f"{name} = {value}: {what}"
            return Number(name, value, text, place, False, f"2 * {name}", f"{name} is half a period", name)
        return Number(name, value, f"{name} = {value}: {what}", place, parameter=name)
    if name_of(name).means("count"):
        text = f"{name} = {value} is taken for the number of {what}"
        return Number(
            name, value, text, place, False, f"{name} + 1", f"{name} = {value} is the last state", name
        )
    return None


def _round(number: int) -> bool:
    return number in {6, 12, 24, 60} or number % 10 == 0 or number & (number - 1) == 0


_LAST_STATES = {9, 23, 59, 99, 999, 9999}
"""Numbers in names that are the highest shown rather than how many there are."""


def number_in_name(name: Name, place: Place | None, width: int, *, most: int) -> Number | None:
    """How many states a name speaks of: ``mod60``, ``decade``, ``count_to_59``, ``0to9``."""
    text = name.text
    lowered = text.lower()
    match = re.search(r"(?:mod(?:ulo|ulus)?|base|radix|by|div|durch|par)_?(\d+)", lowered)
    if match and int(match[1]) > 1:
        number = int(match[1])
        return Number(number, number, f"the name {text} says {number} states", place)
    match = re.search(r"(?:to|max|bis|0_)_?(\d+)", lowered)
    if match and re.search(r"to_?\d|max_?\d|bis_?\d|0_\d", lowered):
        number = int(match[1]) + 1
        if number > 2:
            return Number(number, number, f"the name {text} says that {match[1]} is the last state", place)
    for word in name.words:
        if word in NUMBER_WORDS and word != "dec":
            number = NUMBER_WORDS[word]
            if number <= most:
                return Number(number, number, f"the name {text} says {number} states ({word})", place)
    match = re.search(r"(\d+)_?(?:bits?|b)(?![a-z])", lowered)
    if match:
        return None
    match = re.search(
        r"(?:cnt|count|counter|ctr|zaehler|teller|compteur|contador|contatore|licznik|cntr|kounter|cont|compt|jishu|"
        r"jishuqi|cuenta|tally)_?(\d+)(?:_[a-z]\w*)?$",
        lowered,
    )
    match = match or re.search(r"^(?:cnt|count|counter|ctr|c|countdown|countup)_?(\d+)", lowered)
    if match:
        number = int(match[1])
        if number in _LAST_STATES and number + 1 <= most:
            text = f"the name {text} says that {number} is the last state"
            return Number(number + 1, number + 1, text, place, False, number, f"{number} states")
        if number == width:
            return None
        if number <= most and (number > most // 2 or number in {6, 10, 12, 24, 60, 100}):
            return Number(number, number, f"the name {text} says {number} states", place)
    return None
