"""Figures that a mount gets from other articles of its set-up."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidSpecError
from mountwright.measure.quantity import Adjustable, Estimate, Limits, Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.lending import Lender, lends, with_loans
from mountwright.mounts.mount import Claimant, Mount, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.standard import Loan
from mountwright.mounts.toml_file import read_standards

Writing = Callable[..., str]
Figures = dict[str, Quantity | Adjustable]

TOLERANCES = Path(__file__).parents[1] / "reference" / "general_tolerances.csv"

WIDTH = 'measure = "Across the clamp."\n'

#: What the bells lend: the clamp's width from a bolt of 5 mm, the gap on the bell's side alone from a spacer.
BOLT = 'lent_by = { kind = "bolt", spec = "under_head_length_mm", where = { diameter_mm = [4.5, 5.5] } }\n'
GAP = """
[dimensions.gap_mm]
sides = ["bell"]
plausible = [1, 900]
measure = "Between the halves."
lent_by = { kind = "spacer", spec = "length_mm" }
"""


def bells(text: str, loan: str = BOLT, more: str = GAP) -> str:
    """Give the text of the made-up bells with what they are lent."""
    return text.replace(WIDTH, f"{WIDTH}{loan}{more}")


@pytest.fixture(scope="module")
def registry(standards_text: Writing) -> Registry:
    """Give the bells and, at the same place, rings that are lent nothing but the width of a bearing."""
    ring = bells(standards_text("ring-31", "ring_clamp"), 'lent_by = { kind = "bearing", spec = "width_mm" }\n', "")
    return assembled([read_standards(text, "bells.toml") for text in (bells(standards_text()), ring)])


def bolt(length_mm: float | None = 22, diameter_mm: float | None = 5) -> Lender:
    """Give a bolt that may lend the bells their width."""
    return Lender("bolt", {"under_head_length_mm": length_mm, "diameter_mm": diameter_mm, "thread": "M5"})


def spacer(length_mm: float = 8) -> Lender:
    """Give a spacer that may lend the bells their gap."""
    return Lender("spacer", {"length_mm": length_mm})


def bell(*patterns: Pattern, side: str = "bell", position: str = "handlebar") -> Mount:
    """Give a mount, of one pattern that claims the bells where no other is given."""
    return Mount(position, side, patterns or (claiming("bell-22"),))


def claiming(standard: str, name: str = "", figures: Figures | None = None) -> Pattern:
    """Give a pattern that is claimed to follow a standard."""
    return Pattern(name, standard, Claimant.MAKER, figures or {})


def catalogued(value_um: int, half_width_um: int) -> Quantity:
    """Give a figure as it is lent."""
    return Quantity(value_um, rectangular(half_width_um), "catalogue")


class TestAMount:
    """A mount ..."""

    def test_gets_what_it_lacks_with_the_doubt_of_a_catalogue(self, registry: Registry) -> None:
        """... gets each figure from the article that it belongs to, and the places of those who lent come with it."""
        found, used = with_loans(bell(), [Lender("wheel", {"width_mm": 24}), spacer(), bolt()], registry)

        assert {"width_mm": catalogued(22_000, 100), "gap_mm": catalogued(8000, 100)} == found.patterns[0].figures
        assert (1, 2) == used

    @pytest.mark.parametrize("own", [Quantity(30_000, 0, "drawing"), Adjustable(20_000, 30_000, None, "teeth")])
    def test_keeps_the_figure_that_it_has(self, registry: Registry, own: Quantity | Adjustable) -> None:
        """... keeps what it has, a reading or a range, whatever a bolt would lend."""
        mount = bell(claiming("bell-22", figures={"width_mm": own}))
        found, used = with_loans(mount, [bolt(), spacer()], registry)

        assert {"width_mm": own, "gap_mm": catalogued(8000, 100)} == found.patterns[0].figures
        assert (1,) == used

    def test_gets_it_in_every_pattern_that_lacks_it(self, registry: Registry) -> None:
        """... gets it in each of its patterns, and one that lacks nothing stays the same object."""
        own: Figures = {"width_mm": Quantity(30_000, 0, "drawing"), "gap_mm": Quantity(9000, 0, "drawing")}
        patterns = claiming("bell-22", "a"), claiming("bell-22", "b", own), claiming("bell-22", "c")
        found, used = with_loans(bell(*patterns), [bolt()], registry)

        lent: Figures = {"width_mm": catalogued(22_000, 100)}
        assert [lent, own, lent] == [pattern.figures for pattern in found.patterns]
        assert patterns[1] is found.patterns[1]
        assert (0,) == used

    @pytest.mark.parametrize(
        "lenders",
        [
            [],
            [Lender("axle", {"under_head_length_mm": 22, "diameter_mm": 5})],
            [bolt(diameter_mm=4.499)],
            [bolt(diameter_mm=5.501)],
            [bolt(diameter_mm=None)],
            [Lender("bolt", {"under_head_length_mm": 22})],
            [bolt(length_mm=None)],
            [bolt(9.999)],
            [bolt(60.001)],
            [bolt(22), bolt(24)],
            [bolt(22), bolt(22), bolt(22.001)],
            [spacer(400.001)],
        ],
        ids=[
            *("no lender", "another kind", "too thin", "too thick", "thickness null", "thickness unknown"),
            *(
                "length unknown",
                "implausibly short",
                "implausibly long",
                "two that differ",
                "one of three that differs",
            ),
            "longer than any general tolerance",
        ],
    )
    def test_that_is_lent_nothing_is_the_same_object(self, registry: Registry, lenders: Sequence[Lender]) -> None:
        """... comes back as it is where nobody lends it anything, and where lenders differ."""
        mount = bell()
        found, used = with_loans(mount, lenders, registry)

        assert mount is found
        assert () == used

    @pytest.mark.parametrize("diameter_mm", [4.5, 5.5])
    def test_is_lent_by_what_lies_on_a_limit(self, registry: Registry, diameter_mm: float) -> None:
        """... takes a bolt whose diameter lies on either limit."""
        assert (0,) == with_loans(bell(), [bolt(diameter_mm=diameter_mm)], registry)[1]

    def test_is_lent_by_all_that_agree(self, registry: Registry) -> None:
        """... names every bolt of the one length; one that is no lender does not count against them."""
        found, used = with_loans(bell(), [bolt(), bolt(30, diameter_mm=8), bolt()], registry)

        assert catalogued(22_000, 100) == found.patterns[0].figures["width_mm"]
        assert (0, 2) == used

    def test_that_is_lent_one_figure_in_dispute_still_gets_the_others(self, registry: Registry) -> None:
        """... goes without the width where two bolts differ, and gets its gap."""
        found, used = with_loans(bell(), [bolt(22), bolt(24), spacer()], registry)

        assert ({"gap_mm": catalogued(8000, 100)}, (2,)) == (found.patterns[0].figures, used)

    def test_gets_only_what_is_measured_on_its_side(self, registry: Registry) -> None:
        """... of the bar has a width and no gap."""
        found, used = with_loans(bell(side="bar"), [bolt(), spacer()], registry)

        assert ({"width_mm"}, (0,)) == (found.patterns[0].figures.keys(), used)

    @pytest.mark.parametrize(("position", "side"), [("saddle", "bell"), ("handlebar", "lamp")])
    def test_of_which_nobody_installed_anything_gets_nothing(
        self, registry: Registry, position: str, side: str
    ) -> None:
        """... at another position, or of a side that no family has, gets nothing."""
        assert () == with_loans(bell(Pattern(), position=position, side=side), [bolt(), spacer()], registry)[1]

    @pytest.mark.parametrize(
        ("pattern", "lent"),
        [
            (claiming("bell-22"), {"width_mm": 22_000, "gap_mm": 8000}),
            (claiming("ring-31"), {"width_mm": 12_000}),
            (Pattern(), {"gap_mm": 8000}),
            (claiming("lamp-7"), {"gap_mm": 8000}),
        ],
        ids=["bells", "rings", "no claim", "not installed"],
    )
    def test_is_lent_by_the_family_that_it_claims(
        self, registry: Registry, pattern: Pattern, lent: dict[str, int]
    ) -> None:
        """... goes by the family of its claim; without one by all of its place, and where these differ by none."""
        lenders = [bolt(), spacer(), Lender("bearing", {"width_mm": 12})]
        (found,) = with_loans(bell(pattern), lenders, registry)[0].patterns

        assert lent == {name: figure.value for name, figure in found.figures.items() if isinstance(figure, Quantity)}

    def test_that_claims_to_be_without_a_dimension_is_not_lent_it(self, standards_text: Writing) -> None:
        """... whose standard has no such dimension is not given one, which would speak against its claim."""
        text = bells(standards_text()).replace('without = ["tilt_deg"]', 'without = ["gap_mm"]')
        found, used = with_loans(bell(), [spacer()], assembled([read_standards(text, "bells.toml")]))

        assert ({}, ()) == (found.patterns[0].figures, used)


FIGURES = st.sampled_from([8, 22, 22.5, 24])
LENDERS = st.lists(st.builds(bolt, FIGURES, st.sampled_from([4, 5, 5.5])) | st.builds(spacer, FIGURES), max_size=5)
PATTERNS = st.builds(
    Pattern,
    figures=st.dictionaries(
        st.sampled_from(["width_mm", "gap_mm", "tilt_deg"]), st.just(Quantity(31_000, 50, "caliper"))
    ),
)


class TestLaws:
    """Whatever is lent ..."""

    @given(lenders=LENDERS, patterns=st.lists(PATTERNS, min_size=1, max_size=3))
    def test_takes_nothing_away_and_is_lent_once(
        self, registry: Registry, lenders: list[Lender], patterns: list[Pattern]
    ) -> None:
        """... every figure stands that was there, a second time lends nothing, and somebody lent if anything was."""
        mount = bell(*patterns)
        found, used = with_loans(mount, lenders, registry)

        assert (found is mount) == (used == ())
        assert all(
            old.figures.items() <= new.figures.items() for old, new in zip(patterns, found.patterns, strict=True)
        )
        assert (found, ()) == with_loans(found, lenders, registry)

    @given(data=st.data(), lenders=LENDERS)
    def test_is_the_same_in_any_order(self, registry: Registry, data: Any, lenders: list[Lender]) -> None:
        """... the order of the lenders changes the mount in nothing, and who lent lends still."""
        order = data.draw(st.permutations(range(len(lenders))))
        found, used = with_loans(bell(), lenders, registry)
        other, others = with_loans(bell(), [lenders[place] for place in order], registry)

        assert found == other
        assert list(used) == sorted(order[place] for place in others)


class TestDoubt:
    """A figure out of a catalogue ..."""

    @pytest.mark.parametrize(
        ("length_mm", "half_width_um"),
        [
            *((1, 50), (3, 50), (3.001, 50), (6, 50), (6.001, 100), (30, 100)),
            *((30.001, 150), (120, 150), (120.001, 200), (400, 200)),
        ],
    )
    def test_is_good_for_class_f(self, registry: Registry, length_mm: float, half_width_um: int) -> None:
        """... is doubted by ISO 2768-1:1989, Table 1, class f, the upper end of each range inclusive."""
        (found,) = with_loans(bell(), [spacer(length_mm)], registry)[0].patterns

        assert catalogued(round(length_mm * 1000), half_width_um) == found.figures["gap_mm"]

    def test_is_good_for_what_is_published(self, registry: Registry) -> None:
        """... of 165 mm has the half-width that the reference table has for class f."""
        with TOLERANCES.open(encoding="utf-8", newline="") as file:
            (row,) = [row for row in csv.DictReader(file) if row["note"] == "class f"]
        (found,) = with_loans(bell(), [spacer(float(row["inputs"].removeprefix("nominal=")))], registry)[0].patterns

        assert catalogued(165_000, round(float(row["value"]) * 1000)) == found.figures["gap_mm"]

    def test_is_shifted_where_pieces_are_known_to_deviate(self, standards_text: Writing) -> None:
        """... lies where the pieces do that conform, as far as the file tells how they deviate."""
        loan = BOLT.replace(" } }", " }, conforming = [-0.3, 0.1] }")
        only = assembled([read_standards(bells(standards_text(), loan), "bells.toml")])
        (found,) = with_loans(bell(), [bolt()], only)[0].patterns

        assert catalogued(21_900, 200) == found.figures["width_mm"]


class TestLends:
    """A kind ..."""

    @pytest.mark.parametrize(
        ("kind", "expected"), [("bolt", True), ("spacer", True), ("bearing", True), ("frame", False), ("bolts", False)]
    )
    def test_lends_where_some_dimension_names_it(self, registry: Registry, kind: str, expected: bool) -> None:
        """... lends if and only if a dimension of an installed standard is lent by it."""
        assert expected is lends(kind, registry)

    def test_lends_nothing_where_nothing_is_installed(self, registry: Registry) -> None:
        """... that lends to one registry lends nothing to another without its standards."""
        assert (True, False) == (lends("bolt", registry), lends("bolt", assembled([])))


class TestALoan:
    """A loan ..."""

    def test_is_of_a_number_that_the_kind_has(self) -> None:
        """... stands where kind, figure and conditions are numbers of that kind."""
        loan = Loan("bolt", "under_head_length_mm", {"diameter_mm": Limits(5500, 6500)}, Estimate(0, 10))

        assert ("bolt", "under_head_length_mm") == (loan.kind, loan.spec)

    @pytest.mark.parametrize(
        ("kind", "spec", "condition"),
        [
            ("bolts", "under_head_length_mm", "diameter_mm"),
            ("bolt", "length_mm", "diameter_mm"),
            ("bolt", "thread", "diameter_mm"),
            ("bolt", "under_head_length_mm", "bore_mm"),
        ],
        ids=["no kind", "figure of another kind", "no number", "condition of another kind"],
    )
    def test_of_anything_else_is_refused(self, kind: str, spec: str, condition: str) -> None:
        """... of what is no number of the kind is refused."""
        with pytest.raises(InvalidSpecError):
            Loan(kind, spec, {condition: Limits(5500, 6500)})
