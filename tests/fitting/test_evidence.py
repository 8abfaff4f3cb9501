"""Experience beside the geometry: what a report moves, and what it never does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import chain
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import (
    CheckAnswer,
    Experience,
    JointAnswer,
    Need,
    NextStep,
    Outcome,
    PartAnswer,
    StepKind,
)
from mountwright.fitting.beliefs import Contradiction
from mountwright.fitting.estimates import Stake, estimates
from mountwright.fitting.evidence import (
    Attested,
    Counted,
    EvidenceEstimates,
    ReturnCause,
    Source,
    Tally,
    evidence_estimates,
    experienced,
    tallied,
)
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.weighing import UNDAMAGED
from mountwright.measure.quantity import Limits
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern

EVIDENCE = evidence_estimates()

#: Tells nothing about the fit, whoever says it.
BESIDE_THE_FIT = (
    ReturnCause.WRONG_VERSION,
    ReturnCause.WRONG_COUNT,
    ReturnCause.FAULTY,
    ReturnCause.CHANGED_MIND,
)

GOES_ON = (Verdict.FITS, Verdict.FITS_WITH_PARTS, Verdict.FITS_AFTER_BENCH_WORK)

LOOK = NextStep(StepKind.LOOK, "step.look_at_holes", "boot", "holes", "", {})

ADAPTER = Need("plate", "adapter", True, None, "estimate")
RIVETS = Need("rivet-out", "bench", False, None, "estimate")
WRONG_CLAIM = Contradiction("boot", "two-bolt-165", "maker", "hole_spacing_mm", 195_100, 165_000)


def told(attested: Attested, times: int = 1, source: Source = Source.BENCH, cause: ReturnCause | None = None) -> Tally:
    """Give the tally of one outcome that was told several times."""
    return tallied([Counted(attested, cause, source, times)])


def together(*tallies: Tally) -> Tally:
    """Give several tallies as one."""
    return tallied(chain.from_iterable(tally.rows for tally in tallies))


def check(code: str = "bolts_pass", outcome: Outcome = Outcome.UNDECIDED) -> CheckAnswer:
    """Give a check that came out in a certain way."""
    return CheckAnswer(code, "frame_spacing", "frame", outcome, None, Limits(0, 600), "mm", None, 0.5, "", (), {})


def joint(verdict: Verdict, low: float, high: float, **more: Any) -> JointAnswer:
    """Give a joint under the sole."""
    known = JointAnswer("frame", ("boot", "frame"), ("", ""), ("", ""), verdict, low, high, (check(),))
    return known._replace(**more)


def part(verdict: Verdict, low: float, high: float | None = None, **more: Any) -> PartAnswer:
    """Give the geometry's answer about a part with one joint."""
    high = low if high is None else high
    step = LOOK if verdict is Verdict.CANNOT_TELL else None
    return PartAnswer(verdict, low, high, (joint(verdict, low, high, **more),), step)


def moved(answer: PartAnswer, tally: Tally, stake: Stake = Stake.SHIPPING) -> PartAnswer:
    """Give an answer as experience moves it."""
    return experienced(answer, tally, estimates(), stake, EVIDENCE)


def experience_of(answer: PartAnswer) -> Experience:
    """Give the experience of an answer that has some."""
    assert answer.experience is not None
    return answer.experience


_SOURCES = st.sampled_from(list(Source))

_ATTESTED = st.sampled_from([outcome for outcome in Attested if outcome is not Attested.CAME_BACK])

_COUNTED = st.builds(Counted, _ATTESTED, st.none(), _SOURCES, st.integers(1, 40)) | st.builds(
    Counted, st.just(Attested.CAME_BACK), st.sampled_from(list(ReturnCause)), _SOURCES, st.integers(1, 40)
)

_TALLIES = st.lists(_COUNTED, max_size=6).map(tallied)

_SHARES = st.floats(0, 1)


@st.composite
def _answers(draw: st.DrawFn) -> PartAnswer:
    """Give an answer as the thresholds make it, of one joint."""
    low, high = sorted((draw(_SHARES), draw(_SHARES)))
    if high <= estimates().does_not_fit:
        return part(Verdict.DOES_NOT_FIT, low, high, checks=(check(outcome=Outcome.FAIL),))
    return part(draw(st.sampled_from(GOES_ON)) if low >= estimates().fits else Verdict.CANNOT_TELL, low, high)


class TestReports:
    """A report ..."""

    @pytest.mark.parametrize("cause", BESIDE_THE_FIT)
    @pytest.mark.parametrize("verdict", list(Verdict))
    def test_that_is_not_about_the_fit_moves_nothing(self, verdict: Verdict, cause: ReturnCause) -> None:
        """... of a wrong version, a wrong count, a fault or a changed mind leaves the answer as it is."""
        answer = part(verdict, 0.5)

        assert answer == moved(answer, told(Attested.CAME_BACK, 100, cause=cause))

    @pytest.mark.parametrize(
        ("verdict", "good"),
        [
            (Verdict.FITS, 1),
            (Verdict.CANNOT_TELL, 1),
            (Verdict.DOES_NOT_FIT, 1),
            (Verdict.FITS_WITH_PARTS, 2),
            (Verdict.FITS_AFTER_BENCH_WORK, 3),
        ],
    )
    def test_succeeds_if_it_took_no_more_than_the_verdict_said(self, verdict: Verdict, good: int) -> None:
        """... of a pair that took more than the verdict said, or did not go on, is a failure."""
        every = together(*(told(outcome) for outcome in Attested if outcome is not Attested.CAME_BACK))
        experience = experience_of(moved(part(verdict, 0.5), every))

        assert (good, 4 - good) == (experience.successes.times, experience.failures.times)

    def test_of_a_return_that_did_not_go_on_is_a_failure(self) -> None:
        """... of what came back because it did not go on weighs as one of what did not go on."""
        returned = told(Attested.CAME_BACK, cause=ReturnCause.DID_NOT_GO_ON)

        assert moved(part(Verdict.FITS, 0.98), told(Attested.DID_NOT_GO_ON)) == moved(
            part(Verdict.FITS, 0.98), returned
        )

    @pytest.mark.parametrize("source", list(Source))
    def test_weighs_by_who_tells_it(self, source: Source) -> None:
        """... weighs what the data file gives its source, as often as it was told."""
        reports = experience_of(moved(part(Verdict.FITS, 0.98), told(Attested.FITTED, 3, source))).successes

        assert 3 == reports.times
        assert pytest.approx(3 * EVIDENCE.source_weights[source]) == reports.weight

    @pytest.mark.parametrize("bound", ["probability", "probability_at_most"])
    def test_moves_both_bounds(self, bound: str) -> None:
        """... moves the least and the greatest probability alike."""
        answer = part(Verdict.CANNOT_TELL, 0.4, 0.9)
        prior = getattr(answer, bound)

        assert pytest.approx((50 * prior + 1) / 51) == getattr(moved(answer, told(Attested.FITTED)), bound)

    @given(answer=_answers(), tally=_TALLIES)
    def test_leaves_the_bounds_in_order(self, answer: PartAnswer, tally: Tally) -> None:
        """... never makes the bounds cross or leave 0 to 1."""
        after = moved(answer, tally)

        assert 0 <= after.probability <= after.probability_at_most <= 1

    @given(answer=_answers(), tally=_TALLIES)
    def test_of_failure_never_makes_a_fit_likelier(self, answer: PartAnswer, tally: Tally) -> None:
        """... of a pair that did not go on never raises the probability or betters the verdict."""
        before, after = moved(answer, tally), moved(answer, together(tally, told(Attested.DID_NOT_GO_ON)))

        assert after.probability <= before.probability
        assert after.verdict.rank >= before.verdict.rank

    @given(answer=_answers(), tally=_TALLIES)
    def test_of_success_never_makes_a_fit_less_likely(self, answer: PartAnswer, tally: Tally) -> None:
        """... of a pair that went on as it came never lowers the probability or worsens the verdict."""
        before, after = moved(answer, tally), moved(answer, together(tally, told(Attested.FITTED)))

        assert after.probability >= before.probability - 1e-15
        assert after.verdict.rank <= before.verdict.rank


class TestVerdict:
    """The verdict ..."""

    @given(high=st.floats(0, 0.001) | st.floats(0.001, 0.031), source=_SOURCES, outcome=_ATTESTED)
    def test_of_a_clear_no_outlives_one_stray_report(self, high: float, source: Source, outcome: Attested) -> None:
        """... of a clear geometric no is not overturned by one report, whatever it says and whoever tells it."""
        assert Verdict.DOES_NOT_FIT is moved(part(Verdict.DOES_NOT_FIT, 0.0, high), told(outcome, 1, source)).verdict

    @given(high=st.floats(0, 0.05), tally=_TALLIES)
    def test_of_a_no_never_becomes_a_yes(self, high: float, tally: Tally) -> None:
        """... of a no becomes doubt at best, however many say that it went on."""
        many = together(tally, told(Attested.FITTED, 100_000))

        assert Verdict.CANNOT_TELL is moved(part(Verdict.DOES_NOT_FIT, 0.0, high), many).verdict

    def test_of_a_no_turns_to_doubt_with_the_third_success(self) -> None:
        """... of a no at 0.001 stands at 0.039 after two successes and falls at 0.058 after three."""
        no = part(Verdict.DOES_NOT_FIT, 0.0, 0.001)

        assert [Verdict.DOES_NOT_FIT, Verdict.CANNOT_TELL] == [
            moved(no, told(Attested.FITTED, times)).verdict for times in (2, 3)
        ]

    def test_of_a_fit_turns_to_doubt_below_its_threshold(self) -> None:
        """... of a fit at 0.98 stands at 0.961 after one failure and falls at 0.942 after two."""
        fits = part(Verdict.FITS, 0.98)

        assert [Verdict.FITS, Verdict.CANNOT_TELL] == [
            moved(fits, told(Attested.DID_NOT_GO_ON, times)).verdict for times in (1, 2)
        ]

    def test_of_irreversible_stake_falls_sooner(self) -> None:
        """... of a fit for work that cannot be undone falls below 0.99 already."""
        after = moved(part(Verdict.FITS, 0.995), told(Attested.DID_NOT_GO_ON), Stake.IRREVERSIBLE)

        assert Verdict.CANNOT_TELL is after.verdict

    @pytest.mark.parametrize(("need", "verdict"), [(ADAPTER, Verdict.FITS_WITH_PARTS), (RIVETS, Verdict.CANNOT_TELL)])
    def test_with_a_conversion_falls_by_whether_it_can_be_undone(self, need: Need, verdict: Verdict) -> None:
        """... with a conversion is held to 0.99 where that cannot be undone, to 0.95 where it can."""
        answer = part(Verdict.FITS_WITH_PARTS, 0.995, needs=(need,))

        assert verdict is moved(answer, told(Attested.DID_NOT_GO_ON)).verdict

    def test_of_a_cut_and_a_plain_joint_together_outlives_a_success(self) -> None:
        """... that the geometry gave with one joint cut at 0.995 and another plain at 0.96 is not lost by a success."""
        cut = joint(Verdict.FITS_AFTER_BENCH_WORK, 0.995, 0.995, needs=(RIVETS,))
        answer = PartAnswer(cut.verdict, 0.96, 0.96, (cut, joint(Verdict.FITS, 0.96, 0.96)), None)

        assert Verdict.FITS_AFTER_BENCH_WORK is moved(answer, told(Attested.FITTED_AFTER_BENCH_WORK)).verdict

    def test_of_doubt_becomes_a_fit_at_the_threshold(self) -> None:
        """... of doubt at 0.94 stays with nine successes and falls away with eleven; ten give 0.95."""
        doubt = part(Verdict.CANNOT_TELL, 0.94, 1.0)
        after = [moved(doubt, told(Attested.FITTED, times)) for times in (9, 11)]

        assert [(Verdict.CANNOT_TELL, LOOK), (Verdict.FITS, None)] == [(each.verdict, each.next_step) for each in after]

    @pytest.mark.parametrize(
        "more",
        [
            {"contradictions": (WRONG_CLAIM,)},
            {"needs": (ADAPTER,)},
            {"checks": ()},
            {"checks": (check(), check(outcome=Outcome.FAIL))},
            {"checks": (check(), check(UNDAMAGED))},
        ],
        ids=["a wrong claim", "an adapter that may be the way", "nothing judged", "a failed check", "damage"],
    )
    def test_of_doubt_for_another_reason_stays(self, more: Mapping[str, object]) -> None:
        """... of doubt that a probability does not settle stays, however many say that it went on."""
        assert (
            Verdict.CANNOT_TELL
            is moved(part(Verdict.CANNOT_TELL, 0.9, 1.0, **more), told(Attested.FITTED, 10_000)).verdict
        )

    def test_of_doubt_above_the_threshold_stays(self) -> None:
        """... that the geometry withheld for another reason than the probability is not given by experience."""
        assert Verdict.CANNOT_TELL is moved(part(Verdict.CANNOT_TELL, 0.97), told(Attested.FITTED, 100)).verdict

    def test_of_doubt_becomes_a_no(self) -> None:
        """... of doubt at 0.06 becomes a no where ten found that it did not go on, and asks for nothing more."""
        after = moved(part(Verdict.CANNOT_TELL, 0.0, 0.06), told(Attested.DID_NOT_GO_ON, 11))

        assert (Verdict.DOES_NOT_FIT, None) == (after.verdict, after.next_step)

    def test_of_doubt_about_a_way_never_becomes_a_no(self) -> None:
        """... of a pair that an adapter may bring together stays in doubt, for few go on as they come."""
        doubt = part(Verdict.CANNOT_TELL, 0.0, 0.06, needs=(ADAPTER,))

        assert Verdict.CANNOT_TELL is moved(doubt, told(Attested.DID_NOT_GO_ON, 100)).verdict

    @given(answer=_answers(), tally=_TALLIES)
    def test_of_doubt_always_comes_with_a_next_step(self, answer: PartAnswer, tally: Tally) -> None:
        """... of doubt, whoever brought it, says what to do about it; no other says anything."""
        after = moved(answer, tally)

        assert (after.verdict is Verdict.CANNOT_TELL) == (after.next_step is not None)

    @pytest.mark.parametrize(
        ("answer", "tally"),
        [
            (part(Verdict.FITS, 0.96), told(Attested.DID_NOT_GO_ON)),
            (part(Verdict.DOES_NOT_FIT, 0.04), told(Attested.FITTED)),
        ],
    )
    def test_that_experience_puts_in_doubt_asks_for_a_trial_fit(self, answer: PartAnswer, tally: Tally) -> None:
        """... that experience puts in doubt asks for a trial fit by hand."""
        step = moved(answer, tally).next_step

        assert step is not None
        assert (StepKind.TRIAL_FIT, "step.experience_differs") == (step.kind, step.code)


class TestExperience:
    """The experience of an answer ..."""

    def test_keeps_what_the_geometry_says_by_itself(self) -> None:
        """... keeps the verdict and both bounds of the geometry."""
        found = experience_of(moved(part(Verdict.DOES_NOT_FIT, 0.001, 0.04), told(Attested.FITTED, 5)))

        assert (Verdict.DOES_NOT_FIT, 0.001, 0.04) == (found.verdict, found.probability, found.probability_at_most)

    def test_leaves_the_joints_as_they_were_judged(self) -> None:
        """... is of the pair, and no joint or check is judged otherwise for it."""
        answer = part(Verdict.FITS, 0.96)

        assert answer.joints == moved(answer, told(Attested.DID_NOT_GO_ON, 3)).joints

    def test_says_its_share(self) -> None:
        """... of 50 weights of reports is half of the answer."""
        found = experience_of(moved(part(Verdict.FITS, 0.98), told(Attested.FITTED, 50)))

        assert (0.5, 0.5) == (found.share_of_geometry, found.share_of_experience)

    def test_counts_for_more_beside_a_light_geometry(self) -> None:
        """... counts for more where the geometry counts as fewer reports."""
        light: EvidenceEstimates = replace(EVIDENCE, geometry_weight=1)
        after = experienced(part(Verdict.CANNOT_TELL, 0.5), told(Attested.FITTED), estimates(), Stake.SHIPPING, light)

        assert 0.75 == after.probability

    @given(answer=_answers(), tally=_TALLIES)
    def test_and_the_geometry_make_the_whole(self, answer: PartAnswer, tally: Tally) -> None:
        """... and the geometry have shares that add to 1."""
        found = moved(answer, tally).experience

        assert found is None or pytest.approx(1) == found.share_of_geometry + found.share_of_experience

    @pytest.mark.parametrize(
        ("verdict", "outcome", "conflict"),
        [
            (Verdict.FITS, Attested.FITTED, False),
            (Verdict.FITS, Attested.FITTED_WITH_PARTS, True),
            (Verdict.FITS_AFTER_BENCH_WORK, Attested.FITTED_WITH_PARTS, False),
            (Verdict.FITS_AFTER_BENCH_WORK, Attested.DID_NOT_GO_ON, True),
            (Verdict.DOES_NOT_FIT, Attested.FITTED, True),
            (Verdict.DOES_NOT_FIT, Attested.FITTED_WITH_PARTS, False),
            (Verdict.CANNOT_TELL, Attested.FITTED, False),
            (Verdict.CANNOT_TELL, Attested.DID_NOT_GO_ON, False),
        ],
    )
    def test_is_in_conflict_where_it_contradicts(self, verdict: Verdict, outcome: Attested, conflict: bool) -> None:
        """... is in conflict with a yes that failed and with a no that went on; doubt cannot be contradicted."""
        assert conflict is experience_of(moved(part(verdict, 0.5), told(outcome))).conflict


class TestFitCheck:
    """A fit check ..."""

    SKATE = Part("", (Mount("frame", "boot", (Pattern(standard="two-bolt-165", claimed_by=Claimant.MAKER),)),))
    FRAME = Part("frame", (Mount("frame", "frame", (Pattern(standard="two-bolt-165", claimed_by=Claimant.MAKER),)),))

    def test_gives_each_part_its_own_experience(self) -> None:
        """... puts each tally to the part at its place, and the whole by the worst of them."""
        request = FitRequest(self.SKATE, (self.FRAME,) * 2, tallies=(Tally(), told(Attested.DID_NOT_GO_ON, 50)))
        answer = fit_checked(request, discovered(), estimates())

        assert [Verdict.FITS, Verdict.CANNOT_TELL] == [each.verdict for each in answer.parts]
        assert Verdict.CANNOT_TELL is answer.verdict

    def test_refuses_tallies_that_are_not_one_for_each_part(self) -> None:
        """... takes no tallies that could be put to the wrong part."""
        with pytest.raises(InvalidQuantityError, match="found 1, expected 2 tallies"):
            FitRequest(self.SKATE, (self.FRAME,) * 2, tallies=(Tally(),))
