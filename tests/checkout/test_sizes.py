"""What is made for some sizes is made for this skate and this foot, or it is not, or that has to be asked."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.shoe_sizes import eu_sizes_of_foot
from mountwright.checkout.article import ANY_SIZE, Article, SizeRun
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.sizes import Wearer, size_findings
from mountwright.fitting.answers import Outcome, StepKind
from mountwright.mounts.mount import Part

SIZES = st.integers(30, 100).map(lambda half: half / 2)
FEET = st.tuples(st.integers(180_000, 320_000), st.integers(180_000, 320_000))
RUNS = st.tuples(SIZES, SIZES).map(lambda ends: SizeRun(min(ends), max(ends)))


def made_for(kind: str, low: float | None, high: float | None) -> Article:
    """Give an article that is made for a run of sizes."""
    return Article(kind, Part(kind, ()), sizes=SizeRun(low, high))


def found(
    article: Article,
    eu_size: float | None = None,
    feet_mm: tuple[float, float] | None = None,
    run: SizeRun = ANY_SIZE,
) -> Finding:
    """Give the one thing that is found."""
    feet = None if feet_mm is None else (feet_mm[0] * 1000, feet_mm[1] * 1000)
    [finding] = size_findings(article, Wearer(eu_size, feet, run))
    return finding


def test_what_has_no_sizes_is_not_judged_by_them() -> None:
    """A lace goes into any boot."""
    assert () == size_findings(made_for("lace", None, None), Wearer(42, None, ANY_SIZE))


@pytest.mark.parametrize(
    ("eu_size", "code"),
    [(40, "does_not_fit"), (41, "fits"), (44, "fits"), (47, "fits"), (48, "does_not_fit")],
)
def test_a_cuff_goes_by_the_size_of_the_skate_with_both_ends_of_its_run(eu_size: float, code: str) -> None:
    """41 to 47, both of them included; a whole size out is out."""
    assert f"cart.size_{code}" == found(made_for("cuff", 41, 47), eu_size).code


@pytest.mark.parametrize(("kind", "eu_size"), [("cuff", 40.5), ("cuff", 47.5), ("insole", 47.25), ("liner", 40.1)])
def test_less_than_a_whole_size_out_is_asked_about(kind: str, eu_size: float) -> None:
    """Half sizes are marked otherwise by every maker, and an insole is trimmed (common practice)."""
    finding = found(made_for(kind, 41, 47), eu_size)

    assert ("cart.size_between", Decision.CONFIRM) == (finding.code, finding.decision)
    assert finding.step is not None


def test_a_stop_names_the_size_its_run_and_by_how_much_it_is_out() -> None:
    """Thousandths of a size, as every figure of a check."""
    finding = found(made_for("liner", 38, 40), 42.5)

    assert finding.check is not None
    assert (Decision.STOP, "size_in_run", Outcome.FAIL) == (
        finding.decision,
        finding.check.code,
        finding.check.outcome,
    )
    assert (42_500, 40_000, -2_500, 0.0) == (
        finding.check.value,
        finding.check.limits.high,
        finding.check.margin,
        finding.check.probability,
    )
    assert ("liner", "eu_size", "38-40") == (finding.check.position, finding.check.unit, finding.params["run"])


@pytest.mark.parametrize(
    ("low", "high", "code", "shown"),
    [(None, 40, "does_not_fit", "≤40"), (39, None, "fits", "≥39"), (42, 42, "fits", "42")],
)
def test_a_run_may_be_open_or_a_single_size(low: float | None, high: float | None, code: str, shown: str) -> None:
    """Up to 40, from 39 on, 42 alone."""
    finding = found(made_for("cuff", low, high), 42)

    assert (f"cart.size_{code}", shown) == (finding.code, finding.params["run"])


def test_a_cuff_for_every_size_of_the_skate_fits_without_a_question() -> None:
    """Whichever size it is, it is among them."""
    assert "cart.size_fits" == found(made_for("cuff", 36, 47), run=SizeRun(38, 46)).code


def test_a_cuff_for_no_size_of_the_skate_does_not_fit_whichever_it_is() -> None:
    """A child's skate and a liner of 42."""
    assert Decision.STOP is found(made_for("liner", 42, 42), run=SizeRun(32, 37)).decision


@pytest.mark.parametrize(
    "run", [SizeRun(36, 46), SizeRun(42, 46), SizeRun(36, 38), SizeRun(38, None), SizeRun(None, 46), ANY_SIZE]
)
def test_a_part_for_some_sizes_of_the_skate_asks_which_it_is(run: SizeRun) -> None:
    """Nothing is known that tells."""
    finding = found(made_for("cuff", 38, 42), run=run)

    assert ("cart.size_unknown", Decision.CONFIRM, True) == (finding.code, finding.decision, finding.unknown)
    assert finding.step is not None
    assert StepKind.DESCRIBE is finding.step.kind


# ISO/TS 19407:2015 has the Paris point of 2/3 cm. 27 cm and "1.5 L + 2" give 42.5, as theprimecalculator.com prints;
# the other end is the same formula with an allowance of 2.0 cm.
def test_a_foot_of_270_mm_takes_42_5_to_43_5() -> None:
    """The allowance of the last decides half a size and more."""
    assert (42_500, 43_500) == pytest.approx(eu_sizes_of_foot(270_000), abs=6)


@pytest.mark.parametrize(
    ("low", "high", "code"),
    [(42, 44, "fits"), (43, 46, "between"), (40, 43, "between"), (44, 46, "does_not_fit"), (36, 42, "does_not_fit")],
)
def test_the_longer_foot_decides_where_the_skates_size_is_not_known(low: float, high: float, code: str) -> None:
    """262 and 270 mm: all of 42.5 to 43.5 lies within the run, or some of it, or none."""
    assert f"cart.size_{code}" == found(made_for("liner", low, high), feet_mm=(262, 270)).code


def test_half_of_a_foots_sizes_within_a_run_is_as_likely_as_not() -> None:
    """43 upwards is half of 42.5 to 43.5."""
    check = found(made_for("liner", 43, 46), feet_mm=(270, 270)).check

    assert check is not None
    assert (Outcome.UNDECIDED, pytest.approx(0.5, abs=0.01)) == (check.outcome, check.probability)


def test_feet_say_nothing_of_a_part_whose_skate_has_a_known_size() -> None:
    """A liner goes into the shell, whoever's foot goes into it."""
    assert "cart.size_fits" == found(made_for("liner", 40, 40), 40, (290, 290)).code


def test_only_the_feet_decide_about_a_whole_skate() -> None:
    """The size of the old one was perhaps what was wrong with it."""
    assert "cart.size_does_not_fit" == found(made_for("skate", 40, 40), 40, (290, 290)).code


def test_a_whole_skate_goes_by_its_size_where_the_feet_are_not_known() -> None:
    """What else is there."""
    assert "cart.size_fits" == found(made_for("skate", 40, 42), 41).code


def test_a_whole_skate_is_not_held_against_its_own_run() -> None:
    """That it is made in its own sizes says nothing."""
    assert "cart.size_unknown" == found(made_for("skate", 36, 46), run=SizeRun(36, 46)).code


@pytest.mark.parametrize(
    ("eu_size", "feet_mm", "code"),
    [
        (42, (265, 265), "fits"),
        (42, (240, 240), "between"),
        (45, (262, 262), "between"),
        (45, (240, 240), "does_not_fit"),
        (42, (270, 270), "fits"),
    ],
)
def test_size_and_feet_have_to_agree_about_an_insole(eu_size: float, feet_mm: tuple[float, float], code: str) -> None:
    """Made for 41 to 43: where one says yes and the other no, the old insole is asked for."""
    assert f"cart.size_{code}" == found(made_for("insole", 41, 43), eu_size, feet_mm).code


def test_a_run_that_ends_before_it_begins_tells_nothing() -> None:
    """A slip of the pen costs a question."""
    assert "cart.size_unknown" == found(made_for("cuff", 44, 38), 40).code


@given(RUNS, RUNS, st.none() | SIZES, st.none() | FEET, st.sampled_from(["skate", "liner", "insole"]), RUNS)
def test_a_run_that_contains_another_never_does_worse(
    inner: SizeRun, other: SizeRun, eu_size: float | None, feet: Any, kind: str, skate_run: SizeRun
) -> None:
    """More sizes are never made for fewer."""
    assert inner.low is not None
    assert inner.high is not None
    outer = SizeRun(min(inner.low, other.low or 0), max(inner.high, other.high or 0))
    wearer = Wearer(eu_size, feet, skate_run)
    [small], [large] = (size_findings(made_for(kind, *run), wearer) for run in (inner, outer))

    assert large.decision.rank <= small.decision.rank


@given(RUNS, st.none() | SIZES, FEET, st.sampled_from(["skate", "cuff", "insole"]))
def test_left_and_right_may_be_told_in_any_order(
    run: SizeRun, eu_size: float | None, feet: tuple[int, int], kind: str
) -> None:
    """The longer decides."""
    answers = [
        size_findings(made_for(kind, *run), Wearer(eu_size, (one, other), ANY_SIZE))
        for one, other in (feet, feet[::-1])
    ]

    assert answers[0] == answers[1]


@given(RUNS, st.none() | SIZES, st.none() | FEET, RUNS)
def test_a_stop_has_a_check_that_failed_and_a_question_a_step(
    run: SizeRun, eu_size: float | None, feet: Any, skate_run: SizeRun
) -> None:
    """Nothing is refused without a reason, and nothing asked without a way to answer."""
    [finding] = size_findings(made_for("insole", *run), Wearer(eu_size, feet, skate_run))
    failed = finding.check is not None and finding.check.outcome is Outcome.FAIL

    assert finding.decision is not Decision.STOP or failed
    assert (finding.decision is Decision.CONFIRM) == (finding.step is not None)
