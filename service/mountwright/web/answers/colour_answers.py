"""Colour matches, as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import orjson

from mountwright.bench.colours import Likeness, Pair, Together, edges, likeness_of, together
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.note import Note
from mountwright.web.answers.bands import notes_json, said
from mountwright.web.colours.asked import ColourGiven, ColoursAsked, Match, Matches

Json = dict[str, Any]

#: Of a part's record, what a listing shows.
_SHOWN = ("kind", "name", "maker", "version", "price_minor", "currency", "stock", "colour", "colour_srgb", "photo_url")

#: Where nothing was looked for.
_NOTHING = Matches((), False, 0, True, 0)


def colours_json(asked: ColoursAsked, messages: Messages) -> Json:
    """Give the parts that were found and how colours go together."""
    found = asked.found or _NOTHING
    beside = together([colour.lab for colour in asked.together]) if asked.together else None
    return {
        "wanted": None if asked.search is None else _colour(asked.search.wanted),
        "parts": [_part(match, messages) for match in found.parts],
        "more": found.more,
        "judged": found.judged,
        "complete": found.complete,
        "without_colour": found.without_colour,
        "together": None if beside is None else _together(beside, asked.together, messages),
        "bands": [_edge(likeness) for likeness in Likeness],
        "notes": notes_json(_notes(asked, found, beside), messages),
    }


def _colour(given: ColourGiven) -> Json:
    lab = given.lab
    figures = None if lab is None else {"lightness": lab.lightness, "a": lab.a, "b": lab.b}
    told = None if figures is None else {name: significant(value) for name, value in figures.items()}
    return {"lab": told, "srgb": given.srgb, "sku": given.sku}


def _part(match: Match, messages: Messages) -> Json:
    answer, likeness = orjson.loads(match.given.text), likeness_of(match.difference)
    return {
        "sku": match.shelved.sku,
        **{name: match.shelved.record.get(name) for name in _SHOWN},
        "difference": match.difference,
        "band": likeness,
        "verdict": match.given.verdict,
        "probability": significant(match.given.probability),
        "needs": answer["needs"],
        "next_step": answer["next_step"],
        **said(f"colours.{likeness}", {"difference": match.difference}, messages),
    }


def _together(found: Together, colours: Sequence[ColourGiven], messages: Messages) -> Json:
    return {
        "band": found.likeness,
        "colours": [_colour(colour) for colour in colours],
        "pairs": [_pair(pair) for pair in found.pairs],
        "without_colour": list(found.unknown),
        **said(f"colours.together_{found.likeness or 'unknown'}", _farthest(found, colours), messages),
    }


def _farthest(found: Together, colours: Sequence[ColourGiven]) -> dict[str, str | float]:
    pair = found.farthest
    if pair is None:
        return {}
    one, other = (_spoken(colours[place]) for place in (pair.one, pair.other))
    return {"one": one, "other": other, "difference": pair.difference}


def _spoken(given: ColourGiven) -> str:
    if given.lab is None or given.sku or given.srgb:
        return given.sku or given.srgb or ""
    return f"Lab {given.lab.lightness:g} {given.lab.a:g} {given.lab.b:g}"


def _pair(pair: Pair) -> Json:
    return {"one": pair.one, "other": pair.other, "difference": pair.difference, "band": pair.likeness}


def _edge(likeness: Likeness) -> Json:
    edge = edges().get(likeness)
    told = dict.fromkeys(("below", "low", "high", "standing")) if edge is None else edge._asdict()
    return {"band": likeness, **told}


def _notes(asked: ColoursAsked, found: Matches, beside: Together | None) -> Iterator[Note]:
    yield Note("colours.hold_beside")
    yield Note("colours.bands_are_borrowed")
    if asked.search is not None:
        yield from _notes_of_search(asked.search.within, found)
    if beside is not None:
        yield Note("colours.taste")


def _notes_of_search(within: float, found: Matches) -> Iterator[Note]:
    if not found.parts:
        yield Note("colours.nothing_near", {"within": within})
    if doubtful := sum(match.given.verdict is Verdict.CANNOT_TELL for match in found.parts):
        yield Note("colours.fit_unknown", {"count": doubtful})
    if found.without_colour:
        yield Note("colours.without_colour", {"count": found.without_colour})
    if not found.complete:
        yield Note("colours.not_all_judged", {"judged": found.judged})
