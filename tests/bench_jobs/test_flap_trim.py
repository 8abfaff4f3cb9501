"""How much of a flap may go."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.flap_trim import FlapOf, FlapQuestion, FlapTrim, Kept, Why, flap_trim
from mountwright.bench.length import Length, read_length
from mountwright.bench.trimming import Outcome
from mountwright.errors import InvalidQuantityError


def mm(value: float, half_width: float = 0) -> Length:
    """Give a reading, millimetres."""
    return read_length(round(1000 * value), round(1000 * half_width))


#: 12 mm in the way of a flap of 60, of which 40 have to stay; it lies 30 over the other one, and 15 have to stay.
KNOWN = FlapQuestion(
    FlapOf.CUFF, mm(12), length=mm(60), least_length=mm(40), overlap=mm(30), overlap_wanted=mm(15), has_mark=True
)

_LENGTHS = st.none() | st.builds(read_length, st.integers(0, 90_000), st.integers(0, 2500))


@st.composite
def flaps(draw: st.DrawFn) -> FlapQuestion:
    """Give a flap of which all may be known that can be."""
    has_mark, is_overlapping = draw(st.tuples(*[st.sampled_from([None, True, False])] * 2))
    return FlapQuestion(
        draw(st.sampled_from(FlapOf)),
        draw(_LENGTHS),
        draw(_LENGTHS),
        None if has_mark is False else draw(_LENGTHS),
        has_mark,
        None if is_overlapping is False else draw(_LENGTHS),
        is_overlapping,
        draw(_LENGTHS),
    )


def codes(found: FlapTrim) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


def most_um(found: FlapTrim) -> int:
    """Give how much may go, 0 where nothing may."""
    return 0 if found.at_most is None else found.at_most.goes.likely_um


class TestSum:
    """What may go ..."""

    def test_is_what_is_in_the_way_where_there_is_room(self) -> None:
        """... is the 12 mm in the way, for the mark lets 60 - 40 - 1 go and the overlap 30 - 15 - 1; half first."""
        found = flap_trim(KNOWN)

        assert {Kept.MARK: 19_000, Kept.OVERLAP: 14_000} == dict(found.limits)
        assert (12_000, 6_000) == (most_um(found), found.first and found.first.goes.likely_um)
        assert Outcome.TRIM is found.outcome

    def test_stays_with_its_doubt(self) -> None:
        """... leaves 54 mm of the flap and 24 of the overlap after the first cut, within the cut's millimetre."""
        first = flap_trim(KNOWN).first

        assert first
        assert (mm(6, 1), mm(54, 1), mm(24, 1)) == (first.goes, first.stays, first.overlap)

    @pytest.mark.parametrize(
        ("more", "most"),
        [
            ({"least_length": mm(50)}, 9_000),
            ({"length": mm(60, 0.75), "least_length": mm(50, 0.75)}, 7_500),
            ({"overlap": mm(25)}, 9_000),
            ({"overlap": mm(25), "overlap_wanted": None}, 9_000),
            ({"in_the_way": mm(7.3, 0.75)}, 7_000),
            ({"has_mark": False, "least_length": None, "is_overlapping": False, "overlap": None}, 12_000),
        ],
    )
    def test_is_the_least_that_anything_lets_go(self, more: Any, most: int) -> None:
        """... is the least that anything lets go, doubts at their worst, in steps of half a millimetre."""
        assert most == most_um(flap_trim(replace(KNOWN, **more)))

    def test_is_taken_as_usual_where_nobody_says(self) -> None:
        """... keeps the usual overlap where nobody told any, and names it with its range."""
        taken = {
            each.name: (each.low, each.value, each.high)
            for each in flap_trim(replace(KNOWN, overlap_wanted=None)).taken
        }

        assert (10.0, 15.0, 25.0) == taken["flap_overlap_mm"]
        assert "flap_overlap_mm" not in {each.name for each in flap_trim(KNOWN).taken}


class TestRefusal:
    """A flap ..."""

    @pytest.mark.parametrize(
        ("more", "why"),
        [
            ({"length": mm(38, 0.5), "in_the_way": None}, [Why.PAST_MARK]),
            ({"length": mm(40)}, [Why.MARK_REACHED]),
            ({"length": mm(41), "overlap": mm(16)}, [Why.MARK_REACHED, Why.OVERLAP_USED_UP]),
            ({"overlap": mm(15)}, [Why.OVERLAP_USED_UP]),
            ({"in_the_way": mm(0)}, [Why.NOT_IN_THE_WAY]),
            ({"in_the_way": mm(1.9)}, [Why.TOO_LITTLE]),
            ({"overlap": mm(17)}, [Why.TOO_LITTLE]),
            ({"in_the_way": mm(0), "length": mm(40)}, [Why.MARK_REACHED, Why.NOT_IN_THE_WAY]),
        ],
    )
    def test_is_not_cut_where_too_little_would_stay(self, more: Any, why: list[Why]) -> None:
        """... is not cut where too little would stay, or too little would go; the reasons follow the answer."""
        found = flap_trim(replace(KNOWN, **more))

        assert (Outcome.DO_NOT_CUT, why, None, None) == (found.outcome, list(found.why), found.first, found.at_most)
        assert ["flap_trim.do_not_cut", *(f"flap_trim.{each}" for each in why)] == codes(found)[: 1 + len(why)]

    @pytest.mark.parametrize(
        ("more", "steps"),
        [
            ({"in_the_way": None}, ["mark_what_presses"]),
            ({"least_length": None, "has_mark": None}, ["look_for_mark"]),
            ({"least_length": None}, ["measure_to_mark"]),
            ({"length": None}, ["measure_to_mark"]),
            ({"overlap": None}, ["look_for_overlap"]),
            ({"overlap": None, "is_overlapping": True}, ["look_for_overlap"]),
            ({"overlap": None, "in_the_way": None}, ["mark_what_presses", "look_for_overlap"]),
            ({"in_the_way": mm(70)}, ["more_than_flap"]),
            ({"overlap": mm(62, 1)}, ["more_than_flap"]),
        ],
    )
    def test_is_not_judged_before_it_was_looked_at(self, more: Any, steps: list[str]) -> None:
        """... is not judged before everything was looked at, or while figures contradict; the steps say what."""
        found = flap_trim(replace(KNOWN, **more))

        assert (Outcome.CANNOT_TELL, [f"flap_trim.{step}" for step in steps]) == (
            found.outcome,
            [note.code for note in found.next_steps],
        )

    def test_without_a_mark_is_left_to_the_maker(self) -> None:
        """... without a mark is judged by the rest, and the maker's sheet named."""
        assert "flap_trim.no_mark" in codes(flap_trim(replace(KNOWN, has_mark=False, least_length=None)))


class TestLaws:
    """Whatever is known of a flap ..."""

    @given(flaps())
    def test_it_is_never_cut_too_far(self, question: FlapQuestion) -> None:
        """... mark and overlap stay with every doubt at its worst, and no more goes than is in the way."""
        cut, wanted = flap_trim(question).at_most, question.overlap_wanted or mm(15)
        if cut is None:
            return

        assert question.in_the_way
        assert cut.goes.likely_um <= question.in_the_way.likely_um
        if question.least_length and cut.stays:
            assert cut.stays.least_um >= question.least_length.most_um
        if cut.overlap:
            assert cut.overlap.least_um >= wanted.most_um

    @given(flaps())
    def test_less_goes_first(self, question: FlapQuestion) -> None:
        """... less than may go is cut first, and never less than can be cut."""
        found = flap_trim(question)

        assert (found.first is None) == (found.at_most is None) == (found.outcome is not Outcome.TRIM)
        if found.first:
            assert 1000 <= found.first.goes.likely_um <= most_um(found) / 2

    @given(st.integers(0, 60), st.integers(0, 60))
    def test_more_to_keep_never_lets_more_go(self, one: int, other: int) -> None:
        """... more that has to stay never lets more go."""
        little, much = sorted((one, other))

        for name in ("least_length", "overlap_wanted"):
            found = [most_um(flap_trim(replace(KNOWN, **{name: mm(each)}))) for each in (much, little)]
            assert sorted(found) == found

    @given(flaps())
    def test_the_answer_comes_first_and_cautions_last(self, question: FlapQuestion) -> None:
        """... the answer is said first, the cautions last; what is not told is told by reasons or by steps."""
        found = flap_trim(question)

        assert f"flap_trim.{found.outcome}" == codes(found)[0]
        assert ["caution.cannot_be_undone", "caution.makers_word"] == codes(found)[-2:]
        assert (found.outcome is Outcome.DO_NOT_CUT) == bool(found.why)
        assert (found.outcome is Outcome.CANNOT_TELL) == bool(found.next_steps)


class TestQuestion:
    """Figures ..."""

    @pytest.mark.parametrize(
        ("more", "expected"), [({"has_mark": False}, "no mark"), ({"is_overlapping": False}, "no overlap")]
    )
    def test_of_what_is_not_there_are_refused(self, more: Any, expected: str) -> None:
        """... of a mark or an overlap that is not there are refused."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(KNOWN, **more)
