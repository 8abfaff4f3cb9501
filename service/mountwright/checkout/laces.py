"""Whether a skate closes with laces, and whether a lace is of the length that it comes with."""

from __future__ import annotations

from collections.abc import Sequence

from mountwright.checkout.article import Article
from mountwright.checkout.comparison import ANYTHING, alike, compared_exactly, not_compared
from mountwright.checkout.estimates import checkout_estimates
from mountwright.checkout.finding import Decision, Finding
from mountwright.fitting.answers import NextStep, StepKind
from mountwright.measure.quantity import Limits, in_units

_FASTENING = "what closes the boot, by its maker (common practice)"
_LENGTH = "the lace that the skate comes with; how far another may differ is an estimate"

_MEASURE_LACE = NextStep(StepKind.MEASURE, "step.measure_lace", "lace", "length_mm", "steel_rule", {})


def lace_findings(lace: Article, skate: Article, fitted: Sequence[Article]) -> tuple[Finding, ...]:
    """Give whether a lace is of use on a skate.

    Parameters
    ----------
    lace : Article
    skate : Article
    fitted : sequence of Article
        The laces that stand on it now, which this one takes the place of.
    """
    closes_by = skate.specs.get("fastening")
    if closes_by is not None and "laces" not in closes_by:
        return (_no_laces(lace, skate, closes_by),)
    length = lace.figure_um("length_mm")
    known = [one for one in (old.figure_um("length_mm") for old in fitted) if one is not None]
    if length is None or not known:
        return (_unknown(lace, skate, length),)
    return (_by_length(lace, length, min(known, key=lambda old: (abs(old - length), old)), tuple(fitted)),)


def _no_laces(lace: Article, skate: Article, closes_by: Sequence[str]) -> Finding:
    has = ", ".join(word.replace("_", " ") for word in closes_by) or "nothing"
    check = alike("has_laces", lace, passes=False, skate_has=has, source=_FASTENING)
    return Finding(Decision.STOP, "cart.no_laces", {"kind": lace.kind, "skate_has": has}, check, (skate,))


def _by_length(lace: Article, length: int, wanted: int, fitted: tuple[Article, ...]) -> Finding:
    play = wanted * checkout_estimates().lace_tolerance
    check = compared_exactly("lace_length", lace, length, Limits(wanted - play, wanted + play), source=_LENGTH)
    figures = {"length_mm": in_units(length), "old_length_mm": in_units(wanted)}
    params: dict[str, str | float] = {"kind": lace.kind, **figures}
    if check.probability:
        return Finding(Decision.CLEAR, "cart.lace_fits", params, check, fitted)
    return Finding(Decision.CONFIRM, "cart.lace_other_length", params, check, fitted, step=_MEASURE_LACE)


def _unknown(lace: Article, skate: Article, length: int | None) -> Finding:
    missing = ("lace.length_mm",) if length is None else ("skate.lace_length_mm",)
    check = not_compared("lace_length", lace, ANYTHING, missing, source=_LENGTH)
    params = {"kind": lace.kind}
    return Finding(
        Decision.CONFIRM, "cart.lace_length_unknown", params, check, (skate,), unknown=True, step=_MEASURE_LACE
    )
