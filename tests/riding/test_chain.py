"""The chain from foot to ground."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly
from mountwright.riding.chain import (
    GRADES,
    LINKS,
    STIFFER_IS_NOT_ALWAYS_BETTER,
    Chain,
    How,
    Layer,
    Link,
    Part,
    bench_tested,
    chained,
    changed,
    graded,
    wheels,
)
from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.note import Note

_NAMES = ("insole", "liner", "shell", "frame", "wheels", "wedge")
_STIFFNESS = st.floats(20, 20_000)


@st.composite
def _bands(draw: st.DrawFn) -> Band:
    middle, below, above = draw(_STIFFNESS), draw(st.floats(1, 5)), draw(st.floats(1, 5))
    return Band(middle / below, middle, middle * above)


def _named(band: Band, name: str) -> Layer:
    return Layer(name, band, How.GIVEN)


_CHAINS = st.lists(_bands(), min_size=1, max_size=6).map(
    lambda bands: [_named(band, name) for band, name in zip(bands, _NAMES, strict=False)]
)

#: An example, N/mm; nobody measured it.
_KNOWN = [
    _named(exactly(300.0), "insole"),
    _named(exactly(150.0), "liner"),
    _named(exactly(800.0), "shell"),
    _named(exactly(2000.0), "frame"),
]


class TestLayer:
    """A link ..."""

    def test_on_the_bench_is_as_stiff_as_load_over_give(self) -> None:
        """... that gives 2 mm under 300 N is as stiff as that, its bounds by both doubts at worst."""
        found = bench_tested("liner", around(300.0, 30.0), around(2.0, 0.5))
        assert Layer("liner", Band(270 / 2.5, 150.0, 330 / 1.5), How.BENCH_TEST) == found

    @pytest.mark.parametrize("give", [around(0.3, 0.3), around(0.0, 0.1)])
    def test_that_gives_less_than_can_be_read_is_refused(self, give: Band) -> None:
        """... whose give may be nothing is as stiff as anything, and refused."""
        with pytest.raises(InvalidQuantityError, match="larger than their doubts"):
            bench_tested("shell", around(300.0, 5.0), give)

    @pytest.mark.parametrize("part", Part)
    def test_felt_stiffer_is_stiffer(self, part: Part) -> None:
        """... is stiffer with each grade of the thumb, in its likely value and in both bounds."""
        stiffness = [graded(part, grade).stiffness_n_mm for grade in GRADES]
        for figures in zip(*[(band.low, band.likely, band.high) for band in stiffness], strict=True):
            assert sorted(set(figures)) == list(figures)

    @pytest.mark.parametrize("part", Part)
    def test_felt_at_either_end_is_less_certain_than_in_the_middle(self, part: Part) -> None:
        """... is known least well at the end of the thumb's scale, as each step may be larger or smaller."""
        width = [band.high / band.low for band in (graded(part, grade).stiffness_n_mm for grade in GRADES)]
        assert width[0] > width[1] > width[2] < width[3] < width[4]

    @pytest.mark.parametrize("grade", [0, 6, -1])
    def test_felt_off_the_scale_is_refused(self, grade: int) -> None:
        """... with a grade that the thumb does not have is refused."""
        with pytest.raises(InvalidQuantityError, match="grade from 1 to 5"):
            graded(Part.LINER, grade)

    def test_of_wheels_gives_as_their_contact_does(self) -> None:
        """... of four wheels gives as far as each of them under a quarter of the load."""
        contact = float(stiffness_n_mm15(40.0, 12.0, 9.0))
        give_mm = (900 / 4 / contact) ** (2 / 3)
        found = wheels(exactly(contact), 900.0, 4)
        assert pytest.approx(900 / give_mm) == found.stiffness_n_mm.likely
        assert ("wheels", How.CONTACT) == (found.name, found.how)

    def test_of_wheels_keeps_the_doubt_of_their_contact(self) -> None:
        """... of wheels has the bounds that the contact's bounds have."""
        found = wheels(Band(30.0, 60.0, 120.0), 900.0, 4).stiffness_n_mm
        assert pytest.approx([2 ** (2 / 3)] * 2) == [found.likely / found.low, found.high / found.likely]

    @pytest.mark.parametrize(
        ("stiffness", "load_n", "count"),
        [(exactly(0.0), 900.0, 4), (exactly(60.0), 0.0, 4), (exactly(60.0), math.nan, 4), (exactly(60.0), 900.0, 0)],
    )
    def test_of_wheels_that_carry_nothing_is_refused(self, stiffness: Band, load_n: float, count: int) -> None:
        """... of no wheels, or of wheels without a load, is refused."""
        with pytest.raises(InvalidQuantityError, match="a wheel at least"):
            wheels(stiffness, load_n, count)

    @pytest.mark.parametrize("stiffness", [exactly(0.0), Band(-1.0, 5.0, 9.0), exactly(1e8)])
    def test_that_no_skate_has_is_refused(self, stiffness: Band) -> None:
        """... that gives way to nothing, or holds as a rock does, is refused."""
        with pytest.raises(InvalidQuantityError, match="N/mm"):
            Layer("liner", stiffness, How.GIVEN)

    def test_without_a_name_is_refused(self) -> None:
        """... that nobody can name is refused."""
        with pytest.raises(InvalidQuantityError, match="name"):
            Layer("", exactly(100.0), How.GIVEN)


class TestChained:
    """A chain ..."""

    @given(_CHAINS)
    def test_shares_its_give_among_all_links(self, layers: list[Layer]) -> None:
        """... has shares that add up to 1, each within its bounds, the largest first."""
        shares = [link.share for link in chained(layers).links]
        assert pytest.approx(1.0) == sum(share.likely for share in shares)
        assert sorted((share.likely for share in shares), reverse=True) == [share.likely for share in shares]

    @given(_CHAINS, st.randoms(use_true_random=False))
    def test_does_not_depend_on_the_order_of_its_links(self, layers: list[Layer], chance: object) -> None:
        """... is the same whichever link is named first."""
        shuffled = list(layers)
        chance.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis' own Random
        one, other = chained(layers), chained(shuffled)
        assert [link.name for link in one.links] == [link.name for link in other.links]
        assert pytest.approx(one.holds_how_often) == other.holds_how_often
        for link, same in zip(one.links, other.links, strict=True):
            assert pytest.approx([link.share.low, link.share.likely, link.share.high]) == [
                same.share.low,
                same.share.likely,
                same.share.high,
            ]
            assert link.softest_how_often == same.softest_how_often

    @given(_bands())
    def test_of_one_link_has_nothing_to_share(self, band: Band) -> None:
        """... of one link has it give everything, always."""
        (link,) = chained([_named(band, "liner")]).links
        assert Link("liner", exactly(1.0), 1.0, How.GIVEN) == link

    @given(_CHAINS)
    def test_says_how_often_its_order_holds(self, layers: list[Layer]) -> None:
        """... holds its order no more often than its softest link is softest, and one link is softest each time."""
        chain = chained(layers)
        assert 0 <= chain.holds_how_often <= chain.softest.softest_how_often <= 1
        assert sum(link.softest_how_often for link in chain.links) >= 1 - 1e-9

    @given(st.lists(st.floats(1, 2.9), min_size=2, max_size=5))
    def test_is_certain_where_no_doubts_meet(self, widths: list[float]) -> None:
        """... whose links lie further apart than their doubts has one order, and says so."""
        layers = [
            _named(Band(100 * 9**i / width, 100 * 9**i, 100 * 9**i * width), name)
            for i, (width, name) in enumerate(zip(widths, _NAMES, strict=False))
        ]
        chain = chained(layers)
        assert [layer.name for layer in layers] == [link.name for link in chain.links]
        assert 1.0 == chain.holds_how_often
        assert [1.0] + [0.0] * (len(layers) - 1) == [link.softest_how_often for link in chain.links]

    def test_with_two_links_alike_is_a_toss_up(self) -> None:
        """... of two links that may each be the softer one has either first about half of the time."""
        chain = chained([_named(Band(100.0, 200.0, 400.0), name) for name in ("liner", "insole")])
        assert pytest.approx(0.5, abs=0.05) == chain.holds_how_often

    def test_has_the_bounds_that_its_doubts_make(self) -> None:
        """... of two links has the 5 % and 95 % of a share that 200,000 draws by another generator have."""
        doubtful, known = Band(100.0, 200.0, 400.0), exactly(300.0)
        chance = np.random.default_rng(7)
        drawn = 1 / np.exp(chance.uniform(math.log(100), math.log(400), 200_000))
        low, high = np.quantile(drawn / (drawn + 1 / 300), [0.05, 0.95])
        found = chained([_named(doubtful, "liner"), _named(known, "insole")]).links[0].share
        assert pytest.approx([low, (1 / 200) / (1 / 200 + 1 / 300), high], abs=2e-3) == [
            found.low,
            found.likely,
            found.high,
        ]

    @given(_CHAINS)
    def test_always_says_that_stiffer_is_not_always_better(self, layers: list[Layer]) -> None:
        """... never comes without the caution, and never with a power."""
        notes = chained(layers).notes
        assert STIFFER_IS_NOT_ALWAYS_BETTER == notes[-1]
        assert not any(name.endswith("_w") for note in notes for name in note.params)

    def test_says_which_links_are_left_out(self) -> None:
        """... names the links that nobody gave, from the foot on."""
        assert Note("chain.left_out", {"links": "insole, wheels"}) == chained(_KNOWN[1:]).notes[0]

    def test_says_which_links_are_guessed(self) -> None:
        """... names the links that were only felt."""
        layers = [graded(Part.LINER, 2), graded(Part.SHELL, 4), _named(exactly(300.0), "insole")]
        assert Note("chain.guessed", {"links": "liner, shell"}) in chained(layers).notes

    def test_that_is_whole_and_known_only_cautions(self) -> None:
        """... of which every link was given says nothing but the caution."""
        layers = [_named(exactly(100.0 + i), name) for i, name in enumerate(LINKS)]
        assert (STIFFER_IS_NOT_ALWAYS_BETTER,) == chained(layers).notes

    @pytest.mark.parametrize("layers", [[], [_KNOWN[0], _KNOWN[0]]])
    def test_without_links_or_with_one_twice_is_refused(self, layers: list[Layer]) -> None:
        """... without a link, or with two of one name, is refused."""
        with pytest.raises(InvalidQuantityError, match="no two of one name"):
            chained(layers)

    def test_that_contradicts_itself_is_refused(self) -> None:
        """... whose links are not those of its layers, or whose shares are no shares, is refused."""
        chain = chained(_KNOWN)
        with pytest.raises(InvalidQuantityError, match="link for each layer"):
            Chain(chain.layers, chain.links[1:], 1.0, chain.notes)
        with pytest.raises(InvalidQuantityError, match="within 0 and 1"):
            Chain(chain.layers, chain.links, 1.1, chain.notes)
        with pytest.raises(InvalidQuantityError, match="within 0 and 1"):
            Link("liner", exactly(1.1), 1.0, How.GIVEN)

    def test_is_no_stiffer_than_its_softest_link(self) -> None:
        """... is as stiff as links in series are: softer than the softest of them."""
        twins = [_named(exactly(100.0), name) for name in ("insole", "liner")]
        assert 50.0 == chained(twins).stiffness_n_mm
        assert chained(_KNOWN).stiffness_n_mm < 150.0


class TestChanged:
    """A chain with another part ..."""

    @given(_CHAINS.filter(lambda layers: len(layers) > 1))
    def test_gives_less_in_its_softest_link_once_that_is_stiffer(self, layers: list[Layer]) -> None:
        """... has a smaller share in what was softest once that is twice as stiff, and larger ones elsewhere."""
        soft = next(each for each in layers if each.name == chained(layers).softest.name)
        band = soft.stiffness_n_mm
        stiffer = Layer(soft.name, Band(2 * band.low, 2 * band.likely, 2 * band.high), soft.how)
        for name, move in changed(layers, soft.name, stiffer).moves:
            assert (move.likely < 0) is (name == soft.name)

    @given(_CHAINS)
    def test_does_not_move_when_the_part_is_the_same(self, layers: list[Layer]) -> None:
        """... of the same stiffness is the same chain: what nobody knows of it cancels."""
        change = changed(layers, layers[0].name, layers[0])
        assert change.before == change.after
        assert {exactly(0.0)} == {move for _, move in change.moves}

    @given(_CHAINS, _bands())
    def test_moves_shares_to_and_fro_only(self, layers: list[Layer], band: Band) -> None:
        """... gains in some links what it loses in others."""
        change = changed(layers, layers[0].name, _named(band, layers[0].name))
        assert pytest.approx(0.0, abs=1e-12) == sum(move.likely for _, move in change.moves)
        assert [link.name for link in change.after.links] == [name for name, _ in change.moves]

    def test_may_call_the_part_another_name(self) -> None:
        """... holds a part of another name against the one whose place it takes."""
        change = changed(_KNOWN, "liner", _named(exactly(300.0), "liner of felt"))
        shares = [chained(_KNOWN).softest.share.likely, 1 / 300 / (2 / 300 + 1 / 800 + 1 / 2000)]
        assert pytest.approx(shares[1] - shares[0]) == dict(change.moves)["liner of felt"].likely

    def test_is_not_certain_of_a_part_that_is_as_little_known(self) -> None:
        """... may give more or less with a new part of the same kind that is as little known as the old one."""
        old = _named(Band(60.0, 150.0, 400.0), "liner")
        new = _named(Band(60.0, 151.0, 400.0), "liner")
        move = dict(changed([*_KNOWN[:1], old], "liner", new).moves)["liner"]
        assert move.low < -0.2 < 0.2 < move.high

    def test_moves_as_far_as_the_new_part_may_take_it(self) -> None:
        """... of known parts moves between what the new part's bounds make of it."""
        change = changed(_KNOWN, "liner", _named(Band(200.0, 300.0, 450.0), "liner"))
        before = change.before.softest.share.likely
        after = next(link.share for link in change.after.links if link.name == "liner")
        move = dict(change.moves)["liner"]
        assert pytest.approx([after.low - before, after.likely - before, after.high - before]) == [
            move.low,
            move.likely,
            move.high,
        ]
        assert move.low < move.likely < move.high < 0

    def test_has_no_part_that_was_not_there(self) -> None:
        """... can only change a part that it has."""
        with pytest.raises(InvalidQuantityError, match="one of"):
            changed(_KNOWN, "wheels", _KNOWN[0])
        with pytest.raises(InvalidQuantityError, match="no two of one name"):
            changed(_KNOWN, "liner", _KNOWN[0])


class TestNote:
    """A note ..."""

    @pytest.mark.parametrize("code", ["", "ride", "ride.", ".name"])
    def test_without_a_group_or_a_name_is_refused(self, code: str) -> None:
        """... whose code names no group or no message is refused."""
        with pytest.raises(InvalidQuantityError, match="message code"):
            Note(code)
