"""How long a lace has to be and how it holds, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mountwright.bench.lace_fit import LaceFit, Reach, lace_fit
from mountwright.bench.lace_length import Best, LaceAnswer, PairHold, PatternFigures
from mountwright.catalogue.stocked_laces import StockedLace
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.note import Note
from mountwright.web.answers.bands import band_json, said

Json = dict[str, Any]

#: Spelt out, so that each is found where messages are looked for.
_SAID = {
    Reach.REACHES: "lacing.reaches",
    Reach.TOO_LONG: "lacing.too_long",
    Reach.SHORT_TAILS: "lacing.short_tails",
    Reach.CANNOT_TELL: "lacing.cannot_tell",
    Reach.TOO_SHORT: "lacing.too_short",
}


def lace_json(found: LaceAnswer, stock: Sequence[StockedLace] | None, messages: Messages) -> Json:
    """Give what is said about a lace, and of the laces in stock that reach; the first note is the answer itself."""
    answer, *notes = found.notes
    wish, chosen = found.chosen.wish, _pattern(found.chosen)
    return {
        **_said(answer, messages),
        **{name: chosen[name] for name in ("pattern", "in_eyelets_mm", "cut_length_mm")},
        "lock_loop_mm": None if found.lock_loop_mm is None else band_json(found.lock_loop_mm),
        "tail_wanted_mm": significant(wish.tail_mm),
        **{
            name: None if fit is None else _fit(fit, wish.tail_mm, messages)
            for name, fit in (("sold", found.chosen.sold), ("shorter", found.shorter), ("given", found.given))
        },
        "stock": None if stock is None else [_stocked(each, lace_fit(each.length_mm, wish)) for each in stock],
        "hold": [_hold(each) for each in found.hold],
        "patterns": [_pattern(each) for each in found.patterns],
        "shortest": _best(found.shortest),
        "strongest": _best(found.strongest),
        "strongest_rubbing": _best(found.strongest_rubbing),
        "notes": [_said(note, messages) for note in notes],
    }


def _said(note: Note, messages: Messages) -> Json:
    """Give a note with its sentence: whole millimetres, shares and probabilities in percent."""
    params: dict[str, float | str] = {}
    for name, value in note.params.items():
        if name == "probability":
            params["percent"] = float(f"{100 * float(value):.3g}")
        elif name.endswith("_share"):
            params[f"{name.removesuffix('_share')}_percent"] = significant(round(100 * float(value), 1))
        else:
            params[name] = round(value) if isinstance(value, float) else value
    return said(note.code, params, messages)


def _fit(found: LaceFit, tail_wanted_mm: float, messages: Messages) -> Json:
    params = {
        "length_mm": found.length_mm,
        "tail_wanted_mm": tail_wanted_mm,
        "tail_least_mm": found.tails_mm.low,
        "tail_most_mm": found.tails_mm.high,
        "short_least_mm": found.short_by_mm.low,
        "short_most_mm": found.short_by_mm.high,
    }
    return {
        "length_mm": significant(found.length_mm),
        "reach": found.reach,
        "tails_mm": band_json(found.tails_mm),
        "short_by_mm": band_json(found.short_by_mm),
        **_said(Note(_SAID[found.reach], params), messages),
    }


def _stocked(lace: StockedLace, fit: LaceFit) -> Json:
    return {
        "sku": lace.sku,
        "name": lace.name,
        "length_mm": significant(lace.length_mm),
        "tails_mm": band_json(fit.tails_mm),
        "price_minor": lace.price_minor,
        "currency": lace.currency,
        "stock": lace.stock,
    }


def _pattern(found: PatternFigures) -> Json:
    return {
        "pattern": found.pattern,
        "in_eyelets_mm": band_json(found.wish.in_eyelets_mm),
        "cut_length_mm": band_json(found.wish.cut_length_mm),
        "sold_length_mm": None if found.sold is None else significant(found.sold.length_mm),
        "pull_sum": significant(found.pull_sum),
        "pull_sum_rubbing": band_json(found.pull_sum_rubbing),
    }


def _best(found: Best) -> Json:
    return {"pattern": found.pattern, "as_good": list(found.as_good), "probability": significant(found.probability)}


def _hold(found: PairHold) -> Json:
    return {"pair": found.pair, "ideal": significant(found.ideal), "rubbing": band_json(found.rubbing)}
