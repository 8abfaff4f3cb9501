"""How many teeth of a strap may go."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mountwright.bench.length import Length, read_length
from mountwright.bench.strap import Closing, Pitch, StrapQuestion
from mountwright.bench.strap_trim import Kept, StrapTrim, Why, strap_trim
from mountwright.bench.trimming import Outcome
from mountwright.errors import InvalidQuantityError

#: 14 clicks over the thickest sock, 9 teeth stand out; 4 have to hold, 2 to stand out; 20 teeth to the mark.
COUNTED = StrapQuestion(thick=Closing(14, 9), usual=Closing(18, 13), reserve=4, tail=2, teeth_to_mark=20)

#: 200 mm of strap of which 150 have to stay, a tip of 5, a tooth every 3 mm: nothing in doubt but the cut's own 1 mm.
MEASURED = replace(
    COUNTED,
    teeth_to_mark=None,
    length=read_length(200_000, 0),
    cut_limit=read_length(150_000, 0),
    tip=read_length(5_000, 0),
    pitch=Pitch(read_length(30_000, 0), 10),
)

_COUNTS = st.integers(0, 60)


@st.composite
def closings(draw: st.DrawFn) -> Closing:
    """Give a closing: its clicks, and how many stand out."""
    out, hidden = draw(st.integers(0, 40)), draw(st.integers(1, 12))
    return Closing(out + hidden, out)


@st.composite
def lengths(draw: st.DrawFn, least: int, most: int) -> Length:
    """Give a reading, micrometres, with a doubt of up to 2 mm."""
    return read_length(draw(st.integers(least, most)), draw(st.integers(0, 2000)))


@st.composite
def straps(draw: st.DrawFn) -> StrapQuestion:
    """Give a strap of which all may be known that can be."""
    has_mark = draw(st.sampled_from([None, True, False]))
    thick = draw(closings())
    loose = draw(st.integers(0, 8))
    return StrapQuestion(
        thick=thick,
        usual=draw(st.none() | st.just(Closing(thick.engaged + loose, thick.standing_out + loose))),
        in_the_way=draw(st.none() | st.integers(0, thick.standing_out)),
        reserve=draw(st.none() | st.integers(1, 12)),
        tail=draw(st.none() | st.integers(0, 8)),
        has_mark=has_mark,
        teeth_to_mark=None if has_mark is False else draw(st.none() | _COUNTS),
        length=draw(st.none() | lengths(60_000, 400_000)),
        cut_limit=None if has_mark is False else draw(st.none() | lengths(40_000, 300_000)),
        tip=draw(st.none() | lengths(2_000, 20_000)),
        pitch=draw(st.none() | st.builds(Pitch, lengths(20_000, 60_000), st.just(10))),
    )


def codes(found: StrapTrim) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


def most(found: StrapTrim) -> int:
    """Give how many teeth may go, 0 where none may."""
    return 0 if found.at_most is None else found.at_most.teeth


class TestSum:
    """What may go ..."""

    def test_is_the_least_that_anything_lets_go(self) -> None:
        """... is the least of 14 - 1 - 4 for the reserve, 9 - 2 for the tail, 20 - 1 for the mark; one less first."""
        found = strap_trim(COUNTED)

        assert {Kept.RESERVE: 9, Kept.TAIL: 7, Kept.MARK: 19} == dict(found.limits)
        assert (7, 6) == (most(found), found.first and found.first.teeth)
        assert (Outcome.TRIM, ()) == (found.outcome, found.why)

    def test_is_told_by_how_it_closes_then(self) -> None:
        """... is told by what closes then: 14 - 6 - 1 hold with the thickest sock and 18 - 6 - 1 with the usual."""
        first = strap_trim(COUNTED).first

        assert first
        assert (Closing(7, 3), Closing(11, 7)) == (first.thick, first.usual)

    def test_is_measured_to_the_mark(self) -> None:
        """... up to a mark is (200 - 150 - 5 - 1) / 3 = 14 whole teeth: a cut may lie a millimetre off."""
        assert 14 == strap_trim(MEASURED).limits[Kept.MARK]

    def test_is_measured_in_the_longest_teeth(self) -> None:
        """... up to a mark is 13 teeth if ten of them may be 32 mm long."""
        assert 13 == strap_trim(replace(MEASURED, pitch=Pitch(read_length(30_000, 2_000), 10))).limits[Kept.MARK]

    def test_is_a_length_too(self) -> None:
        """... goes 5 + 6 x 3 mm and stays 200 - 23, each within the millimetre that a cut wanders."""
        first = strap_trim(MEASURED).first

        assert first
        assert (read_length(23_000, 1000), read_length(177_000, 1000)) == (first.goes, first.stays)

    def test_adds_up_doubts_at_their_worst(self) -> None:
        """... has every doubt in it at its worst: 1 + 0.5 of the tip, 6 teeth of 0.02, 0.75 of the strap."""
        doubtful = replace(
            MEASURED,
            length=read_length(200_000, 750),
            tip=read_length(5_000, 500),
            pitch=Pitch(read_length(30_000, 200), 10),
        )
        first = strap_trim(doubtful).first

        assert first
        assert (read_length(23_000, 1620), read_length(177_000, 2370)) == (first.goes, first.stays)

    def test_is_no_length_without_a_pitch(self) -> None:
        """... is told in teeth alone where nobody measured the pitch, with how to."""
        found = strap_trim(replace(COUNTED, length=read_length(200_000, 0)))

        assert found.first
        assert (None, None) == (found.first.goes, found.first.stays)
        assert "strap_trim.pitch_over_several" in codes(found)

    def test_is_only_what_is_in_the_way(self) -> None:
        """... first is no more than what is in the way, and says so."""
        found = strap_trim(replace(COUNTED, in_the_way=3))

        assert (7, 3) == (most(found), found.first and found.first.teeth)
        assert "strap_trim.what_is_in_the_way" in codes(found)
        assert "strap_trim.one_less_first" not in codes(found)

    def test_heeds_the_nearer_of_two_marks(self) -> None:
        """... keeps to the nearer mark where it was counted and measured."""
        assert 13 == strap_trim(replace(MEASURED, teeth_to_mark=14)).limits[Kept.MARK]

    def test_is_wished_for_as_usual_where_nobody_says(self) -> None:
        """... keeps the usual reserve and tail where nobody told any, and names them with their range."""
        found = strap_trim(replace(COUNTED, reserve=None, tail=None))
        taken = {each.name: (each.low, each.value, each.high, each.standing) for each in found.taken}

        assert (9, 7) == (found.limits[Kept.RESERVE], found.limits[Kept.TAIL])
        assert (3.0, 4.0, 6.0, "estimate") == taken["strap_reserve_teeth"]
        assert (1.0, 2.0, 4.0, "estimate") == taken["strap_tail_teeth"]
        assert not {"strap_reserve_teeth", "strap_tail_teeth"} & {each.name for each in strap_trim(COUNTED).taken}

    @pytest.mark.parametrize(
        ("more", "code"),
        [
            ({"tail": 0, "reserve": 10}, "strap_trim.limited_by_reserve"),
            ({}, "strap_trim.limited_by_tail"),
            ({"teeth_to_mark": 5}, "strap_trim.limited_by_mark"),
        ],
    )
    def test_says_what_limits_it(self, more: Any, code: str) -> None:
        """... says what sets the limit, and only that."""
        said = codes(strap_trim(replace(COUNTED, **more)))

        assert [code] == [each for each in said if each.startswith("strap_trim.limited_by")]


class TestRefusal:
    """A strap ..."""

    @pytest.mark.parametrize(
        ("more", "why"),
        [
            ({"is_toothed": False}, [Why.NO_TEETH]),
            ({"thick": Closing(3, 2), "usual": None}, [Why.TOO_SHORT, Why.TAIL_USED_UP]),
            ({"thick": Closing(3, 0), "usual": None}, [Why.TOO_SHORT, Why.NOTHING_STANDS_OUT]),
            ({"thick": Closing(0, 0), "usual": None}, [Why.TOO_SHORT, Why.NOTHING_STANDS_OUT]),
            ({"thick": Closing(5, 4), "usual": None}, [Why.RESERVE_USED_UP]),
            ({"thick": Closing(4, 3), "usual": None}, [Why.RESERVE_USED_UP]),
            ({"thick": Closing(12, 0), "usual": None}, [Why.NOTHING_STANDS_OUT]),
            ({"thick": Closing(12, 2), "usual": None}, [Why.TAIL_USED_UP]),
            ({"thick": Closing(12, 3), "usual": None}, [Why.ONE_TOOTH_ONLY]),
            ({"teeth_to_mark": 0}, [Why.MARK_REACHED]),
            ({"teeth_to_mark": 1}, [Why.MARK_REACHED]),
            ({"teeth_to_mark": 2}, [Why.ONE_TOOTH_ONLY]),
            ({"in_the_way": 0}, [Why.NOT_IN_THE_WAY]),
            ({"length": read_length(148_000, 500), "cut_limit": read_length(150_000, 500)}, [Why.PAST_MARK]),
        ],
    )
    def test_is_not_cut_where_too_little_would_stay(self, more: Any, why: list[Why]) -> None:
        """... is not cut where it is too short, nothing stands out, or too little would stay; the reasons follow."""
        found = strap_trim(replace(COUNTED, **more))

        assert (Outcome.DO_NOT_CUT, why, None, None) == (found.outcome, list(found.why), found.first, found.at_most)
        assert ["strap_trim.do_not_cut", *(f"strap_trim.{each}" for each in why)] == codes(found)[: 1 + len(why)]

    def test_needs_no_mark_to_be_too_short(self) -> None:
        """... that is too short is refused at once, whether anybody looked for a mark or not."""
        found = strap_trim(StrapQuestion(thick=Closing(3, 1)))

        assert (Outcome.DO_NOT_CUT, ()) == (found.outcome, found.next_steps)

    def test_that_is_not_surely_past_its_mark_is_at_it(self) -> None:
        """... whose length and mark may be the same has nothing to spare, and nobody says it is past."""
        marked = replace(MEASURED, length=read_length(149_500, 500), cut_limit=read_length(150_000, 500))

        assert (Why.MARK_REACHED,) == strap_trim(marked).why


class TestNobodyCanTell:
    """Nobody can tell ..."""

    @pytest.mark.parametrize(
        ("question", "steps"),
        [
            (StrapQuestion(), ["close_on_thickest", "look_for_mark"]),
            (StrapQuestion(has_mark=False), ["close_on_thickest"]),
            (StrapQuestion(thick=Closing(14, 9)), ["look_for_mark"]),
            (StrapQuestion(thick=Closing(14, 9), has_mark=True), ["count_to_mark"]),
            (StrapQuestion(thick=Closing(14, 9), cut_limit=read_length(150_000, 0)), ["count_to_mark"]),
            (replace(MEASURED, pitch=None), ["count_to_mark"]),
            (replace(COUNTED, thick=None), ["close_on_thickest"]),
        ],
    )
    def test_before_it_was_closed_and_its_mark_looked_for(self, question: StrapQuestion, steps: list[str]) -> None:
        """... before it was closed over the thickest sock and its mark looked for; the answer says what to do."""
        found = strap_trim(question)

        assert (Outcome.CANNOT_TELL, [f"strap_trim.{step}" for step in steps]) == (
            found.outcome,
            [note.code for note in found.next_steps],
        )

    def test_unless_there_is_no_mark(self) -> None:
        """... of a strap with a mark that nobody counted to; one without a mark is judged, and its maker named."""
        found = strap_trim(replace(COUNTED, teeth_to_mark=None, has_mark=False))

        assert (Outcome.TRIM, 7) == (found.outcome, most(found))
        assert "strap_trim.no_mark" in codes(found)

    @pytest.mark.parametrize(
        ("more", "code"),
        [
            ({"usual": Closing(13, 8)}, "usual_closes_less"),
            ({"usual": Closing(2, 1), "thick": Closing(3, 2)}, "usual_closes_less"),
            ({"usual": Closing(18, 15)}, "ratchet_hides_more"),
            ({"tooth_count": 17}, "more_than_teeth"),
            ({"tooth_count": 19}, "more_than_teeth"),
            ({"in_the_way": 14}, "more_in_the_way"),
            ({"length": read_length(50_000, 0), "pitch": MEASURED.pitch}, "teeth_longer_than_strap"),
        ],
    )
    def test_while_counts_contradict_each_other(self, more: Any, code: str) -> None:
        """... while two counts cannot both be right: that is said, and nothing averaged."""
        found = strap_trim(replace(COUNTED, **more))

        assert (Outcome.CANNOT_TELL, [f"strap_trim.{code}"]) == (
            found.outcome,
            [note.code for note in found.next_steps],
        )

    @pytest.mark.parametrize(("counted", "agrees"), [(12, False), (13, True), (16, True), (17, False)])
    def test_while_count_and_measure_of_the_mark_disagree(self, counted: int, agrees: bool) -> None:
        """... where 14 to 15 teeth were measured up to the mark and more than a tooth more or less counted."""
        found = strap_trim(replace(MEASURED, teeth_to_mark=counted))

        assert agrees == (found.outcome is Outcome.TRIM)
        assert agrees or ["strap_trim.mark_disagrees"] == [note.code for note in found.next_steps]

    def test_of_a_tooth_that_is_half_out(self) -> None:
        """... unless the ratchet only seems to hide one tooth more: a tooth that stands out by half."""
        assert Outcome.TRIM is strap_trim(replace(COUNTED, usual=Closing(18, 12))).outcome


class TestLaws:
    """Whatever is known of a strap ..."""

    @given(straps())
    def test_it_is_never_cut_past_its_mark(self, question: StrapQuestion) -> None:
        """... it is never cut past its mark, with every doubt at its worst, nor past a tooth before a counted one."""
        found = strap_trim(question)
        assume(found.at_most is not None)

        assert found.at_most
        assert question.teeth_to_mark is None or found.at_most.teeth < question.teeth_to_mark
        if question.cut_limit is not None and found.at_most.stays is not None:
            assert found.at_most.stays.least_um >= question.cut_limit.most_um

    @given(lengths(150_000, 300_000), lengths(100_000, 150_000), lengths(2_000, 20_000), lengths(20_000, 60_000))
    def test_what_was_measured_up_to_the_mark_stays(
        self, length: Length, limit: Length, tip: Length, span: Length
    ) -> None:
        """... what was measured up to its mark stays with every doubt at its worst, where nothing else limits it."""
        loose = replace(MEASURED, thick=Closing(90, 85), usual=None, reserve=1, tail=0)
        found = strap_trim(replace(loose, length=length, cut_limit=limit, tip=tip, pitch=Pitch(span, 10)))

        if found.at_most is not None and found.at_most.stays is not None:
            assert found.at_most.stays.least_um >= limit.most_um

    @given(straps())
    def test_the_reserve_stays(self, question: StrapQuestion) -> None:
        """... what closes then with the thickest sock keeps reserve and tail, after the first cut a tooth more."""
        found = strap_trim(question)
        reserve, tail = (
            4 if question.reserve is None else question.reserve,
            2 if question.tail is None else question.tail,
        )
        for cut, more in ((found.at_most, 0), (found.first, 1)):
            assert cut is None or cut.thick.engaged >= reserve + more
            assert cut is None or cut.thick.standing_out >= tail + more

    @given(straps())
    def test_one_tooth_less_goes_first(self, question: StrapQuestion) -> None:
        """... a tooth less than may go is cut first at the most, and one at the least."""
        found = strap_trim(question)

        assert (found.first is None) == (found.at_most is None) == (found.outcome is not Outcome.TRIM)
        assert found.first is None or 1 <= found.first.teeth < most(found)

    @given(straps(), st.integers(1, 12), st.integers(1, 12))
    def test_more_reserve_never_lets_more_go(self, question: StrapQuestion, one: int, other: int) -> None:
        """... more reserve, and more tail, never let more go."""
        little, much = sorted((one, other))

        assert most(strap_trim(replace(question, reserve=much))) <= most(strap_trim(replace(question, reserve=little)))
        assert most(strap_trim(replace(question, tail=much))) <= most(strap_trim(replace(question, tail=little)))

    @given(straps(), st.integers(1, 9))
    def test_more_teeth_never_let_less_go(self, question: StrapQuestion, more: int) -> None:
        """... more teeth that are engaged, and stand out, never let less go."""
        thick = question.thick
        assert thick
        alone = replace(question, usual=None)
        longer = replace(alone, thick=Closing(thick.engaged + more, thick.standing_out))
        further_out = replace(alone, thick=Closing(thick.engaged + more, thick.standing_out + more))
        # A strap may be counted longer than it was measured.
        assume(not strap_trim(further_out).next_steps)

        assert most(strap_trim(alone)) <= most(strap_trim(longer)) <= most(strap_trim(further_out))

    @given(lengths(150_000, 200_000), lengths(140_000, 150_000), st.integers(0, 3000))
    def test_more_doubt_never_lets_more_go(self, length: Length, limit: Length, more_um: int) -> None:
        """... more doubt of the strap's length, or of its mark, never lets more go."""
        surer = strap_trim(replace(MEASURED, length=length, cut_limit=limit))

        for name, sure in (("length", length), ("cut_limit", limit)):
            vague = Length(sure.least_um - more_um, sure.likely_um, sure.most_um + more_um)
            vaguer = strap_trim(replace(MEASURED, **{"length": length, "cut_limit": limit, name: vague}))
            assert most(vaguer) <= most(surer)

    @given(straps())
    def test_the_answer_comes_first_and_cautions_last(self, question: StrapQuestion) -> None:
        """... the answer is said first, the cautions last; what is not told is told by reasons or by steps."""
        found = strap_trim(question)

        assert f"strap_trim.{found.outcome}" == codes(found)[0]
        assert ["strap_trim.holds_the_foot", "caution.cannot_be_undone", "caution.makers_word"] == codes(found)[-3:]
        assert (found.outcome is Outcome.DO_NOT_CUT) == bool(found.why)
        assert (found.outcome is Outcome.CANNOT_TELL) == bool(found.next_steps)


class TestQuestion:
    """What cannot be ..."""

    @pytest.mark.parametrize("counts", [(3, 4), (-1, -1), (2, -1), (0, 1)])
    def test_is_refused_of_a_closing(self, counts: tuple[int, int]) -> None:
        """... is refused: more teeth standing out than have passed, or fewer than none."""
        with pytest.raises(InvalidQuantityError, match="standing out"):
            Closing(*counts)

    @pytest.mark.parametrize("which", ["thick", "usual"])
    def test_is_refused_of_teeth_that_nothing_holds(self, which: str) -> None:
        """... is refused: a closed strap whose teeth all stand out, for the pawl holds one."""
        with pytest.raises(InvalidQuantityError, match="the pawl holds"):
            replace(COUNTED, **{which: Closing(3, 3)})

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"reserve": 0}, "1 or more"),
            ({"tail": -1}, "0 or more"),
            ({"in_the_way": -1}, "0 or more"),
            ({"teeth_to_mark": -1}, "0 or more"),
            ({"tooth_count": -1}, "0 or more"),
            ({"has_mark": False}, "one of both"),
        ],
    )
    def test_is_refused_of_a_strap(self, more: Any, expected: str) -> None:
        """... is refused: counts below nought, a reserve of none, a mark that is not there and counted to."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(COUNTED, **more)

    @pytest.mark.parametrize(("span", "teeth"), [(read_length(500, 500), 1), (read_length(3000, 0), 0)])
    def test_is_refused_of_a_pitch(self, span: Length, teeth: int) -> None:
        """... is refused: a span that may be nothing, and one over no tooth."""
        with pytest.raises(InvalidQuantityError, match="above 0"):
            Pitch(span, teeth)
