"""How far the mark lies from a strap's tip, in teeth: up to there the maker lets it be cut."""

from __future__ import annotations

from mountwright.bench.length import Length
from mountwright.bench.strap import StrapQuestion
from mountwright.bench.trimming import wander, wished
from mountwright.measure.quantity import thousandths


def tip_of(question: StrapQuestion) -> Length:
    """Give the smooth end before the first tooth; as wide as straps differ where nobody measured it."""
    if question.tip is not None:
        return question.tip
    usual = wished("strap_tip_mm")
    return Length(*(thousandths(each) for each in (usual.low, usual.value, usual.high)))


def measured_to_mark(question: StrapQuestion) -> tuple[int, int] | None:
    """Give how many whole teeth lie between tip and mark by what was measured, at the least and at the most.

    Returns
    -------
    tuple of int or None
        Each 0 or more, the least with room for a cut that wanders; None where length, mark or pitch are not known.
    """
    length, limit, pitch = question.length, question.cut_limit, question.pitch
    if length is None or limit is None or pitch is None:
        return None
    room = length - limit - tip_of(question) - wander()
    return pitch.whole_within(room.least_um), max(0, room.most_um * pitch.teeth // pitch.span.least_um)


def is_past_mark(question: StrapQuestion) -> bool:
    """Tell whether a strap surely was cut past its mark before."""
    length, limit = question.length, question.cut_limit
    return length is not None and limit is not None and length.most_um < limit.least_um
