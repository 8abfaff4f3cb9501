"""Buckles judged by the whole fit check: pitch, pieces, the ladder in its receiver, the screw in the shell."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import resources

import pytest

import mountwright_buckle_pitch
from mountwright.fitting.answers import CheckAnswer, Outcome, PartAnswer
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.messages import catalogue
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.plugin import Joint, JointSide
from mountwright.web.answers.wording import check_message
from mountwright_buckle_pitch.rules import ladder_enters

Figures = Mapping[str, Quantity]

NO_FIGURES: Figures = {}


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give a registry of nothing but buckles."""
    return assembled([mountwright_buckle_pitch.mountwright_standards()])


def mm(value: float, plus_minus: float = 0.2, instrument: str = "caliper") -> Quantity:
    """Give a reading; without doubt it is a drawing's."""
    return Quantity(round(value * 1000), rectangular(plus_minus * 1000), instrument)


def drawn(value: float) -> Quantity:
    """Give a figure off a drawing."""
    return mm(value, 0.0, "maker_drawing")


def claimed(figures: Figures = NO_FIGURES, by: Claimant = Claimant.MAKER, /, **seen: str) -> Pattern:
    """Give a mount that somebody says follows the standard."""
    return Pattern(standard="strap-pitch-15", claimed_by=by, figures=figures, seen=seen)


def unclaimed(pitch: Quantity) -> Pattern:
    """Give a mount of which only the pitch is known."""
    return Pattern(figures={"hole_pitch_mm": pitch})


def answered(registry: Registry, shell: Pattern, buckle: Pattern, position: str = "strap_instep") -> PartAnswer:
    """Give the answer for one buckle on one shell."""
    skate = Part("skate", (Mount(position, "shell", (shell,)),))
    part = Part("buckle", (Mount(position, "buckle", (buckle,)),))
    return fit_checked(FitRequest(skate, (part,)), registry, estimates()).parts[0]


def checks_of(answer: PartAnswer) -> dict[str, CheckAnswer]:
    """Give the checks of the only joint by code."""
    return {check.code: check for check in answer.joints[0].checks}


def failed(answer: PartAnswer) -> set[str]:
    """Give the codes of the checks that failed."""
    return {code for code, check in checks_of(answer).items() if check.outcome is Outcome.FAIL}


@pytest.mark.parametrize("position", ["strap_instep", "strap_cuff"])
def test_a_pitch_that_is_claimed_and_read_coarsely_fits(registry: Registry, position: str) -> None:
    """A pitch of 15 by the maker's word and 15.3 by a rule good to 0.5 fits, at the instep as at the cuff."""
    answer = answered(registry, claimed({"hole_pitch_mm": mm(15.3, 0.5, "steel_rule")}), claimed(), position)

    assert Verdict.FITS is answer.verdict
    assert pytest.approx(0.99, abs=0.005) == answer.probability


def test_a_pitch_that_nobody_claims_is_judged_by_the_play_of_the_screws(registry: Registry) -> None:
    """A pitch of 15.3 by caliper on a shell without a claim lies within the 0.5 that the screws take."""
    answer = answered(registry, unclaimed(mm(15.3)), claimed())

    assert Verdict.FITS is answer.verdict
    assert pytest.approx(0.98, abs=0.01) == answer.probability
    assert 500 == checks_of(answer)["bolts_pass"].limits.high


@pytest.mark.parametrize("shell", [unclaimed(mm(17)), claimed({"hole_pitch_mm": mm(17)})], ids=["no claim", "claim"])
def test_a_pitch_that_is_two_millimetres_out_does_not_fit(registry: Registry, shell: Pattern) -> None:
    """A pitch of 17 is refused, whether or not somebody says that it is 15."""
    answer = answered(registry, shell, claimed())

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"bolts_pass"} == failed(answer)


def test_a_pitch_that_belies_its_claim_is_reported(registry: Registry) -> None:
    """A pitch of 17 on a shell that is claimed to have 15 is a contradiction, named with both figures."""
    (found,) = answered(registry, claimed({"hole_pitch_mm": mm(17)}), claimed()).joints[0].contradictions

    assert ("hole_pitch_mm", 17000, 15000) == (found.what, found.found, found.expected)


def test_a_pitch_between_the_sure_and_the_widest_play_asks_for_the_holes(registry: Registry) -> None:
    """A pitch 0.7 out cannot be told before somebody has looked at the holes of the buckle's foot."""
    answer = answered(registry, unclaimed(mm(15.7)), claimed())

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert ("step.look_at_holes", "buckle") == (answer.next_step.code, answer.next_step.side)


@pytest.mark.parametrize(("pitch_um", "verdict"), [(15500, Verdict.FITS), (15501, Verdict.DOES_NOT_FIT)])
def test_recorded_holes_are_judged_by_their_own_play(registry: Registry, pitch_um: int, verdict: Verdict) -> None:
    """Recorded holes of 4.5 over two 4 mm screws take 0.5 exactly, and a micrometre more is refused."""
    nuts = (Hole("upper", pitch_um, 0, 4000, tapped=True), Hole("lower", 0, 0, 4000, tapped=True))
    foot = (Hole("upper", 15000, 0, 4500), Hole("lower", 0, 0, 4500))

    assert verdict is answered(registry, Pattern(holes=nuts), Pattern(holes=foot)).verdict


@pytest.mark.parametrize(("hole_um", "verdict"), [(4500, Verdict.FITS), (3900, Verdict.DOES_NOT_FIT)])
def test_recorded_holes_of_a_receiver_need_no_pitch(registry: Registry, hole_um: int, verdict: Verdict) -> None:
    """Recorded holes decide a receiver on its single bolt by their width alone, with no figure for a pitch."""
    nut = Pattern(holes=(Hole("bolt", 0, 0, 4000, tapped=True),), seen={"piece": "receiver"})
    foot = Pattern(holes=(Hole("bolt", 0, 0, hole_um),), seen={"piece": "receiver"})

    assert verdict is answered(registry, nut, foot).verdict


def test_a_ladder_that_is_too_wide_is_refused_though_the_pitch_agrees(registry: Registry) -> None:
    """A ladder of 25 does not go through a receiver of 24, and that is the only check that fails."""
    answer = answered(registry, claimed({"receiver_width_mm": mm(24)}), claimed({"ladder_width_mm": mm(25)}))

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"ladder_enters"} == failed(answer)
    assert Outcome.PASS is checks_of(answer)["bolts_pass"].outcome


@pytest.mark.parametrize(("ladder", "verdict"), [(23.8, Verdict.FITS), (23.801, Verdict.DOES_NOT_FIT)])
def test_a_ladder_needs_two_tenths_to_slide(registry: Registry, ladder: float, verdict: Verdict) -> None:
    """A ladder passes by a drawing with exactly 0.2 to spare and is refused with a micrometre less."""
    shell, buckle = claimed({"receiver_width_mm": drawn(24)}), claimed({"ladder_width_mm": drawn(ladder)})

    assert verdict is answered(registry, shell, buckle).verdict


def test_a_ladder_that_stays_is_compared_with_the_new_receiver(registry: Registry) -> None:
    """A ladder on the shell has to enter the receiver that the part brings, not the one that goes."""
    shell = claimed({"ladder_width_mm": drawn(25), "receiver_width_mm": drawn(26)})
    buckle = claimed({"receiver_width_mm": drawn(24)})

    assert -1000 == checks_of(answered(registry, shell, buckle))["ladder_enters"].value


def test_a_ladder_that_goes_is_not_compared(registry: Registry) -> None:
    """A ladder that an anchor takes with it does not count: the new one meets the receiver that stays."""
    shell = claimed({"ladder_width_mm": drawn(25), "receiver_width_mm": drawn(26)})
    buckle = claimed({"ladder_width_mm": drawn(24)}, piece="anchor")

    assert 2000 == checks_of(answered(registry, shell, buckle))["ladder_enters"].value


@pytest.mark.parametrize(
    ("by", "verdict"),
    [(Claimant.BENCH, Verdict.FITS), (Claimant.MAKER, Verdict.FITS), (Claimant.SELLER, Verdict.CANNOT_TELL)],
)
def test_a_ladder_by_the_makers_word_need_not_be_measured(registry: Registry, by: Claimant, verdict: Verdict) -> None:
    """A ladder of unknown width does not reopen the word of maker or bench on both sides; a seller's leaves it open."""
    shell, buckle = claimed({"receiver_width_mm": mm(24)}), claimed(NO_FIGURES, by, piece="anchor")

    assert verdict is answered(registry, shell, buckle).verdict


def test_a_ladder_of_a_named_piece_has_to_be_measured(registry: Registry) -> None:
    """A ladder that comes with an anchor of unknown width leaves the answer open where nobody vouches for the pair."""
    shell = Pattern(figures={"hole_pitch_mm": mm(15), "receiver_width_mm": mm(24)})
    answer = answered(registry, shell, Pattern(figures={"hole_pitch_mm": mm(15)}, seen={"piece": "anchor"}))

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert ("buckle", "ladder_width_mm") == (answer.next_step.side, answer.next_step.what)


@pytest.mark.parametrize(
    ("shell", "buckle"),
    [
        (claimed({"ladder_width_mm": mm(25), "receiver_width_mm": mm(24)}), claimed()),
        (claimed({"ladder_width_mm": mm(25)}), claimed(piece="anchor")),
    ],
    ids=["neither piece nor width known", "no width recorded of what will meet"],
)
def test_a_ladder_is_left_out_while_nothing_says_what_meets(
    registry: Registry, shell: Pattern, buckle: Pattern
) -> None:
    """A ladder is not asked about while no recorded width belongs to the pair that the exchange makes."""
    assert "ladder_enters" not in checks_of(answered(registry, shell, buckle))


def test_a_ladder_is_no_matter_of_other_joints() -> None:
    """A ladder is not asked about where the sides are not shell and buckle."""
    boot, frame = (JointSide(side, {}, {"piece": "anchor"}) for side in ("boot", "frame"))

    assert [] == list(ladder_enters(Joint("strap_instep", boot, frame)))


@pytest.mark.parametrize(
    ("feature", "skate_has", "part_has"),
    [("hand", "left", "right"), ("piece", "anchor", "receiver"), ("fastening", "rivet", "screw")],
)
def test_pieces_that_differ_do_not_fit(registry: Registry, feature: str, skate_has: str, part_has: str) -> None:
    """Pieces of the wrong hand, kind or fastening are refused by that check alone, with both answers named."""
    answer = answered(registry, claimed(**{feature: skate_has}), claimed(**{feature: part_has}))

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {f"same_{feature}"} == failed(answer)
    assert {"skate_has": skate_has, "part_has": part_has} == checks_of(answer)[f"same_{feature}"].params


@pytest.mark.parametrize("feature", ["hand", "piece", "fastening"])
def test_pieces_are_not_compared_by_a_look_at_one_side(registry: Registry, feature: str) -> None:
    """Pieces that were looked at on the shell only are not asked about."""
    seen = {"hand": "left", "piece": "anchor", "fastening": "screw"}[feature]

    assert {"bolts_pass"} == set(checks_of(answered(registry, claimed(**{feature: seen}), claimed())))


def test_pieces_go_each_to_its_own_place(registry: Registry) -> None:
    """Pieces of one buckle find the anchor's and the receiver's place among the patterns of one mount."""
    places = tuple(
        Pattern(name=f"{piece} place", standard="strap-pitch-15", claimed_by=Claimant.MAKER, seen={"piece": piece})
        for piece in ("anchor", "receiver")
    )
    skate = Part("skate", (Mount("strap_cuff", "shell", places),))
    mounts = [Mount("strap_cuff", "buckle", (claimed(piece=piece),)) for piece in ("receiver", "anchor")]
    answer = fit_checked(FitRequest(skate, tuple(Part("buckle", (mount,)) for mount in mounts)), registry, estimates())

    assert Verdict.FITS is answer.verdict
    assert ["receiver place", "anchor place"] == [part.joints[0].patterns[0] for part in answer.parts]


@pytest.mark.parametrize(
    ("length", "expected"),
    [
        (5.999, {"screw_reaches"}),
        (6.0, set()),
        (9.0, set()),
        (9.001, {"screw_stands_out"}),
    ],
)
def test_a_screw_has_three_millimetres_to_end_in(registry: Registry, length: float, expected: set[str]) -> None:
    """A screw through 2 mm of foot and 4 mm of shell ends between 6 and 9 mm, both included."""
    shell = claimed({"shell_thickness_mm": drawn(4)})
    buckle = claimed({"screw_length_mm": drawn(length), "foot_thickness_mm": drawn(2)})

    assert expected == failed(answered(registry, shell, buckle))


@pytest.mark.parametrize(
    ("pitch", "expected"), [(3.2, set()), (2.8, set()), (2.799, {"teeth_match"}), (3.201, {"teeth_match"})]
)
def test_teeth_of_another_pitch_are_refused(registry: Registry, pitch: float, expected: set[str]) -> None:
    """Teeth agree to two tenths to either side and are refused a micrometre beyond."""
    shell, buckle = claimed({"tooth_pitch_mm": drawn(3)}), claimed({"tooth_pitch_mm": drawn(pitch)})

    assert expected == failed(answered(registry, shell, buckle))


def test_screw_teeth_and_ladder_are_left_out_where_nobody_recorded_them(registry: Registry) -> None:
    """Screw, teeth and ladder do not hold up an answer on the pitch."""
    assert {"bolts_pass"} == set(checks_of(answered(registry, claimed(), claimed())))


def test_the_nominal_pitch_owns_up_to_memory(registry: Registry) -> None:
    """The 15 mm are marked as from memory and carry the spreads that were chosen."""
    nominal = registry.standards["strap-pitch-15"].nominals["hole_pitch_mm"]

    assert nominal.source.startswith("from memory")
    assert (15000, rectangular(200), rectangular(500)) == (
        nominal.stated,
        nominal.conforming.standard_uncertainty,
        nominal.met.standard_uncertainty,
    )


def test_the_standard_has_a_sentence_for_every_refusal_and_look(registry: Registry) -> None:
    """The standard comes with a sentence for each check that can fail and each look."""
    family = registry.standards["strap-pitch-15"].family
    codes = {f"{rule.code}.fail" for rule in family.rules if hasattr(rule, "code")} | {"ladder_enters.fail"}
    wanted = {f"buckle_pitch.{code}" for code in codes | {f"look.{feature}" for feature in family.looks}}

    assert set() == wanted - set(registry.messages)


def test_the_standard_is_explained_to_the_last_dimension(registry: Registry) -> None:
    """The standard can be measured by the page that comes with it: every dimension and look is named there."""
    page = resources.files(mountwright_buckle_pitch).joinpath("README.md").read_text(encoding="utf-8")
    family = registry.standards["strap-pitch-15"].family

    assert [] == [name for name in (*family.dimensions, *family.looks) if f"`{name}`" not in page]


@pytest.mark.parametrize(
    ("shell", "buckle", "code", "sentence"),
    [
        (
            unclaimed(drawn(15)),
            unclaimed(drawn(17)),
            "bolts_pass",
            "The screws do not go through: the holes are out by 1.5 mm. Do not pull the shell over them.",
        ),
        (
            claimed({"receiver_width_mm": drawn(24)}),
            claimed({"ladder_width_mm": drawn(25)}),
            "ladder_enters",
            "The ladder is too wide for the receiver, by 1.2 mm with the 0.2 mm that it needs to slide.",
        ),
        (
            claimed({"shell_thickness_mm": drawn(4)}),
            claimed({"screw_length_mm": drawn(10), "foot_thickness_mm": drawn(2)}),
            "screw_stands_out",
            "The screw is too long: its tip stands 4 mm out of the shell's inner face, 3 mm are taken up by a nut.",
        ),
        (
            claimed(hand="left"),
            claimed(hand="right"),
            "same_hand",
            "The skate is a left one, the part belongs on the right skate.",
        ),
    ],
    ids=["pitch", "ladder", "screw", "hand"],
)
def test_a_refusal_says_by_how_much(
    registry: Registry, shell: Pattern, buckle: Pattern, code: str, sentence: str
) -> None:
    """A refusal reads as a sentence with the figures that a fitter needs."""
    check = checks_of(answered(registry, shell, buckle))[code]

    assert sentence == check_message(check, catalogue(registry.messages))
