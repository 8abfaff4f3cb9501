"""How many teeth of a strap may go: judged closed on the foot with the thickest sock.

A strap is cut from its tip, between two teeth. With the thickest sock ``e`` teeth have passed the pawl, and ``o`` of
them stand out beyond the ratchet. Of ``k`` teeth that go ::

    reserve   e - k - b >= reserve                         b: what the new tip's bevel takes
    tail      o - k     >= tail
    mark      k <= teeth counted from tip to mark - s      s: a slip in counting
              length - tip - k pitch - w >= what stays     w: how far the cut may wander

each with every doubt at its worst end, for what is cut off does not come back. One tooth less is cut first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from mountwright.bench.length import Length
from mountwright.bench.strap import Closing, StrapQuestion
from mountwright.bench.strap_mark import is_past_mark, measured_to_mark, tip_of
from mountwright.bench.strap_slips import slips
from mountwright.bench.trimming import Outcome, Taken, Trim, doubted, uncut, wander, wished
from mountwright.riding.note import Note


class Kept(StrEnum):
    """What a cut has to leave, in the order in which it is told."""

    RESERVE = "reserve"
    TAIL = "tail"
    MARK = "mark"


class Why(StrEnum):
    """Why a strap is not cut, in the order in which it is told."""

    NO_TEETH = "no_teeth"
    PAST_MARK = "past_mark"
    TOO_SHORT = "too_short"
    RESERVE_USED_UP = "reserve_used_up"
    NOTHING_STANDS_OUT = "nothing_stands_out"
    TAIL_USED_UP = "tail_used_up"
    MARK_REACHED = "mark_reached"
    NOT_IN_THE_WAY = "not_in_the_way"
    ONE_TOOTH_ONLY = "one_tooth_only"


#: Spelt out, so that each is found where messages are looked for.
_SAID = {
    Why.NO_TEETH: "strap_trim.no_teeth",
    Why.PAST_MARK: "strap_trim.past_mark",
    Why.TOO_SHORT: "strap_trim.too_short",
    Why.RESERVE_USED_UP: "strap_trim.reserve_used_up",
    Why.NOTHING_STANDS_OUT: "strap_trim.nothing_stands_out",
    Why.TAIL_USED_UP: "strap_trim.tail_used_up",
    Why.MARK_REACHED: "strap_trim.mark_reached",
    Why.NOT_IN_THE_WAY: "strap_trim.not_in_the_way",
    Why.ONE_TOOTH_ONLY: "strap_trim.one_tooth_only",
}

_SAID_OF_LIMIT = {
    Kept.RESERVE: "strap_trim.limited_by_reserve",
    Kept.TAIL: "strap_trim.limited_by_tail",
    Kept.MARK: "strap_trim.limited_by_mark",
}


@dataclass(frozen=True)
class Cut:
    """What goes, what stays, and how it closes then.

    Parameters
    ----------
    teeth : int
        That are cut off, 1 or more.
    goes, stays : Length or None
        None where nobody measured the pitch, or the strap.
    thick : Closing
        With the thickest sock. Teeth that the bevel may take are not counted among those that hold.
    usual : Closing or None
        Likewise with the usual one.
    """

    teeth: int
    goes: Length | None
    stays: Length | None
    thick: Closing
    usual: Closing | None


StrapTrim = Trim[Why, Kept, Cut]


def strap_trim(question: StrapQuestion) -> StrapTrim:
    """Tell how many teeth of a strap may go, how many first, or why none."""
    limits = dict(_limits(question)) if question.is_toothed else {}
    again = tuple(slips(question))
    why = () if again else tuple(_why(question, limits))
    steps = again or (() if why else tuple(_missing(question, limits)))
    if why or steps or question.thick is None:
        return uncut(why, limits, steps, _taken(question), _of_uncut(question, why))
    most = min(limits.values())
    first = min(most - 1, most if question.in_the_way is None else question.in_the_way)
    once, at_most = (_cut(question, question.thick, teeth) for teeth in (first, most))
    answer = Note("strap_trim.trim", {"first_teeth": first, "most_teeth": most})
    notes = (answer, *_notes(question, limits, first), *_cautions(question))
    return Trim(Outcome.TRIM, (), limits, once, at_most, (), tuple(_taken(question)), notes)


def _of_uncut(question: StrapQuestion, why: tuple[Why, ...]) -> Iterator[Note]:
    yield Note("strap_trim.do_not_cut") if why else Note("strap_trim.cannot_tell")
    for each in why:
        yield Note(_SAID[each], _params(question))
    yield from _catalogued(question)
    yield from _cautions(question)


def _params(question: StrapQuestion) -> dict[str, str | float]:
    found: dict[str, str | float] = {"reserve_teeth": _reserve(question), "tail_teeth": _tail(question)}
    thick = question.thick
    return found if thick is None else {**found, "engaged": thick.engaged, "standing_out": thick.standing_out}


def _reserve(question: StrapQuestion) -> int:
    return round(wished("strap_reserve_teeth").value) if question.reserve is None else question.reserve


def _tail(question: StrapQuestion) -> int:
    return round(wished("strap_tail_teeth").value) if question.tail is None else question.tail


def _bevelled() -> int:
    return round(doubted("strap_bevelled_teeth").value)


def _limits(question: StrapQuestion) -> Iterator[tuple[Kept, int]]:
    if (thick := question.thick) is not None:
        yield Kept.RESERVE, max(0, thick.engaged - _bevelled() - _reserve(question))
        yield Kept.TAIL, max(0, thick.standing_out - _tail(question))
    to_mark = list(_to_mark(question))
    if to_mark:
        yield Kept.MARK, min(to_mark)


def _to_mark(question: StrapQuestion) -> Iterator[int]:
    if question.teeth_to_mark is not None:
        yield max(0, question.teeth_to_mark - round(doubted("strap_miscounted_teeth").value))
    if (measured := measured_to_mark(question)) is not None:
        yield measured[0]


def _why(question: StrapQuestion, limits: Mapping[Kept, int]) -> Iterator[Why]:
    if not question.is_toothed:
        yield Why.NO_TEETH
        return
    if is_past_mark(question):
        yield Why.PAST_MARK
    elif limits.get(Kept.MARK) == 0:
        yield Why.MARK_REACHED
    if (thick := question.thick) is not None:
        yield from _why_closed(thick, _reserve(question), limits)
    if question.in_the_way == 0:
        yield Why.NOT_IN_THE_WAY
    if min(limits.values(), default=0) == 1:
        yield Why.ONE_TOOTH_ONLY


def _why_closed(thick: Closing, reserve: int, limits: Mapping[Kept, int]) -> Iterator[Why]:
    if thick.engaged < reserve:
        yield Why.TOO_SHORT
    elif limits[Kept.RESERVE] == 0:
        yield Why.RESERVE_USED_UP
    if thick.standing_out == 0:
        yield Why.NOTHING_STANDS_OUT
    elif limits[Kept.TAIL] == 0:
        yield Why.TAIL_USED_UP


def _missing(question: StrapQuestion, limits: Mapping[Kept, int]) -> Iterator[Note]:
    if question.thick is None:
        yield Note("strap_trim.close_on_thickest")
    if question.has_mark is not False and Kept.MARK not in limits:
        is_seen = question.has_mark or question.cut_limit is not None
        yield Note("strap_trim.count_to_mark") if is_seen else Note("strap_trim.look_for_mark")


def _cut(question: StrapQuestion, thick: Closing, teeth: int) -> Cut:
    pitch, length, usual = question.pitch, question.length, question.usual
    goes = None if pitch is None else tip_of(question) + pitch.of(teeth) + wander()
    stays = None if goes is None or length is None else length - goes
    return Cut(teeth, goes, stays, _after(thick, teeth), None if usual is None else _after(usual, teeth))


def _after(before: Closing, teeth: int) -> Closing:
    return Closing(before.engaged - teeth - _bevelled(), before.standing_out - teeth)


def _notes(question: StrapQuestion, limits: Mapping[Kept, int], first: int) -> Iterator[Note]:
    most = min(limits.values())
    yield Note("strap_trim.one_less_first") if first == most - 1 else Note("strap_trim.what_is_in_the_way")
    for kept, teeth in limits.items():
        if teeth == most:
            yield Note(_SAID_OF_LIMIT[kept], _params(question))
    if question.has_mark is False:
        yield Note("strap_trim.no_mark")
    if question.pitch is None:
        yield Note("strap_trim.pitch_over_several")
    yield from _catalogued(question)


def _catalogued(question: StrapQuestion) -> Iterator[Note]:
    if question.catalogued:
        yield Note("strap_trim.as_catalogued", {"what": ", ".join(question.catalogued)})


def _cautions(question: StrapQuestion) -> Iterator[Note]:
    if question.is_toothed:
        yield Note("strap_trim.holds_the_foot")
        yield Note("caution.cannot_be_undone")
    yield Note("caution.makers_word")


def _taken(question: StrapQuestion) -> Iterator[Taken]:
    if not question.is_toothed:
        return
    if question.reserve is None:
        yield wished("strap_reserve_teeth")
    if question.tail is None:
        yield wished("strap_tail_teeth")
    yield doubted("strap_bevelled_teeth")
    if question.teeth_to_mark is not None:
        yield doubted("strap_miscounted_teeth")
    if question.pitch is not None:
        if question.tip is None:
            yield wished("strap_tip_mm")
        yield doubted("saw_wander_mm")
