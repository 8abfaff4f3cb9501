"""Whether a rocker is there at all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.line import Axle, Diameter, Line, Tyre
from mountwright.riding.rocker_doubt import Pressing, drawn_diameters_mm, rocker_doubt

SHARED, OWN_SD_MM = Band(-1, 0, 0.3), 0.1

#: 80 kg on tyres of middling stiffness, midway.
PRESSING = Pressing(0, 784.532, np.full(4, 60.0))


def marked(mm: float) -> Diameter:
    """Give the size of a new wheel as its mark says."""
    return Diameter(mm, SHARED, OWN_SD_MM, False)


def measured(mm: float, own_sd_mm: float = 0.05) -> Diameter:
    """Give the size of a wheel that was measured."""
    return Diameter(mm, exactly(0), own_sd_mm, True)


def line_of(sizes: Sequence[Diameter], lots: Sequence[int], inner_down_mm: float = 56) -> Line:
    """Give a line 81 mm apart whose inner axles stand so far down, the outer ones 56 mm."""
    tyres = tuple(Tyre(size, exactly(85), exactly(12), exactly(0.6)) for size in sizes)
    half, last = 40.5 * (len(tyres) - 1), len(tyres) - 1
    axles = tuple(Axle(half - 81 * i, 56 if i in (0, last) else inner_down_mm) for i in range(len(tyres)))
    return Line(axles, tyres, tuple(lots))


TWO_LOTS = line_of([marked(79), marked(80), marked(80), marked(79)], [0, 1, 1, 0])
ONE_LOT = line_of([marked(80)] * 4, [0] * 4, 56.5)
MEASURED = line_of([measured(79), measured(80), measured(80), measured(79)], [0, 1, 1, 0])


class TestRockerDoubt:
    """A rocker of 0.5 mm ..."""

    def test_of_marked_wheels_of_two_lots_is_not_certain(self) -> None:
        """... of wheels of two lots, as marked, may not be there: one lot may be more wrong than the other."""
        found = rocker_doubt(TWO_LOTS, None)

        assert 0.9 < found.probability < 0.998
        assert found.rocker_mm.high - found.rocker_mm.low > 0.5

    def test_of_eccentric_axles_under_one_lot_is_nearly_certain(self) -> None:
        """... that axles make under wheels of one lot is there: what their mark is wrong by goes for all of them."""
        found = rocker_doubt(ONE_LOT, None)

        assert found.probability > 0.998
        assert found.rocker_mm.high - found.rocker_mm.low < 0.35
        assert pytest.approx(0.5, abs=0.05) == found.rocker_mm.likely

    def test_of_measured_wheels_has_the_doubt_of_the_readings_alone(self) -> None:
        """... of measured wheels has the doubt of their readings alone, whatever lot they are of."""
        found = rocker_doubt(MEASURED, None)

        assert found.probability > 0.998
        assert found.rocker_mm.high - found.rocker_mm.low < 0.2

    @pytest.mark.parametrize(("inner", "probability"), [(80, 1.0), (79, 0.0), (78, 0.0)])
    def test_of_exact_wheels_is_there_or_not(self, inner: float, probability: float) -> None:
        """... of wheels that are exactly known is there or not, with no band."""
        sizes = [measured(79, 0), measured(inner, 0), measured(inner, 0), measured(79, 0)]
        found = rocker_doubt(line_of(sizes, [0] * 4), None)

        assert (probability, True) == (found.probability, found.rocker_mm.is_exact)
        assert pytest.approx((inner - 79) / 2) == found.rocker_mm.likely

    @pytest.mark.parametrize("wheels", [1, 2])
    def test_of_fewer_than_three_wheels_is_none(self, wheels: int) -> None:
        """... cannot be with fewer than three wheels, however doubtful they are."""
        found = rocker_doubt(line_of([marked(80)] * wheels, range(wheels)), None)

        assert (0.0, exactly(0.0), None) == (found.probability, found.rocker_mm, found.stand)

    def test_is_as_likely_at_every_call(self) -> None:
        """... is as likely at every call."""
        assert rocker_doubt(TWO_LOTS, PRESSING) == rocker_doubt(TWO_LOTS, PRESSING)

    def test_is_less_likely_the_less_the_sizes_differ(self) -> None:
        """... is likelier than one of 0.25 mm, and that than none at all."""
        sizes = [[marked(outer), marked(80), marked(80), marked(outer)] for outer in (79, 79.5, 80)]
        found = [rocker_doubt(line_of(each, [0, 1, 1, 0]), None).probability for each in sizes]

        assert sorted(found, reverse=True) == found
        assert len(set(found)) == 3


class TestDraws:
    """The diameters that are drawn ..."""

    def test_share_what_a_lot_is_wrong_by(self) -> None:
        """... of one lot move together, and those of two lots do not."""
        first, second, third, last = drawn_diameters_mm(TWO_LOTS).T

        assert np.corrcoef(first, last)[0, 1] > 0.7
        assert abs(np.corrcoef(first, second)[0, 1]) < 0.15
        assert np.corrcoef(second, third)[0, 1] > 0.7

    def test_differ_by_what_each_wheel_differs_by(self) -> None:
        """... differ within a lot by each wheel's own scatter: the root of 2 of it between two."""
        first, _, _, last = drawn_diameters_mm(TWO_LOTS).T

        assert pytest.approx(np.sqrt(2) * OWN_SD_MM, rel=0.1) == np.std(first - last)

    def test_keep_within_what_a_mark_is_wrong_by(self) -> None:
        """... of wheels that are all alike stay within what the mark may be wrong by."""
        sizes = [Diameter(80, SHARED, 0, False)] * 3
        found = drawn_diameters_mm(line_of(sizes, [0] * 3))

        assert (79, 80.3) == (pytest.approx(found.min(), abs=0.06), pytest.approx(found.max(), abs=0.06))
        assert (found == found[:, :1]).all()

    def test_are_above_nothing_however_wild(self) -> None:
        """... are above nothing with a scatter as large as the wheel."""
        assert drawn_diameters_mm(line_of([measured(80, 80)] * 3, [0] * 3)).min() > 0


class TestStandDoubt:
    """A skate under its load ..."""

    def test_on_a_rocker_may_hang_its_ends(self) -> None:
        """... on a 2 mm rocker hangs its outer wheels clear, and hard tyres give too little to change that."""
        sizes = [marked(76), marked(80), marked(80), marked(76)]
        stand = rocker_doubt(line_of(sizes, [0, 1, 1, 0]), PRESSING._replace(stiffness_n_mm15=np.full(4, 400.0))).stand

        assert stand is not None
        assert min(stand.clear[0], stand.clear[3], stand.lifted[0], stand.lifted[3]) > 0.99
        assert max(stand.clear[1], stand.clear[2], stand.lifted[1], stand.lifted[2]) < 0.01
        assert (exactly(81), exactly(81)) == (stand.effective_wheelbase_mm, stand.loaded_wheelbase_mm)

    def test_on_soft_tyres_stands_on_all_wheels(self) -> None:
        """... on a 0.5 mm rocker of soft tyres stands on all wheels, though a paper goes under the outer ones."""
        stand = rocker_doubt(ONE_LOT, PRESSING).stand

        assert stand is not None
        assert min(stand.clear[0], stand.clear[3]) > 0.9
        assert max(stand.lifted) < 0.01
        assert (exactly(81), exactly(243)) == (stand.effective_wheelbase_mm, stand.loaded_wheelbase_mm)

    def test_on_exact_wheels_has_nothing_in_doubt(self) -> None:
        """... on exactly known wheels has nothing in doubt."""
        sizes = [measured(76, 0), measured(80, 0), measured(80, 0), measured(76, 0)]
        stand = rocker_doubt(line_of(sizes, [0] * 4), PRESSING._replace(stiffness_n_mm15=np.full(4, 400.0))).stand

        assert stand is not None
        assert ((1, 0, 0, 1), (1, 0, 0, 1)) == (stand.clear, stand.lifted)
        assert exactly(81) == stand.effective_wheelbase_mm

    def test_on_a_flat_line_shows_no_paper(self) -> None:
        """... on a flat line of measured wheels hardly ever lets a paper under one."""
        stand = rocker_doubt(line_of([measured(80, 0.02)] * 4, [0] * 4), PRESSING).stand

        assert stand is not None
        assert max(stand.clear) < 0.01

    @pytest.mark.parametrize("along", [121.5, -121.5, 200])
    def test_that_tips_is_refused(self, along: float) -> None:
        """... that tips has no stand to be in doubt of."""
        with pytest.raises(InvalidQuantityError, match="between the outer axles"):
            rocker_doubt(ONE_LOT, PRESSING._replace(along_mm=along))
