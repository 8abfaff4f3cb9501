"""How much of a flap may go: the edge of a cuff or a liner that presses, or lies too far over the other one.

Judged closed, with the thickest sock and the knee bent. At most as much may go as lies in the way, as the maker's mark
leaves, and as leaves enough to lie over the other flap, each with every doubt at its worst end. A part of that is cut
first, and tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from mountwright.bench.length import Length, read_length
from mountwright.bench.trimming import Outcome, Taken, Trim, doubted, uncut, wander, wished
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import in_units, thousandths
from mountwright.riding.note import Note


class FlapOf(StrEnum):
    """What the flap belongs to."""

    CUFF = "cuff"
    LINER = "liner"


class Kept(StrEnum):
    """What a cut has to leave, in the order in which it is told."""

    MARK = "mark"
    OVERLAP = "overlap"


class Why(StrEnum):
    """Why a flap is not cut, in the order in which it is told."""

    PAST_MARK = "past_mark"
    MARK_REACHED = "mark_reached"
    OVERLAP_USED_UP = "overlap_used_up"
    NOT_IN_THE_WAY = "not_in_the_way"
    TOO_LITTLE = "too_little"


#: Spelt out, so that each is found where messages are looked for.
_SAID = {
    Why.PAST_MARK: "flap_trim.past_mark",
    Why.MARK_REACHED: "flap_trim.mark_reached",
    Why.OVERLAP_USED_UP: "flap_trim.overlap_used_up",
    Why.NOT_IN_THE_WAY: "flap_trim.not_in_the_way",
    Why.TOO_LITTLE: "flap_trim.too_little",
}

#: Cuts are told in steps that can be drawn on the part.
_STEP_UM = 500


@dataclass(frozen=True)
class FlapQuestion:
    """What is known of a flap. What is None nobody has looked at.

    Parameters
    ----------
    of : FlapOf
    in_the_way : Length or None
        How far its edge presses or lies too far over, 0 or more.
    length, least_length : Length or None
        Of the flap as it is now; what of that has to stay, by the maker's mark or sheet.
    has_mark : bool or None
        Whether the maker says how far it may be cut.
    overlap : Length or None
        How far it lies over the other flap.
    is_overlapping : bool or None
        Whether it lies over another flap at all.
    overlap_wanted : Length or None
        What of the overlap has to stay; the usual figure for None.
    catalogued : tuple of str
        Which of these figures the catalogue told.

    Raises
    ------
    InvalidQuantityError
        For figures of a mark or an overlap that is not there.
    """

    of: FlapOf
    in_the_way: Length | None = None
    length: Length | None = None
    least_length: Length | None = None
    has_mark: bool | None = None
    overlap: Length | None = None
    is_overlapping: bool | None = None
    overlap_wanted: Length | None = None
    catalogued: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.has_mark is False and self.least_length is not None:
            raise InvalidQuantityError("no mark, and what has to stay up to it", "one of both")
        if self.is_overlapping is False and self.overlap is not None:
            raise InvalidQuantityError("no overlap, and how far it lies over", "one of both")


@dataclass(frozen=True)
class FlapCut:
    """What goes and what stays.

    Parameters
    ----------
    goes : Length
        With how far the cut may wander.
    stays, overlap : Length or None
        Of the flap and of its overlap; None where nobody measured them.
    """

    goes: Length
    stays: Length | None
    overlap: Length | None


FlapTrim = Trim[Why, Kept, FlapCut]


def flap_trim(question: FlapQuestion) -> FlapTrim:
    """Tell how much of a flap may go, how much first, or why nothing."""
    limits = dict(_limits(question))
    again = tuple(_slips(question))
    most_um = _most_um(question, limits)
    first_um = _whole_steps(most_um * thousandths(wished("flap_first_share").value) // 1000)
    why = () if again else tuple(_why(question, limits, first_um))
    steps = again or (() if why else tuple(_missing(question, limits)))
    if why or steps:
        return uncut(why, limits, steps, _taken(question), _of_uncut(question, why))
    answer = Note("flap_trim.trim", {"first_mm": in_units(first_um), "most_mm": in_units(most_um)})
    first, at_most = (_cut(question, each) for each in (first_um, most_um))
    notes = (answer, *_notes(question), *_cautions())
    return Trim(Outcome.TRIM, (), limits, first, at_most, (), tuple(_taken(question)), notes)


def _most_um(question: FlapQuestion, limits: Mapping[Kept, int]) -> int:
    """Give what may go at the most as far as is known, 0 where nobody measured what is in the way."""
    if question.in_the_way is None:
        return 0
    return _whole_steps(min((max(0, question.in_the_way.likely_um), *limits.values())))


def _whole_steps(um: int) -> int:
    return um // _STEP_UM * _STEP_UM


def _limits(question: FlapQuestion) -> Iterator[tuple[Kept, int]]:
    length, least, overlap = question.length, question.least_length, question.overlap
    if length is not None and least is not None:
        yield Kept.MARK, max(0, (length - least - wander()).least_um)
    if overlap is not None:
        yield Kept.OVERLAP, max(0, (overlap - _wanted(question) - wander()).least_um)


def _wanted(question: FlapQuestion) -> Length:
    if question.overlap_wanted is not None:
        return question.overlap_wanted
    return read_length(thousandths(wished("flap_overlap_mm").value), 0)


def _slips(question: FlapQuestion) -> Iterator[Note]:
    length = question.length
    if length is None:
        return
    for each in (question.in_the_way, question.overlap):
        if each is not None and each.least_um > length.most_um:
            found = {"found_mm": in_units(each.likely_um), "length_mm": in_units(length.likely_um)}
            yield Note("flap_trim.more_than_flap", found)


def _why(question: FlapQuestion, limits: Mapping[Kept, int], first_um: int) -> Iterator[Why]:
    if _is_past_mark(question):
        yield Why.PAST_MARK
    elif limits.get(Kept.MARK) == 0:
        yield Why.MARK_REACHED
    if limits.get(Kept.OVERLAP) == 0:
        yield Why.OVERLAP_USED_UP
    if question.in_the_way is None:
        return
    if question.in_the_way.likely_um == 0:
        yield Why.NOT_IN_THE_WAY
    elif first_um < thousandths(wished("flap_least_cut_mm").value) and all(limits.values()):
        yield Why.TOO_LITTLE


def _is_past_mark(question: FlapQuestion) -> bool:
    length, least = question.length, question.least_length
    return length is not None and least is not None and length.most_um < least.least_um


def _missing(question: FlapQuestion, limits: Mapping[Kept, int]) -> Iterator[Note]:
    if question.in_the_way is None:
        yield Note("flap_trim.mark_what_presses")
    if question.has_mark is not False and Kept.MARK not in limits:
        is_seen = question.has_mark or question.least_length is not None
        yield Note("flap_trim.measure_to_mark") if is_seen else Note("flap_trim.look_for_mark")
    if question.is_overlapping is not False and question.overlap is None:
        yield Note("flap_trim.look_for_overlap")


def _cut(question: FlapQuestion, um: int) -> FlapCut:
    goes = read_length(um, 0) + wander()
    stays, overlap = (None if each is None else each - goes for each in (question.length, question.overlap))
    return FlapCut(goes, stays, overlap)


def _of_uncut(question: FlapQuestion, why: tuple[Why, ...]) -> Iterator[Note]:
    yield Note("flap_trim.do_not_cut") if why else Note("flap_trim.cannot_tell")
    for each in why:
        yield Note(_SAID[each], {"overlap_mm": in_units(_wanted(question).likely_um)})
    yield from _catalogued(question)
    yield from _cautions()


def _notes(question: FlapQuestion) -> Iterator[Note]:
    yield Note("flap_trim.less_first")
    if question.has_mark is False:
        yield Note("flap_trim.no_mark")
    yield from _catalogued(question)


def _catalogued(question: FlapQuestion) -> Iterator[Note]:
    if question.catalogued:
        yield Note("flap_trim.as_catalogued", {"what": ", ".join(question.catalogued)})


def _cautions() -> Iterator[Note]:
    yield Note("flap_trim.never_into_fittings")
    yield Note("caution.cannot_be_undone")
    yield Note("caution.makers_word")


def _taken(question: FlapQuestion) -> Iterator[Taken]:
    if question.overlap is not None and question.overlap_wanted is None:
        yield wished("flap_overlap_mm")
    yield wished("flap_first_share")
    yield wished("flap_least_cut_mm")
    yield doubted("saw_wander_mm")
