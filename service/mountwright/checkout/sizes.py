"""Whether what is made for some sizes is made for this skate and this foot."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from mountwright.bench.shoe_sizes import eu_run, eu_sizes_of_foot
from mountwright.checkout.article import Article, SizeRun
from mountwright.checkout.comparison import ANYTHING, compared, compared_exactly, not_compared
from mountwright.checkout.finding import Decision, Finding
from mountwright.fitting.answers import CheckAnswer, NextStep, Outcome, StepKind
from mountwright.measure.conformity import uniform_conformance
from mountwright.measure.quantity import Limits, thousandths

_MARKED = "sizes as marked (common practice)"
_MADE = "sizes as marked, of all that the skate is made in (common practice)"
_FROM_FOOT = "EU size from the foot: 1.5 (length in cm + 1.33 to 2.0), Paris point of ISO/TS 19407:2015"

#: Thousandths of an EU size.
_ONE_SIZE = 1000

_TELL_SIZE = NextStep(StepKind.DESCRIBE, "step.tell_size", "skate", "eu_size", "", {})
_TRY_SIZE = NextStep(StepKind.TRIAL_FIT, "step.try_size", "skate", "", "", {})
_COMPARE_INSOLE = NextStep(StepKind.MEASURE, "step.measure_old_insole", "insole", "length_mm", "steel_rule", {})


class Wearer(NamedTuple):
    """What is known of the size that is wanted.

    Parameters
    ----------
    eu_size : float or None
        The size of the skate.
    foot_lengths_um : tuple of (float, float) or None
        Left and right; the longer decides.
    skate_run : SizeRun
        The sizes that the skate is made in.
    """

    eu_size: float | None
    foot_lengths_um: tuple[float, float] | None
    skate_run: SizeRun


def size_findings(article: Article, wearer: Wearer) -> tuple[Finding, ...]:
    """Give whether an article is made for the size that is wanted; nothing for one that is of no size.

    Parameters
    ----------
    article : Article
        Of a whole skate only the feet decide, where they are known; of a part the skate's size, then the sizes that
        the skate is made in, then the feet. For an insole size and feet have to agree.
    wearer : Wearer
    """
    if article.sizes.low is None and article.sizes.high is None:
        return ()
    checks = () if _is_in_disorder(article.sizes) else tuple(_checks(article, wearer))
    return (_finding(article, checks),)


def _is_in_disorder(run: SizeRun) -> bool:
    """Tell whether a run ends before it begins, and so tells nothing."""
    return run.low is not None and run.high is not None and run.low > run.high


def _checks(article: Article, wearer: Wearer) -> Iterator[CheckAnswer]:
    """Give what the sizes that are known say, the most telling first."""
    by_foot = None if wearer.foot_lengths_um is None else _by_foot(article, max(wearer.foot_lengths_um))
    by_size = None if wearer.eu_size is None else _marked(article, thousandths(wearer.eu_size))
    if article.kind == "skate":
        found = [by_foot or by_size]
    elif by_size:
        found = [by_size, by_foot] if article.kind == "insole" else [by_size]
    else:
        found = [_by_run(article, wearer.skate_run) or by_foot]
    yield from (check for check in found if check is not None)


def _limits(article: Article) -> Limits:
    low, high = article.sizes
    return Limits(None if low is None else thousandths(low), None if high is None else thousandths(high))


def _marked(article: Article, size: int, source: str = _MARKED) -> CheckAnswer:
    return compared_exactly("size_in_run", article, size, _limits(article), source=source, unit="eu_size")


def _by_run(article: Article, run: SizeRun) -> CheckAnswer | None:
    """Give what the skate's run says by itself: all of its sizes are in, or none; None for anything between."""
    limits = _limits(article)
    low, high = (None if end is None else thousandths(end) for end in run)
    if low is not None and limits.high is not None and low > limits.high:
        return _marked(article, low, _MADE)
    if high is not None and limits.low is not None and high < limits.low:
        return _marked(article, high, _MADE)
    if (low is None and limits.low is not None) or (high is None and limits.high is not None):
        return None
    ends = [_marked(article, end, _MADE) for end in (low, high) if end is not None]
    return min(ends, key=lambda check: check.margin or 0.0) if all(check.probability for check in ends) else None


def _by_foot(article: Article, foot_length_um: float) -> CheckAnswer:
    """Give what the longer foot says; the allowance is anywhere between its ends."""
    low, high = eu_sizes_of_foot(foot_length_um)
    limits = _limits(article)
    first = low if limits.low is None else max(low, limits.low)
    last = high if limits.high is None else min(high, limits.high)
    share = uniform_conformance(low, high, limits)
    outcome = Outcome.PASS if (first, last) == (low, high) else Outcome.FAIL if first > last else Outcome.UNDECIDED
    middle = (low + high) / 2
    return compared("size_in_run", article, middle, limits, outcome, share, source=_FROM_FOOT, unit="eu_size")


def _finding(article: Article, checks: tuple[CheckAnswer, ...]) -> Finding:
    if not checks:
        return _unknown(article)
    best, worst = max(checks, key=_likelihood), min(checks, key=_likelihood)
    if worst.outcome is Outcome.FAIL and (best.outcome is Outcome.PASS or _is_near(worst)):
        step = _COMPARE_INSOLE if article.kind == "insole" else _TRY_SIZE
        return _found(Decision.CONFIRM, "cart.size_between", article, worst, step)
    if worst.outcome is Outcome.FAIL:
        return _found(Decision.STOP, "cart.size_does_not_fit", article, worst)
    if best.outcome is Outcome.PASS:
        return _found(Decision.CLEAR, "cart.size_fits", article, best)
    step = _TRY_SIZE if article.kind == "skate" else _TELL_SIZE
    return _found(Decision.CONFIRM, "cart.size_between", article, worst, step)


def _is_near(check: CheckAnswer) -> bool:
    """Tell whether the size that is worn is out by less than a whole one, which half sizes and trimming make up for."""
    return check.source == _MARKED and check.margin is not None and check.margin > -_ONE_SIZE


def _likelihood(check: CheckAnswer) -> float:
    return check.probability


def _found(
    decision: Decision, code: str, article: Article, check: CheckAnswer, step: NextStep | None = None
) -> Finding:
    size = round((check.value or 0.0) / 1000, 1)
    params: dict[str, str | float] = {"kind": article.kind, "run": eu_run(*article.sizes), "eu_size": size}
    return Finding(decision, code, params, check, step=step)


def _unknown(article: Article) -> Finding:
    missing = ("foot.foot_length_mm",) if article.kind == "skate" else ("skate.eu_size",)
    limits = ANYTHING if _is_in_disorder(article.sizes) else _limits(article)
    check = not_compared("size_in_run", article, limits, missing, source=_MARKED, unit="eu_size")
    params = {"kind": article.kind, "run": eu_run(*article.sizes)}
    return Finding(Decision.CONFIRM, "cart.size_unknown", params, check, unknown=True, step=_TELL_SIZE)
