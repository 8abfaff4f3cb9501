"""An insole has room in the liner that will be in the skate, or it is too thick."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.checkout.article import Article
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.insoles import insole_findings
from mountwright.fitting.answers import Outcome
from mountwright.mounts.mount import Part


def article(kind: str, **specs: Any) -> Article:
    """Give an article with figures."""
    return Article(kind, Part(kind, ()), specs=specs)


def found(thickness_mm: float | None, room_mm: float | None, **liners: Any) -> Finding:
    """Give what is found of an insole in a skate with room."""
    thick = {} if thickness_mm is None else {"thickness_mm": thickness_mm}
    room = {} if room_mm is None else {"insole_room_mm": room_mm}
    [finding] = insole_findings(article("insole", **thick), article("skate", **room), **liners)
    return finding


# The soft margin of 0.5 mm is an estimate, 0 to 1.
@pytest.mark.parametrize(
    ("thickness_mm", "code", "outcome", "probability"),
    [
        (5, "fits_room", Outcome.PASS, 1.0),
        (6, "fits_room", Outcome.PASS, 1.0),
        (6.5, "fits_room", Outcome.PASS, 0.5),
        (6.6, "too_thick", Outcome.UNDECIDED, 0.4),
        (7, "too_thick", Outcome.FAIL, 0.0),
        (9, "too_thick", Outcome.FAIL, 0.0),
    ],
)
def test_an_insole_may_be_a_little_thicker_than_its_room(
    thickness_mm: float, code: str, outcome: Outcome, probability: float
) -> None:
    """Half a millimetre is pressed together; beyond, it is asked about and never refused."""
    finding = found(thickness_mm, 6)

    assert finding.check is not None
    assert (f"cart.insole_{code}", outcome, pytest.approx(probability)) == (
        finding.code,
        finding.check.outcome,
        finding.check.probability,
    )
    assert finding.decision is (Decision.CLEAR if code == "fits_room" else Decision.CONFIRM)


def test_a_new_liner_has_its_own_room() -> None:
    """The skate's figure is of the liner that goes."""
    liner = article("liner", insole_room_mm=3)
    finding = found(5, 6, new_liners=[liner], staying_liners=[article("liner", insole_room_mm=8)])

    assert ("cart.insole_too_thick", (liner,)) == (finding.code, finding.against)


def test_a_new_liner_without_a_figure_leaves_the_room_unknown() -> None:
    """What the old one had room for says nothing."""
    finding = found(5, 6, new_liners=[article("liner")])

    assert ("cart.insole_room_unknown", Decision.CLEAR) == (finding.code, finding.decision)


def test_a_liner_that_stays_without_a_figure_has_the_skates_room() -> None:
    """The skate was sold with it."""
    assert "cart.insole_too_thick" == found(9, 6, staying_liners=[article("liner")]).code


def test_of_two_liners_the_one_with_less_room_decides() -> None:
    """Left and right may be sold apart."""
    liners = [article("liner", insole_room_mm=room) for room in (6, 3)]

    assert "cart.insole_too_thick" == found(5, None, new_liners=liners).code


@pytest.mark.parametrize(("thickness_mm", "room_mm"), [(None, 6), (5, None)])
def test_what_nobody_knows_is_said_and_holds_nothing_up(thickness_mm: float | None, room_mm: float | None) -> None:
    """It can be tried at home."""
    finding = found(thickness_mm, room_mm)

    assert ("cart.insole_room_unknown", Decision.CLEAR, True) == (finding.code, finding.decision, finding.unknown)


@given(st.integers(1, 100), st.integers(1, 100), st.integers(0, 100))
def test_a_thinner_insole_never_does_worse(one: int, other: int, room: int) -> None:
    """In any liner."""
    thin, thick = (found(size / 4, room / 4) for size in sorted((one, other)))

    assert thin.decision.rank <= thick.decision.rank
    assert thin.check is not None
    assert thick.check is not None
    assert thin.check.probability >= thick.check.probability
