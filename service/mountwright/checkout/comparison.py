"""The comparisons that no mount makes, in the form that every check is answered in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.checkout.article import Article
from mountwright.fitting.answers import CheckAnswer, Outcome
from mountwright.measure.quantity import Limits

#: Stands where a plugin's family stands in the checks of a joint.
FAMILY = "checkout"

ANYTHING = Limits(None, None)

_NO_PARAMS: Mapping[str, str | float] = MappingProxyType({})


def compared(
    code: str,
    article: Article,
    value: float,
    limits: Limits,
    outcome: Outcome,
    probability: float,
    *,
    source: str,
    unit: str = "mm",
) -> CheckAnswer:
    """Give a comparison whose outcome is known.

    Parameters
    ----------
    code : str
    article : Article
        The part that is judged; its kind is the position.
    value : float
        Thousandths of the unit.
    limits : Limits
    outcome : Outcome
    probability : float
        That the true value lies within the limits.
    source : str
    unit : str
    """
    margin = limits.margin(value)
    return CheckAnswer(
        code, FAMILY, article.kind, outcome, value, limits, unit, margin, probability, source, (), _NO_PARAMS
    )


def compared_exactly(
    code: str, article: Article, value: float, limits: Limits, *, source: str, unit: str = "mm"
) -> CheckAnswer:
    """Give a comparison of marks with marks: on a limit it passes, and there is no doubt."""
    passes = limits.contain(value)
    outcome = Outcome.PASS if passes else Outcome.FAIL
    return compared(code, article, value, limits, outcome, float(passes), source=source, unit=unit)


def alike(code: str, article: Article, *, passes: bool, skate_has: str, source: str) -> CheckAnswer:
    """Give whether a skate has what a part needs."""
    outcome = Outcome.PASS if passes else Outcome.FAIL
    params = {"skate_has": skate_has, "part_has": article.kind}
    probability = float(passes)
    return CheckAnswer(code, FAMILY, article.kind, outcome, None, ANYTHING, "", None, probability, source, (), params)


def not_compared(
    code: str, article: Article, limits: Limits, missing: tuple[str, ...], *, source: str, unit: str = "mm"
) -> CheckAnswer:
    """Give a comparison that nobody can make.

    Parameters
    ----------
    missing : tuple of str
        What is not known: whose, a dot, the figure's name.
    """
    return CheckAnswer(
        code, FAMILY, article.kind, Outcome.NOT_MEASURED, None, limits, unit, None, 0.0, source, missing, _NO_PARAMS
    )
