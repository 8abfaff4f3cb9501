"""Counts and readings of a strap that cannot all be right: nothing is cut before they are taken again."""

from __future__ import annotations

from collections.abc import Iterator

from mountwright.bench.strap import StrapQuestion
from mountwright.bench.strap_mark import measured_to_mark
from mountwright.measure.quantity import in_units
from mountwright.riding.note import Note

#: A tooth that stands out by half may be counted or not.
_HALF_SEEN = 1


def slips(question: StrapQuestion) -> Iterator[Note]:
    """Give every contradiction, with what to count or measure again."""
    yield from _of_socks(question)
    yield from _of_counts(question)
    yield from _of_lengths(question)


def _of_socks(question: StrapQuestion) -> Iterator[Note]:
    thick, usual = question.thick, question.usual
    if thick is None or usual is None:
        return
    if usual.engaged < thick.engaged:
        yield Note("strap_trim.usual_closes_less", {"usual": usual.engaged, "thick": thick.engaged})
    if abs(usual.hidden - thick.hidden) > _HALF_SEEN:
        yield Note("strap_trim.ratchet_hides_more", {"usual": usual.hidden, "thick": thick.hidden})


def _counted(question: StrapQuestion) -> int:
    """Give the most teeth that were counted in one go, 0 where none were."""
    engaged = [closing.engaged for closing in question.closings]
    return max(*engaged, question.teeth_to_mark or 0, 0)


def _of_counts(question: StrapQuestion) -> Iterator[Note]:
    counted, there = _counted(question), question.tooth_count
    if there is not None and counted > there:
        yield Note("strap_trim.more_than_teeth", {"found": counted, "tooth_count": there})
    standing_out = max((closing.standing_out for closing in question.closings), default=None)
    if standing_out is not None and question.in_the_way is not None and question.in_the_way > standing_out:
        found = {"in_the_way": question.in_the_way, "standing_out": standing_out}
        yield Note("strap_trim.more_in_the_way", found)


def _of_lengths(question: StrapQuestion) -> Iterator[Note]:
    pitch, length, counted = question.pitch, question.length, question.teeth_to_mark
    if pitch is not None and length is not None and pitch.of(_counted(question)).least_um > length.most_um:
        found = {"teeth": _counted(question), "length_mm": in_units(length.likely_um)}
        yield Note("strap_trim.teeth_longer_than_strap", found)
    measured = measured_to_mark(question)
    if measured is not None and counted is not None:
        least, most = measured
        if not least - _HALF_SEEN <= counted <= most + _HALF_SEEN:
            yield Note("strap_trim.mark_disagrees", {"counted": counted, "least": least, "most": most})
