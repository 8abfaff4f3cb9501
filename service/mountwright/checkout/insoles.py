"""Whether there is room for an insole."""

from __future__ import annotations

from collections.abc import Sequence

from mountwright.bench.insole_room import insole_limits, insole_probability
from mountwright.checkout.article import Article
from mountwright.checkout.comparison import ANYTHING, compared, not_compared
from mountwright.checkout.finding import Decision, Finding
from mountwright.fitting.answers import CheckAnswer, NextStep, Outcome, StepKind
from mountwright.measure.quantity import in_units

_SOURCE = "thickest insole that goes in with the foot; how far it is pressed together is an estimate"

_MEASURE_OLD = NextStep(StepKind.MEASURE, "step.measure_old_insole", "insole", "thickness_mm", "caliper", {})

_FITS = (Decision.CLEAR, "cart.insole_fits_room")
_TOO_THICK = (Decision.CONFIRM, "cart.insole_too_thick")


def insole_findings(
    insole: Article,
    skate: Article,
    new_liners: Sequence[Article] = (),
    staying_liners: Sequence[Article] = (),
) -> tuple[Finding, ...]:
    """Give whether an insole has room in the liners that will be in the skate, else in the skate as it was sold.

    Parameters
    ----------
    insole : Article
    skate : Article
        Its own figure is of the liner that it was sold with, and tells nothing of a new one.
    new_liners, staying_liners : sequence of Article
    """
    thickness = insole.figure_um("thickness_mm")
    rooms = _rooms(skate, new_liners, staying_liners)
    against = tuple(new_liners) or tuple(staying_liners) or (skate,)
    if thickness is None or not rooms:
        return (_unknown(insole, against, thickness),)
    check = _check(insole, thickness, min(rooms))
    fits = check.outcome is Outcome.PASS
    decision, code = _FITS if fits else _TOO_THICK
    figures = {"thickness_mm": in_units(thickness), "insole_room_mm": in_units(min(rooms))}
    return (
        Finding(decision, code, {"kind": insole.kind, **figures}, check, against, step=None if fits else _MEASURE_OLD),
    )


def _rooms(skate: Article, new: Sequence[Article], staying: Sequence[Article]) -> list[int]:
    """Give the rooms that count, none at all where one of them is not known."""
    standing = [liner for liner in staying if liner.figure_um("insole_room_mm") is not None] or [skate]
    rooms = [article.figure_um("insole_room_mm") for article in new or standing]
    known = [room for room in rooms if room is not None]
    return known if len(known) == len(rooms) else []


def _check(insole: Article, thickness: int, room: int) -> CheckAnswer:
    """Compare with the room and what may be pressed together, which is somewhere in its range."""
    limits, probability = insole_limits(room), insole_probability(thickness, room)
    doubtful = Outcome.UNDECIDED if probability else Outcome.FAIL
    outcome = Outcome.PASS if limits.contain(thickness) else doubtful
    return compared("insole_room", insole, thickness, limits, outcome, probability, source=_SOURCE)


def _unknown(insole: Article, against: tuple[Article, ...], thickness: int | None) -> Finding:
    missing = ("insole.thickness_mm",) if thickness is None else (f"{against[0].kind}.insole_room_mm",)
    check = not_compared("insole_room", insole, ANYTHING, missing, source=_SOURCE)
    params = {"kind": insole.kind}
    return Finding(Decision.CLEAR, "cart.insole_room_unknown", params, check, against, unknown=True, step=_MEASURE_OLD)
