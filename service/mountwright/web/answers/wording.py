"""Sentences for checks, steps and the rest: picks the code and readies the params; the catalogue has the words."""

from __future__ import annotations

from mountwright.fitting.answers import CheckAnswer, Need, NextStep, Outcome
from mountwright.fitting.beliefs import Contradiction
from mountwright.measure.quantity import in_units
from mountwright.messages import Messages

_UNITS = {"mm": " mm", "deg": "°", "": ""}

Params = dict[str, str | float | None]


def plain(code: str) -> str:
    """Give a code in plain words: ``hole_spacing_mm`` becomes "hole spacing"."""
    for unit in ("_mm", "_deg"):
        code = code.removesuffix(unit)
    return code.replace("_", " ")


def check_message(check: CheckAnswer, messages: Messages) -> str:
    """Give the sentence for a check: the plugin's own for this outcome, else the general one."""
    own = f"{check.family}.{check.code}.{check.outcome.value}"
    if messages.has(own):
        return messages.text(own, check_params(check))
    if check.code == "undamaged":
        return messages.text("check.undamaged", check.params)
    plain_kind = "alike_" if not check.unit and check.outcome is not Outcome.NOT_MEASURED else ""
    return messages.text(f"check.{plain_kind}{check.outcome.value}", check_params(check))


def check_params(check: CheckAnswer) -> Params:
    """Give what a check's sentence is made from, figures in the check's unit."""
    low, high = check.limits.low, check.limits.high
    return {
        **check.params,
        "label": plain(check.code).capitalize(),
        "unit": _UNITS.get(check.unit, f" {check.unit}"),
        "value": _spoken(check.value),
        "low": _spoken(low),
        "high": _spoken(high),
        "range": _range(low, high, _UNITS.get(check.unit, "")),
        "margin": _spoken(check.margin),
        "excess": _spoken(None if check.margin is None else max(0.0, -check.margin)),
        "missing": " and ".join(_place(place) for place in check.missing),
    }


def _spoken(thousandths: float | None) -> str | None:
    """Give a figure as one says it, to a hundredth."""
    return None if thousandths is None else f"{round(thousandths / 1000, 2) + 0.0:g}"


def _range(low: float | None, high: float | None, unit: str) -> str:
    if low is None and high is None:
        return "anything"
    if low is None or high is None:
        end = high if low is None else low
        return f"{'at most' if low is None else 'at least'} {in_units(end or 0):g}{unit}"
    return f"{in_units(low):g} to {in_units(high):g}{unit}"


def _place(place: str) -> str:
    side, _, what = place.partition(".")
    return f"the {plain(what)} of the {side}"


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
    return messages.text(f"need.{need.kind}", {"key": need.key.replace("-", " ")})
