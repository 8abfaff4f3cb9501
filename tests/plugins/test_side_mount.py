"""Bolts at the side of the sole: measured places and directions, a shared drawing, and the wrong plane."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from importlib import resources

import pytest

import mountwright_frame_spacing
import mountwright_side_mount
from mountwright.fitting.answers import CheckAnswer, Outcome, PartAnswer, StepKind
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
from mountwright_side_mount.rules import axes_agree

#: Three bolts at one flank, millimetres forward and upward: no standard, only a pattern without symmetry.
PLACES: Mapping[str, tuple[float, float]] = {"front": (220.0, 12.0), "middle": (130.0, 9.0), "rear": (20.0, 15.0)}

CALIPER_UM = rectangular(200)

UNSEEN: Mapping[str, str] = {}


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give a registry of the frames under the sole and those at its side."""
    return assembled(
        [mountwright_frame_spacing.mountwright_standards(), mountwright_side_mount.mountwright_standards()]
    )


def threads(doubt_um: float = 0.0, axis_deg: float | None = 0.0) -> tuple[Hole, ...]:
    """Give the boot's tapped holes at their places."""
    return tuple(
        Hole(name, round(x * 1000), round(y * 1000), 6000, 0, 0.0, True, doubt_um, axis_deg)
        for name, (x, y) in PLACES.items()
    )


def clearances(doubt_um: float = 0.0, axis_deg: float | None = 0.0) -> tuple[Hole, ...]:
    """Give a frame's 6.6 mm holes at the same places."""
    return tuple(replace(hole, diameter_um=6600, tapped=False) for hole in threads(doubt_um, axis_deg))


def lifted(holes: tuple[Hole, ...], name: str, by_um: int) -> tuple[Hole, ...]:
    """Give the holes with one of them higher."""
    return tuple(replace(hole, across_um=hole.across_um + by_um * (hole.name == name)) for hole in holes)


def leaning(holes: tuple[Hole, ...], name: str, axis_deg: float) -> tuple[Hole, ...]:
    """Give the holes with one of them in another direction."""
    return tuple(replace(hole, axis_deg=axis_deg) if hole.name == name else hole for hole in holes)


def claimed(
    holes: tuple[Hole, ...] = (),
    by: Claimant = Claimant.MAKER,
    drawing_id: str | None = None,
    axis: Quantity | None = None,
    seen: Mapping[str, str] = UNSEEN,
) -> Pattern:
    """Give a mount that somebody says is bolted from the side."""
    figures = {"axis_deg": axis} if axis else {}
    return Pattern("", "side-bolts-measured", by, figures, seen, holes, drawing_id)


def under_the_sole() -> Pattern:
    """Give a mount that its maker says has two bolts 165 mm apart, under the sole."""
    return Pattern(standard="two-bolt-165", claimed_by=Claimant.MAKER)


def answered(registry: Registry, boot: Pattern, frame: Pattern) -> PartAnswer:
    """Give the answer for one frame on one boot."""
    skate = Part("skate", (Mount("frame", "boot", (boot,)),))
    part = Part("frame", (Mount("frame", "frame", (frame,)),))
    return fit_checked(FitRequest(skate, (part,)), registry, estimates()).parts[0]


def checks_of(answer: PartAnswer) -> dict[str, CheckAnswer]:
    """Give the checks of the only joint by code."""
    return {check.code: check for check in answer.joints[0].checks}


def failed(answer: PartAnswer) -> set[str]:
    """Give the codes of the checks that failed."""
    return {code for code, check in checks_of(answer).items() if check.outcome is Outcome.FAIL}


@pytest.mark.parametrize("doubt_um", [0.0, CALIPER_UM], ids=["drawn", "caliper"])
def test_holes_at_the_same_places_fit(registry: Registry, doubt_um: float) -> None:
    """Holes at the same places in the same directions fit, whether drawn or measured."""
    assert Verdict.FITS is answered(registry, claimed(threads(doubt_um)), claimed(clearances(doubt_um))).verdict


def test_holes_of_which_one_is_two_millimetres_off_do_not_fit(registry: Registry) -> None:
    """Holes are refused for one that lies 2 mm too high, and 1.4 mm more width would be needed."""
    frame = claimed(lifted(clearances(CALIPER_UM), "middle", 2000))
    answer = answered(registry, claimed(threads(CALIPER_UM)), frame)

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"bolts_pass"} == failed(answer)
    assert pytest.approx(-1400, abs=1) == checks_of(answer)["bolts_pass"].margin


def test_holes_on_the_limit_cannot_be_told_by_measuring(registry: Registry) -> None:
    """Holes that only just pass as measured rather do not: each of three bolts has a say in it."""
    frame = claimed(lifted(clearances(CALIPER_UM), "middle", 600))
    answer = answered(registry, claimed(threads(CALIPER_UM)), frame)

    assert Verdict.CANNOT_TELL is answer.verdict
    assert 0.1 < answer.probability < 0.5


def test_holes_on_the_limit_fit_by_a_drawing(registry: Registry) -> None:
    """Holes that only just pass by exact places do pass."""
    frame = claimed(lifted(clearances(), "middle", 600))

    assert Verdict.FITS is answered(registry, claimed(threads()), frame).verdict


@pytest.mark.parametrize(("along", "across"), [(-1, 1), (1, -1)], ids=["front to rear", "upside down"])
def test_holes_that_are_mirrored_do_not_fit(registry: Registry, along: int, across: int) -> None:
    """Holes read from the wrong end or the wrong way up are refused: no small turn brings them over."""
    mirrored = tuple(
        replace(hole, along_um=along * (hole.along_um or 0), across_um=across * hole.across_um)
        for hole in clearances(CALIPER_UM)
    )
    answer = answered(registry, claimed(threads(CALIPER_UM)), claimed(mirrored))

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"bolts_pass"} == failed(answer)


def test_holes_without_a_partner_do_not_fit(registry: Registry) -> None:
    """Holes that share no name are refused, and their axes are not compared."""
    answer = answered(registry, claimed(threads()[:1]), claimed(clearances()[1:]))

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"same_bolts", "same_plane", "same_fastening"} == set(checks_of(answer))


def test_holes_that_nobody_vouches_for_fit_once_the_plane_was_seen(registry: Registry) -> None:
    """Holes at the same places fit without anybody's word, if somebody saw that both sides mount at the flank."""
    boot, frame = (Pattern(holes=holes, seen={"plane": "flank"}) for holes in (threads(), clearances()))

    assert Verdict.FITS is answered(registry, boot, frame).verdict


@pytest.mark.parametrize(("axis", "verdict"), [(3.0, Verdict.FITS), (3.001, Verdict.DOES_NOT_FIT)])
def test_axes_may_differ_by_three_degrees(registry: Registry, axis: float, verdict: Verdict) -> None:
    """Axes off drawings are compared exactly, and on the limit they agree."""
    frame = claimed(leaning(clearances(), "middle", axis))

    assert verdict is answered(registry, claimed(threads()), frame).verdict


def test_axes_on_the_limit_cannot_be_told_by_hand(registry: Registry) -> None:
    """Axes read with a hand protractor on both sides are a toss-up at 3 degrees."""
    frame = claimed(leaning(clearances(CALIPER_UM), "middle", 3.0))
    answer = answered(registry, claimed(threads(CALIPER_UM)), frame)

    assert Verdict.CANNOT_TELL is answer.verdict
    assert pytest.approx(0.5, abs=0.01) == checks_of(answer)["axes_agree"].probability


def test_axes_name_the_bolt_that_is_most_askew(registry: Registry) -> None:
    """Axes are refused at the hole where they differ most, by that much, whatever the sign."""
    frame = claimed(leaning(leaning(clearances(CALIPER_UM), "front", -1.0), "rear", 7.0))
    answer = answered(registry, claimed(threads(CALIPER_UM)), frame)

    assert {"axes_agree"} == failed(answer)
    assert (7000, {"hole": "rear"}) == (
        checks_of(answer)["axes_agree"].value,
        checks_of(answer)["axes_agree"].params,
    )


@pytest.mark.parametrize("known", [0, 2], ids=["of all holes", "of the last hole"])
def test_axes_that_are_missing_are_asked_for(registry: Registry, known: int) -> None:
    """Axes that the frame's holes do not carry leave the answer open, and a protractor reading is the next step."""
    frame = clearances(CALIPER_UM)[:known] + clearances(CALIPER_UM, axis_deg=None)[known:]
    answer = answered(registry, claimed(threads(CALIPER_UM)), claimed(frame))

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert ("frame", "axis_deg", "protractor") == (
        answer.next_step.side,
        answer.next_step.what,
        answer.next_step.instrument,
    )


@pytest.mark.parametrize(("axis_mdeg", "verdict"), [(5000, Verdict.FITS), (12000, Verdict.DOES_NOT_FIT)])
def test_axes_may_be_given_once_for_a_whole_side(registry: Registry, axis_mdeg: int, verdict: Verdict) -> None:
    """Axes that are alike on the frame count as one figure, against 5 degrees on each of the boot's holes."""
    frame = claimed(clearances(CALIPER_UM, axis_deg=None), axis=Quantity(axis_mdeg, rectangular(1000), "protractor"))

    assert verdict is answered(registry, claimed(threads(CALIPER_UM, axis_deg=5.0)), frame).verdict


@pytest.mark.parametrize(
    "measured",
    [
        lambda hole: replace(hole, standard_uncertainty_um=CALIPER_UM),
        lambda hole: replace(hole, along_um=None),
    ],
    ids=["places measured", "places unknown"],
)
def test_axes_carry_the_doubt_of_a_hand_protractor(measured: Callable[[Hole], Hole]) -> None:
    """Axes of holes that are not off a drawing are good to 1 degree to either side, on each of the two sides."""
    boot, frame = (
        JointSide("boot", {}, {}, tuple(measured(hole) for hole in threads())),
        JointSide("frame", {}, {}, tuple(measured(hole) for hole in clearances(axis_deg=2.0))),
    )
    (check,) = axes_agree(Joint("frame", boot, frame))

    assert check.value is not None
    assert pytest.approx((-2000, 2**0.5 * rectangular(1000))) == tuple(check.value)


def test_axes_are_no_matter_of_other_joints() -> None:
    """Axes are not asked about where the sides are not boot and frame."""
    shell, buckle = (JointSide(side, {}, {}, threads()) for side in ("shell", "buckle"))

    assert [] == list(axes_agree(Joint("frame", shell, buckle)))


def test_a_shared_drawing_answers_by_the_makers_word(registry: Registry) -> None:
    """A shared drawing sells itself: the sides fit although nobody measured a place."""
    sides = claimed(drawing_id="flank-a"), claimed(drawing_id="flank-a", by=Claimant.BENCH)

    assert Verdict.FITS is answered(registry, *sides).verdict


@pytest.mark.parametrize("by", [Claimant.CUSTOMER, Claimant.SELLER])
def test_a_shared_drawing_answers_nothing_by_another_word(registry: Registry, by: Claimant) -> None:
    """A shared drawing is not taken from a customer or seller: the holes stay open."""
    answer = answered(registry, claimed(drawing_id="flank-a"), claimed(drawing_id="flank-a", by=by))

    assert Verdict.CANNOT_TELL is answer.verdict
    assert Outcome.NOT_MEASURED is checks_of(answer)["bolts_pass"].outcome


def test_a_shared_drawing_answers_nothing_where_it_is_another_one(registry: Registry) -> None:
    """A shared drawing has to be the same one: the name of the standard alone sells nothing."""
    sides = claimed(drawing_id="flank-a"), claimed(drawing_id="flank-b")

    assert Verdict.CANNOT_TELL is answered(registry, *sides).verdict


def test_a_shared_drawing_does_not_outweigh_places_that_differ(registry: Registry) -> None:
    """A shared drawing says nothing against holes that were measured elsewhere."""
    sides = (
        claimed(threads(), drawing_id="flank-a"),
        claimed(lifted(clearances(), "rear", 2000), drawing_id="flank-a"),
    )

    assert Verdict.DOES_NOT_FIT is answered(registry, *sides).verdict


def test_a_frame_for_the_sole_does_not_fit_a_boot_with_bolts_at_the_flank(registry: Registry) -> None:
    """A frame for the sole is refused on a boot with bolts at the flank, by the plane."""
    answer = answered(registry, claimed(threads()), under_the_sole())

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {"skate_has": "flank", "part_has": "sole"} == checks_of(answer)["same_plane"].params
    assert "same_plane" in failed(answer)


def test_a_frame_for_the_flank_does_not_fit_a_boot_with_bolts_under_the_sole(registry: Registry) -> None:
    """A frame for the flank is refused on a boot with bolts under the sole, by the plane."""
    answer = answered(registry, under_the_sole(), claimed(clearances()))

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert "same_plane" in failed(answer)


@pytest.mark.parametrize(
    ("feature", "boot_has", "frame_has"), [("hand", "left", "right"), ("bolt_count", "three", "two")]
)
def test_the_other_skates_frame_and_another_number_of_bolts_are_refused(
    registry: Registry, feature: str, boot_has: str, frame_has: str
) -> None:
    """The other skate's frame and another number of bolts are refused, though the places that were given agree."""
    sides = claimed(threads(), seen={feature: boot_has}), claimed(clearances(), seen={feature: frame_has})
    answer = answered(registry, *sides)

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert {f"same_{feature}"} == failed(answer)


def test_a_look_at_the_plane_comes_first_where_nothing_is_known(registry: Registry) -> None:
    """A look at the plane is asked for where nothing is known of boot and frame, and until then nothing is told."""
    answer = answered(registry, Pattern(), Pattern())

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert (StepKind.LOOK, "plane") == (answer.next_step.kind, answer.next_step.what)


def test_the_places_of_the_holes_come_next_where_both_are_claimed(registry: Registry) -> None:
    """The places of the holes are asked for where the makers of both sides say that they bolt from the side."""
    answer = answered(registry, claimed(), claimed())

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert (StepKind.MEASURE, "holes") == (answer.next_step.kind, answer.next_step.what)


def test_the_standard_leaves_the_sole_to_its_own_standards(registry: Registry) -> None:
    """The standard lays no hand on a reading under the sole: the answer is nearly what it is without the plugin."""
    alone = assembled([mountwright_frame_spacing.mountwright_standards()])
    boot = Pattern(figures={"hole_spacing_mm": Quantity(165000, rectangular(750), "steel_rule")})
    without, beside = (answered(installed, boot, under_the_sole()) for installed in (alone, registry))

    assert Verdict.FITS is beside.verdict
    assert pytest.approx(without.probability, abs=0.003) == beside.probability


def test_the_standard_invents_no_dimension(registry: Registry) -> None:
    """The standard states no figure, and sides do not go together by its name."""
    standard = registry.standards["side-bolts-measured"]

    assert ({}, False) == (dict(standard.nominals), standard.interchange)


@pytest.mark.parametrize("fits", [True, False])
def test_the_standard_warns_whatever_the_verdict(registry: Registry, fits: bool) -> None:
    """The standard warns of the drill and points to the maker's sheet, in a yes as in a no."""
    frame = claimed(clearances() if fits else lifted(clearances(), "rear", 2000))
    cautions = answered(registry, claimed(threads()), frame).joints[0].cautions

    assert ("side_mount.no_new_holes", "side_mount.makers_sheet") == cautions
    assert "cannot be undone" in registry.messages[cautions[0]]


def test_the_standard_has_a_sentence_for_every_refusal_and_look(registry: Registry) -> None:
    """The standard comes with a sentence for each check that can fail, each look and each caution."""
    standard = registry.standards["side-bolts-measured"]
    codes = {f"{rule.code}.fail" for rule in standard.family.rules if hasattr(rule, "code")} | {"axes_agree.fail"}
    wanted = {f"side_mount.{code}" for code in codes | {f"look.{feature}" for feature in standard.family.looks}}

    assert set() == wanted.union(standard.cautions) - set(registry.messages)


def test_the_standard_is_explained_to_the_last_figure(registry: Registry) -> None:
    """The standard can be measured by the page that comes with it: everything to look at or measure is named there."""
    page = resources.files(mountwright_side_mount).joinpath("README.md").read_text(encoding="utf-8")
    family = registry.standards["side-bolts-measured"].family
    named = (*family.looks, *family.dimensions, "along_mm", "across_mm", "diameter_mm", "tapped", "drawing_id")

    assert [] == [name for name in named if f"`{name}`" not in page]


@pytest.mark.parametrize(
    ("frame", "code", "sentence"),
    [
        (
            claimed(lifted(clearances(), "middle", 2000)),
            "bolts_pass",
            "Not every bolt goes through: the holes would have to be 1.4 mm wider. Do not widen them.",
        ),
        (
            claimed(leaning(clearances(), "front", -8.0)),
            "axes_agree",
            "The bolt at hole front would come in askew by 8°; 3° are taken up.",
        ),
        (
            claimed(clearances(), seen={"hand": "right"}),
            "same_hand",
            "The boot is a left one, the frame belongs under the right skate: it needs the other skate.",
        ),
    ],
    ids=["places", "axes", "hand"],
)
def test_a_refusal_says_by_how_much(registry: Registry, frame: Pattern, code: str, sentence: str) -> None:
    """A refusal reads as a sentence with the figures that a fitter needs."""
    check = checks_of(answered(registry, claimed(threads(), seen={"hand": "left"}), frame))[code]

    assert sentence == check_message(check, catalogue(registry.messages))
