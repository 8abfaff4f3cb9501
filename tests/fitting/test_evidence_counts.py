"""What is told of pairs, counted: tallies that are the same in any order, and returns that point at a row."""

from __future__ import annotations

import tomllib
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.evidence import (
    Attested,
    Counted,
    ReturnCause,
    Returned,
    Source,
    evidence_estimates,
    returns_to_correct,
    tallied,
)

EVIDENCE = evidence_estimates()

_COUNTED = st.builds(
    Counted,
    st.sampled_from([outcome for outcome in Attested if outcome is not Attested.CAME_BACK]),
    st.none(),
    st.sampled_from(list(Source)),
    st.integers(1, 40),
) | st.builds(
    Counted,
    st.just(Attested.CAME_BACK),
    st.sampled_from(list(ReturnCause)),
    st.sampled_from(list(Source)),
    st.integers(1, 40),
)


class TestTally:
    """A tally ..."""

    @given(rows=st.lists(_COUNTED, max_size=6).flatmap(lambda rows: st.tuples(st.just(rows), st.permutations(rows))))
    def test_is_the_same_in_whatever_order_it_was_told(self, rows: tuple[list[Counted], list[Counted]]) -> None:
        """... of the same reports in another order is equal and has the same hash."""
        first, second = map(tallied, rows)

        assert (first, hash(first)) == (second, hash(second))

    def test_adds_up_what_one_source_tells_several_times(self) -> None:
        """... holds each outcome of each source once."""
        two, three, five = (Counted(Attested.FITTED, None, Source.SHOP, times) for times in (2, 3, 5))

        assert tallied([five]) == tallied([two, three])

    def test_counts_from_one(self) -> None:
        """... has no row of something that nobody told."""
        with pytest.raises(InvalidQuantityError, match="found 0, expected a count of at least 1"):
            Counted(Attested.FITTED, None, Source.BENCH, 0)

    @pytest.mark.parametrize(("attested", "cause"), [(Attested.CAME_BACK, None), (Attested.FITTED, ReturnCause.FAULTY)])
    def test_has_a_cause_for_a_return_and_for_nothing_else(self, attested: Attested, cause: ReturnCause | None) -> None:
        """... refuses a return without a cause, and a cause without a return."""
        with pytest.raises(InvalidQuantityError, match="a cause with came_back"):
            Counted(attested, cause, Source.BENCH, 1)


class TestReturns:
    """Returns ..."""

    @pytest.mark.parametrize(
        ("cause", "sku", "fields", "pauses"),
        [
            (ReturnCause.WRONG_VERSION, "skate-1", ("mark",), True),
            (ReturnCause.DID_NOT_GO_ON, "frame-1", ("mounts",), True),
            (ReturnCause.WRONG_COUNT, "frame-1", ("units_per_pack", "sold_as"), False),
            (ReturnCause.FAULTY, "frame-1", ("stock", "supplier"), False),
        ],
    )
    def test_point_at_the_row_to_correct(
        self, cause: ReturnCause, sku: str, fields: tuple[str, ...], pauses: bool
    ) -> None:
        """... for one cause point at the skate's or the part's row, and pause it where others would be misled."""
        (found,) = returns_to_correct([Returned("skate-1", "frame-1", cause, 3, 2)], EVIDENCE)

        assert (sku, fields, pauses, 3, 2) == (found.sku, found.fields, found.pauses, found.returns, found.used)

    def test_for_a_changed_mind_point_at_nothing(self) -> None:
        """... because somebody thought better of it say nothing, however many."""
        assert () == returns_to_correct([Returned("skate-1", "frame-1", ReturnCause.CHANGED_MIND, 1000)], EVIDENCE)

    def test_that_are_few_point_at_nothing(self) -> None:
        """... point at a row from the third on."""
        assert () == returns_to_correct([Returned("skate-1", "frame-1", ReturnCause.FAULTY, 2)], EVIDENCE)

    def test_for_several_causes_are_not_added_up(self) -> None:
        """... for two causes are two stories."""
        rows = [Returned("skate-1", "frame-1", cause, 2) for cause in (ReturnCause.FAULTY, ReturnCause.WRONG_COUNT)]

        assert () == returns_to_correct(rows, EVIDENCE)

    def test_of_one_part_are_added_up_over_skates(self) -> None:
        """... of one frame from three skates point at the frame."""
        rows = [Returned(f"skate-{number}", "frame-1", ReturnCause.DID_NOT_GO_ON, 1) for number in range(3)]

        assert [("frame-1", "part", 3)] == [
            (each.sku, each.of, each.returns) for each in returns_to_correct(rows, EVIDENCE)
        ]

    @given(
        rows=st.lists(
            st.builds(
                Returned,
                st.sampled_from(["skate-1", "skate-2"]),
                st.sampled_from(["frame-1", "frame-2"]),
                st.sampled_from(list(ReturnCause)),
                st.integers(1, 4),
            ),
            max_size=8,
        ).flatmap(lambda rows: st.tuples(st.just(rows), st.permutations(rows)))
    )
    def test_are_listed_in_a_fixed_order(self, rows: tuple[list[Returned], list[Returned]]) -> None:
        """... are listed alike in whatever order they came."""
        assert returns_to_correct(rows[0], EVIDENCE) == returns_to_correct(rows[1], EVIDENCE)

    @pytest.mark.parametrize(("count", "used"), [(0, 0), (2, 3), (2, -1)])
    def test_are_counted_from_one_and_used_at_most_as_often(self, count: int, used: int) -> None:
        """... that nobody brought back, or more used ones than there are, are refused."""
        with pytest.raises(InvalidQuantityError):
            Returned("skate-1", "frame-1", ReturnCause.FAULTY, count, used)


class TestDataFile:
    """The data file ..."""

    ROWS = tomllib.loads(resources.files("mountwright.fitting").joinpath("evidence.toml").read_text(encoding="utf-8"))

    @pytest.mark.parametrize("source", list(Source))
    def test_weighs_no_report_above_one(self, source: Source) -> None:
        """... gives every source a weight above 0 and at most 1."""
        assert 0 < EVIDENCE.source_weights[source] <= 1

    def test_gives_every_choice_its_range(self) -> None:
        """... keeps every figure within the range that it was chosen from, marked as an estimate."""
        figures = [self.ROWS["geometry"], self.ROWS["returns"], *self.ROWS["sources"].values()]

        assert {"estimate"} == {row["standing"] for row in figures}
        assert all(row["range"][0] <= next(iter(row.values())) <= row["range"][1] for row in figures)
