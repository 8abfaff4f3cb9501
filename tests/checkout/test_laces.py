"""A lace is for a skate that is closed with laces, and as long as the one that it takes the place of."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.checkout.article import Article
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.laces import lace_findings
from mountwright.fitting.answers import Outcome
from mountwright.mounts.mount import Part


def article(kind: str, **specs: Any) -> Article:
    """Give an article with figures."""
    return Article(kind, Part(kind, ()), specs=specs)


def found(length_mm: float, *old_mm: float, **skate: Any) -> Finding:
    """Give what is found of a lace where others stand on a skate."""
    fitted = [article("lace", length_mm=old) for old in old_mm]
    [finding] = lace_findings(article("lace", length_mm=length_mm), article("skate", **skate), fitted)
    return finding


def test_a_skate_that_closes_otherwise_takes_no_lace() -> None:
    """A dial and a strap, and a check that says so."""
    finding = found(2200, fastening=["dial", "cuff_strap"])

    assert (Decision.STOP, "cart.no_laces", "dial, cuff strap") == (
        finding.decision,
        finding.code,
        finding.params["skate_has"],
    )
    assert finding.check is not None
    assert ("has_laces", "", Outcome.FAIL) == (finding.check.code, finding.check.unit, finding.check.outcome)


def test_a_skate_whose_closing_nobody_told_may_have_laces() -> None:
    """Silence is no dial."""
    assert "cart.lace_fits" == found(2200, 2200).code


# Within 5 % of the old lace's length, an estimate between 3 and 10 %.
@pytest.mark.parametrize(
    ("length_mm", "code"),
    [
        (2090, "lace_fits"),
        (2200, "lace_fits"),
        (2310, "lace_fits"),
        (2089, "lace_other_length"),
        (2400, "lace_other_length"),
    ],
)
def test_a_lace_is_about_as_long_as_the_old_one(length_mm: float, code: str) -> None:
    """A twentieth more or less does not matter; both ends included."""
    finding = found(length_mm, 2200, fastening=["laces"])

    assert f"cart.{code}" == finding.code
    assert finding.decision is (Decision.CLEAR if code == "lace_fits" else Decision.CONFIRM)


def test_of_two_old_laces_the_nearer_one_counts() -> None:
    """Some skates have a short and a long one."""
    assert "cart.lace_fits" == found(1500, 2400, 1500).code


def test_without_an_old_lace_its_length_is_asked_for() -> None:
    """Nobody knows what the skate takes."""
    finding = found(2200, fastening=["laces"])

    assert ("cart.lace_length_unknown", Decision.CONFIRM, True) == (finding.code, finding.decision, finding.unknown)
    assert finding.step is not None


def test_a_lace_without_a_length_is_asked_about() -> None:
    """The old one alone does not tell."""
    [finding] = lace_findings(article("lace"), article("skate"), [article("lace", length_mm=2200)])

    assert finding.check is not None
    assert ("cart.lace_length_unknown", ("lace.length_mm",)) == (finding.code, finding.check.missing)


@given(st.integers(200, 5000), st.integers(200, 5000), st.integers(200, 5000))
def test_a_lace_nearer_to_the_old_length_never_does_worse(one: int, other: int, old: int) -> None:
    """Whichever way it differs."""
    near, far = sorted((one, other), key=lambda length: abs(length - old))

    assert found(near, old).decision.rank <= found(far, old).decision.rank
