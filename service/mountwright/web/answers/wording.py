"""Sentences for checks, steps and the rest: picks the code and readies the params; the catalogue has the words."""

from __future__ import annotations

from collections.abc import Callable

from mountwright.fitting.answers import CheckAnswer, Need, NextStep, Outcome
from mountwright.fitting.beliefs import CATALOGUE, Contradiction
from mountwright.fitting.weighing import UNDAMAGED
from mountwright.measure.quantity import Limits, in_units
from mountwright.messages import Messages

_UNITS = {"mm": " mm", "deg": "°", "eu_size": "", "": ""}


def plain(code: str) -> str:
    """Give a code in plain words: ``hole_spacing_mm`` becomes "hole spacing"."""
    for unit in ("_mm", "_deg"):
        code = code.removesuffix(unit)
    return code.replace("_", " ")


def check_message(check: CheckAnswer, messages: Messages) -> str:
    """Give the sentence for a check: the plugin's own for this outcome, else the general one."""
    words = CheckWords(check, messages)
    own = f"{check.family}.{check.code}.{check.outcome}"
    if messages.has(own):
        return messages.text(own, words)
    if check.code == UNDAMAGED:
        return messages.text("check.undamaged", words)
    alike = "alike_" if not check.unit and check.outcome is not Outcome.NOT_MEASURED else ""
    return messages.text(f"check.{alike}{check.outcome}", words)


class CheckWords(dict[str, object]):
    """What a check's sentence is made from, its own params first; the rest is worked out when a template asks."""

    def __init__(self, check: CheckAnswer, messages: Messages) -> None:
        super().__init__(check.params)
        self._check, self._messages = check, messages

    def __missing__(self, name: str) -> object:
        """Give a word that is not among the params.

        Raises
        ------
        KeyError
            For one that nobody knows.
        """
        return _WORDS[name](self._check, self._messages)


def _spoken(thousandths: float | None) -> str | None:
    """Give a figure as one says it, to a hundredth."""
    return None if thousandths is None else f"{round(thousandths / 1000, 2) + 0.0:g}"


_WORDS: dict[str, Callable[[CheckAnswer, Messages], object]] = {
    "label": lambda check, _: plain(check.code).capitalize(),
    "unit": lambda check, _: _UNITS.get(check.unit, f" {check.unit}"),
    "value": lambda check, _: _spoken(check.value),
    "size": lambda check, _: _spoken(None if check.value is None else abs(check.value)),
    "low": lambda check, _: _spoken(check.limits.low),
    "high": lambda check, _: _spoken(check.limits.high),
    "range": lambda check, messages: _range(check.limits, _UNITS.get(check.unit, ""), messages),
    "margin": lambda check, _: _spoken(check.margin),
    "excess": lambda check, _: _spoken(None if check.margin is None else max(0.0, -check.margin)),
    "missing": lambda check, messages: messages.all_of([_place(place, messages) for place in check.missing]),
}


def _range(limits: Limits, unit: str, messages: Messages) -> str:
    low, high = _spoken(limits.low), _spoken(limits.high)
    if low is None and high is None:
        return messages.text("check.range_open")
    if low is None:
        return messages.text("check.range_at_most", {"high": high, "unit": unit})
    if high is None:
        return messages.text("check.range_at_least", {"low": low, "unit": unit})
    return messages.text("check.range", {"low": low, "high": high, "unit": unit})


def _place(place: str, messages: Messages) -> str:
    side, _, what = place.partition(".")
    return messages.text("check.place", {"what": plain(what), "side": side})


def step_message(step: NextStep, messages: Messages) -> str:
    """Give the sentence for a next step."""
    code = step.code
    if code.startswith("step.look_at_") and not messages.has(code):
        code = "step.look_at_feature"
    words = {
        name: plain(value) if isinstance(value, str) and name != "standard" else value
        for name, value in step.params.items()
    }
    return messages.text(
        code, {"side": step.side, "what": plain(step.what), **words, "instrument": plain(step.instrument)}
    )


def contradiction_code(found: Contradiction) -> str:
    """Give the code of a contradiction's sentence."""
    if found.claimed_by == CATALOGUE:
        return "contradiction.catalogue"
    return "contradiction.seen" if isinstance(found.found, str) else "contradiction.figure"


def contradiction_message(found: Contradiction, messages: Messages) -> str:
    """Give the sentence for a contradiction."""
    unit = _UNITS.get(found.what.rpartition("_")[2], "")
    values = {
        name: value if isinstance(value, str) else f"{in_units(value):g}{unit}"
        for name, value in (("found", found.found), ("expected", found.expected))
    }
    facts = {"side": found.side, "standard": found.standard, "claimed_by": found.claimed_by, "what": plain(found.what)}
    return messages.text(contradiction_code(found), {**facts, **values})


def need_message(need: Need, messages: Messages) -> str:
    """Give the sentence for a conversion."""
    return messages.text(f"need.{need.kind}", {"what": need.key.replace("-", " ")})
