"""How long a lace has to be, how it holds along the foot, and which way of lacing is the shortest or the strongest.

``cut length = way between the eyelets + thickness at each eyelet + lock loop + both tails of the bow``. A bound of a
length is its worst case: every reading at the end of its doubt, every estimate at the end of its range. What ranks is
drawn 512 times within the same bounds. All of it lies in a plane and the ends are pulled with 1: ratios, no newtons.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from mountwright.bench.lace_estimates import lace_estimates
from mountwright.bench.lace_fit import LaceFit, Wish, bounds_of, first_that_reaches, lace_fit, next_shorter
from mountwright.bench.lace_pull import Rows, path_length_mm, pulls
from mountwright.bench.lace_question import LaceQuestion
from mountwright.bench.lacing import LEFT, RIGHT, Eyelet, Pattern, lace_path
from mountwright.riding.band import Band, exactly
from mountwright.riding.draws import Floats, drawn, share_below, summed_up, uniform
from mountwright.riding.note import Note

#: Lacings whose lengths or pulls differ by less than this share are as good as each other: only rounding tells them.
_ALIKE = 1e-9

#: What the lock loop costs, one thing at a time.
_LOCK_LOOP_SAID = (
    "lacing.lock_holds_the_heel",
    "lacing.lock_is_slower",
    "lacing.lock_presses",
    "lacing.lock_cannot_be_adjusted",
    "lacing.lock_wears",
    "caution.built_on_its_strap",
)


class PatternFigures(NamedTuple):
    """What one way of lacing takes and gives.

    Parameters
    ----------
    pattern : Pattern
    wish : Wish
        What lies in the eyelets, with their thickness and the lock loop, and the tails.
    sold : LaceFit or None
        The shortest lace that is sold and reaches in the worst case; None where none does.
    pull_sum : float
        Sum of the sideways pulls without friction, for the likely figures.
    pull_sum_rubbing : Band
        The same with friction.
    """

    pattern: Pattern
    wish: Wish
    sold: LaceFit | None
    pull_sum: float
    pull_sum_rubbing: Band


class Best(NamedTuple):
    """The best of the ways of lacing by one measure, for the likely figures.

    Parameters
    ----------
    pattern : Pattern
    as_good : tuple of Pattern
        Others that are exactly as good.
    probability : float
        How often it stays the best, or as good, over all that is in doubt; 1 where nothing is.
    """

    pattern: Pattern
    as_good: tuple[Pattern, ...]
    probability: float


class PairHold(NamedTuple):
    """How hard one pair is drawn together, in parts of the pull on one end.

    Parameters
    ----------
    pair : int
        From the top, which is 1.
    ideal : float
        Without friction, for the likely figures: an upper bound of what can be had.
    rubbing : Band
        With friction, pulled at the ends alone.
    """

    pair: int
    ideal: float
    rubbing: Band


@dataclass(frozen=True)
class LaceAnswer:
    """How long a lace has to be, and how it holds.

    Parameters
    ----------
    chosen : PatternFigures
        Of the pattern that was asked for.
    patterns : tuple of PatternFigures
        Of every pattern.
    lock_loop_mm : Band or None
        What the lock loop takes of the length; None without one.
    shorter : LaceFit or None
        The next shorter lace that is sold and still ties a bow in the worst case; None where none does.
    given : LaceFit or None
        The lace at hand.
    hold : tuple of PairHold
        From the top down.
    shortest, strongest, strongest_rubbing : Best
        By length, and by the sum of sideways pulls without and with friction.
    notes : tuple of Note
        The answer first, cautions last.
    """

    chosen: PatternFigures
    patterns: tuple[PatternFigures, ...]
    lock_loop_mm: Band | None
    shorter: LaceFit | None
    given: LaceFit | None
    hold: tuple[PairHold, ...]
    shortest: Best
    strongest: Best
    strongest_rubbing: Best
    notes: tuple[Note, ...] = ()


class _Drawn(NamedTuple):
    """What one pattern comes to: for the likely figures first, then for each draw."""

    length_mm: Floats
    ideal: Floats
    rubbing: Floats


def lace_length(question: LaceQuestion) -> LaceAnswer:
    """Tell how long a lace has to be, how it holds along the foot, and which pattern is the shortest or the strongest.

    The same question gives the same answer: the draws are fixed.
    """
    draws = {pattern: _drawn(pattern, question) for pattern in Pattern}
    patterns = {pattern: _figures(pattern, draws[pattern], question) for pattern in Pattern}
    chosen, given = patterns[question.pattern], question.lace_length_mm
    answer = LaceAnswer(
        chosen=chosen,
        patterns=tuple(patterns.values()),
        lock_loop_mm=_lock_loop_mm(question) if question.has_lock_loop else None,
        shorter=next_shorter(lace_estimates().sold_mm, chosen.wish),
        given=None if given is None else lace_fit(given, chosen.wish),
        hold=_hold(draws[question.pattern]),
        shortest=_best({pattern: -each.length_mm for pattern, each in draws.items()}),
        strongest=_best({pattern: each.ideal.sum(axis=0) for pattern, each in draws.items()}),
        strongest_rubbing=_best({pattern: each.rubbing.sum(axis=0) for pattern, each in draws.items()}),
    )
    return replace(answer, notes=tuple(_notes(question, answer)))


def _drawn(pattern: Pattern, question: LaceQuestion) -> _Drawn:
    path, rows = lace_path(pattern, question.pairs), _drawn_rows(question)
    friction = _likely_and_drawn(lace_estimates().friction, "lace_friction")
    return _Drawn(path_length_mm(path, rows), pulls(path, rows), pulls(path, rows, friction))


def _drawn_rows(question: LaceQuestion) -> Rows:
    """Give the eyelets for the likely figures and for 512 draws of the readings, any within its doubt as likely."""
    top = _likely_and_read(question.gap_top_mm, "lace_gap_top")
    low = question.gap_bottom_mm
    bottom = top if low is None else _likely_and_read(low, "lace_gap_bottom")
    return Rows(question.pairs, top, bottom, _likely_and_read(question.pitch_mm, "lace_pitch"))


def _likely_and_read(band: Band, what: str) -> Floats:
    return np.concatenate([[band.likely], band.low + (band.high - band.low) * uniform(what)])


def _likely_and_drawn(band: Band, what: str) -> Floats:
    return np.concatenate([[band.likely], drawn(band, uniform(what))])


def _figures(pattern: Pattern, found: _Drawn, question: LaceQuestion) -> PatternFigures:
    tail = question.bow_tail_mm
    wish = Wish(_in_eyelets_mm(pattern, question), lace_estimates().bow_tail_mm.likely if tail is None else tail)
    sold = first_that_reaches(lace_estimates().sold_mm, wish)
    sums = found.rubbing.sum(axis=0)
    return PatternFigures(pattern, wish, sold, float(found.ideal[:, 0].sum()), summed_up(sums[1:]))


def _in_eyelets_mm(pattern: Pattern, question: LaceQuestion) -> Band:
    """Give what of a lace lies in the eyelets; every length grows with each gap and the pitch."""
    told = question.eyelet_thickness_mm
    thickness = lace_estimates().eyelet_thickness_mm if told is None else exactly(told)
    lengths = path_length_mm(lace_path(pattern, question.pairs), _rows_at_bounds(question))
    lengths += 2 * question.pairs * np.array(bounds_of(thickness))
    if question.has_lock_loop:
        lengths += bounds_of(_lock_loop_mm(question))
    return Band(*lengths.tolist())


def _rows_at_bounds(question: LaceQuestion) -> Rows:
    figures = (question.gap_top_mm, question.lowest_gap_mm, question.pitch_mm)
    return Rows(question.pairs, *(np.array(bounds_of(each)) for each in figures))


def _lock_loop_mm(question: LaceQuestion) -> Band:
    """Give what a lock loop takes: each end crosses once more, to the middle of the loop beside the last two eyelets.

    The loop itself stands where a crossing would be, which saves the difference, or at a pair to spare, which does not.
    The likely value and the upper bound take it as not saved.
    """
    end, loop, crossing = Eyelet(LEFT, 0), (Eyelet(RIGHT, 0), Eyelet(RIGHT, 1)), Eyelet(LEFT, 1)
    rows = _rows_at_bounds(question)
    here, above, below, across = rows.places((end, *loop, crossing))
    each = np.abs((above + below) / 2 - here) + bounds_of(lace_estimates().lock_loop_slack_mm)
    saved = np.abs(above - across)[0] - np.abs(above - below)[0]
    least, likely, most = (2 * each).tolist()
    return Band(least - 2 * float(saved), likely, most)


def _hold(found: _Drawn) -> tuple[PairHold, ...]:
    pairs = enumerate(zip(found.ideal, found.rubbing, strict=True), start=1)
    return tuple(PairHold(pair, float(ideal[0]), summed_up(rubbing[1:])) for pair, (ideal, rubbing) in pairs)


def _best(scores: Mapping[Pattern, Floats]) -> Best:
    """Give the pattern with the highest score for the likely figures, of those as good the first."""
    most = np.max([*scores.values()], axis=0)
    margin = {pattern: each - (most - np.abs(most) * _ALIKE) for pattern, each in scores.items()}
    first, *others = [pattern for pattern, each in margin.items() if each[0] >= 0]
    return Best(first, tuple(others), _holds(margin[first]))


def _holds(margin: Floats) -> float:
    """Give how often a margin is 0 or more; certain where no draw differs from another."""
    draws = margin[1:]
    return 1.0 if np.ptp(draws) == 0 else 1 - share_below(draws, 0.0)


def _notes(question: LaceQuestion, answer: LaceAnswer) -> Iterator[Note]:
    yield _said(answer.chosen)
    yield Note("lacing.shortest", _ranked(answer.shortest))
    yield Note("lacing.strongest", _ranked(answer.strongest))
    yield Note("lacing.strongest_rubbing", _ranked(answer.strongest_rubbing))
    yield _weakest(answer.hold)
    yield Note("lacing.planar")
    yield Note("lacing.measure_as_worn")
    told = {"bow_tail_mm": question.bow_tail_mm, "eyelet_thickness_mm": question.eyelet_thickness_mm}
    if taken := [name for name, value in told.items() if value is None]:
        yield Note("lacing.taken_not_told", {"what": ", ".join(taken)})
    if question.has_lock_loop:
        yield from map(Note, _LOCK_LOOP_SAID)
    yield Note("caution.loose_lace_ends")


def _said(chosen: PatternFigures) -> Note:
    cut = chosen.wish.cut_length_mm
    params = {"in_eyelets_mm": chosen.wish.in_eyelets_mm.likely, "cut_mm": cut.likely, "cut_most_mm": cut.high}
    if chosen.sold is None:
        return Note("lacing.none_is_long_enough", {**params, "longest_mm": lace_estimates().sold_mm[-1]})
    tails = chosen.sold.tails_mm
    sold = {"length_mm": chosen.sold.length_mm, "tail_least_mm": tails.low, "tail_most_mm": tails.high}
    return Note("lacing.take", {**params, **sold})


def _weakest(hold: tuple[PairHold, ...]) -> Note:
    """Give what is left of the pull where most of it is lost; without friction every pair is drawn together."""
    pair, ideal, rubbing = min(hold, key=lambda each: each.rubbing.likely / each.ideal)
    kept = {"kept_least_share": rubbing.low / ideal, "kept_most_share": min(1.0, rubbing.high / ideal)}
    return Note("lacing.weakest_pair", {"pair": pair, **kept})


def _ranked(best: Best) -> dict[str, str | float]:
    names = [pattern.replace("_", " ") for pattern in (best.pattern, *best.as_good)]
    return {"pattern": " or ".join(names), "probability": best.probability}
