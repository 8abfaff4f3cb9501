"""Moulding by heat: whether a part may be, in which order, and that no temperature but the maker's is ever named."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.heat_moulding import Moulding, heat_moulding
from mountwright.bench.jobs import bench_jobs
from mountwright.errors import InvalidQuantityError
from mountwright.messages import catalogue
from mountwright.mounts.kinds import kinds

#: A figure with the sign of a temperature behind it.
_TEMPERATURE = re.compile(r"\d\s*°|\d\s*(degrees|C)\b")

_MOULDED = ("skate", "liner", "insole")
_TEMPERATURES = st.none() | st.floats(40, 160)
_TIMES = st.none() | st.floats(0.5, 60)


def codes(found: Moulding) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


class TestAnswer:
    """A part ..."""

    def test_with_mark_and_figures_may_be_moulded_by_them(self) -> None:
        """... that is marked and whose maker gives figures may be moulded, at these figures alone."""
        found = heat_moulding("liner", True, 82.0, 8.5)

        assert (True, 82.0, 8.5) == (found.may, found.temperature_c, found.time_min)
        assert {"temperature_c": 82.0, "time_min": 8.5} == dict(found.notes[0].params)
        assert "moulding.may" == codes(found)[0]

    def test_is_moulded_in_the_order_that_burns_nobody(self) -> None:
        """... has its label read and its fittings taken out before the oven, and is felt inside before the foot."""
        said = codes(heat_moulding("skate", True, 80.0, 10.0))
        order = [said.index(f"moulding.{step}") for step in ("read_label", "strip", "heat", "feel_inside", "sock_on")]

        assert list(range(1, 6)) == order
        assert "moulding.let_cool" == said[6]

    @pytest.mark.parametrize(
        ("kind", "more", "may", "code"),
        [
            ("liner", (False,), False, "moulding.not_mouldable"),
            ("liner", (False, 80.0, 8.0), False, "moulding.not_mouldable"),
            ("liner", (None,), None, "moulding.mark_unknown"),
            ("liner", (None, 80.0, 8.0), None, "moulding.mark_unknown"),
            ("liner", (True,), None, "moulding.figures_unknown"),
            ("insole", (True, 80.0), None, "moulding.figures_unknown"),
            ("insole", (True, None, 8.0), None, "moulding.figures_unknown"),
            ("cuff", (True, 80.0, 8.0), False, "moulding.not_this_kind"),
            ("wheel", (None,), False, "moulding.not_this_kind"),
        ],
    )
    def test_without_mark_or_figures_is_left_cold(self, kind: str, more: Any, may: bool | None, code: str) -> None:
        """... without the mark, or without both of the maker's figures, is left cold, and the reason is said first."""
        found = heat_moulding(kind, *more)

        assert (may, None, None, code) == (found.may, found.temperature_c, found.time_min, codes(found)[0])
        assert "moulding.heat" not in codes(found)

    @given(st.sampled_from(sorted(kinds())), st.none() | st.booleans(), _TEMPERATURES, _TIMES)
    def test_gets_no_temperature_but_the_makers(
        self, kind: str, mouldable: bool | None, temperature_c: float | None, time_min: float | None
    ) -> None:
        """... is told the maker's figures or none, and moulded only where it is marked and both are known."""
        found = heat_moulding(kind, mouldable, temperature_c, time_min)
        may = kind in _MOULDED and mouldable is True and None not in (temperature_c, time_min)

        assert may == (found.may is True)
        assert (found.temperature_c, found.time_min) == ((temperature_c, time_min) if may else (None, None))
        assert may or not any(dict(note.params).keys() - {"kind"} for note in found.notes)

    @pytest.mark.parametrize("more", [(True, 80.0, 8.0), (True,), (None,)], ids=["may", "no figures", "no mark"])
    def test_that_may_ever_be_moulded_has_every_caution(self, more: Any) -> None:
        """... that is or may be moulded has every caution, and the maker's word last."""
        said = codes(heat_moulding("liner", *more))

        assert {"moulding.only_marked", "moulding.no_flame", "moulding.burns", "moulding.few_times"} <= set(said)
        assert ["caution.cannot_be_undone", "caution.makers_word"] == said[-2:]


class TestSentences:
    """What is said of moulding ..."""

    def test_names_no_temperature_of_its_own(self) -> None:
        """... names no temperature, neither in sentences nor in the job: nothing published gives one."""
        sentences = [text for code, text in catalogue({}).templates.items() if code.startswith("moulding.")]
        job = bench_jobs()["heat_mould_liner"]

        assert [] == [each for each in (*sentences, *job.steps, *job.cautions) if _TEMPERATURE.search(each)]


class TestBounds:
    """A figure ..."""

    @pytest.mark.parametrize("kind", _MOULDED)
    @pytest.mark.parametrize("figures", [(40.0, 0.5), (160.0, 60.0)])
    def test_on_its_bounds_is_taken(self, kind: str, figures: tuple[float, float]) -> None:
        """... on the bounds of the kind's spec is taken."""
        assert heat_moulding(kind, True, *figures).may

    @pytest.mark.parametrize("figures", [(39.9, 8.0), (161.0, 8.0), (float("nan"), 8.0), (80.0, 0.4), (80.0, 61.0)])
    def test_beyond_them_is_refused(self, figures: tuple[float, float]) -> None:
        """... beyond them is a slip of the pen, and refused."""
        with pytest.raises(InvalidQuantityError, match="to"):
            heat_moulding("liner", True, *figures)

    def test_of_an_unknown_kind_is_refused(self) -> None:
        """... of a kind that nobody knows is refused."""
        with pytest.raises(InvalidQuantityError, match="a kind of article"):
            heat_moulding("glove", True)

    @pytest.mark.parametrize("figures", [(None, 80.0, 8.0), (False, 80.0, None), (True, 80.0, None)])
    def test_stands_in_an_answer_only_beside_the_other(self, figures: tuple[bool | None, float, float | None]) -> None:
        """... stands in an answer only where the part may be moulded, and beside the other."""
        with pytest.raises(InvalidQuantityError, match="nowhere else"):
            Moulding(*figures, ())
