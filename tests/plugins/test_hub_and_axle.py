"""Bearings in hubs, bearings on axles, axles in frames: the trade's cases through the fit check."""

from __future__ import annotations

import re

import pytest

import mountwright_hub_and_axle as plugin
from mountwright.fitting.answers import JointAnswer, Outcome, StepKind
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import Finding, identified
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.lending import Lender, with_loans
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.rules import Stack

#: A Normal-class bearing of 7 mm: 0 to 0.12 narrower (ISO 492).
_NORMAL_WIDTH = (6.94, 0.06)


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give a registry with this plugin's three families only."""
    return assembled(plugin.mountwright_standards())


def _mount(
    position: str,
    side: str,
    standard: str | None = None,
    *,
    claimed_by: Claimant = Claimant.MAKER,
    seen: dict[str, str] | None = None,
    **figures: tuple[float, float],
) -> Mount:
    read = {name: Quantity(thousandths(v), rectangular(half * 1000), "caliper") for name, (v, half) in figures.items()}
    claim = (standard, claimed_by) if standard else (None, None)
    return Mount(position, side, (Pattern("", *claim, figures=read, seen=seen or {}),))


def _judged(skate: Mount, part: Mount, registry: Registry) -> JointAnswer:
    answer = fit_checked(FitRequest(Part("", (skate,)), (Part("", (part,)),)), registry, estimates())
    return answer.parts[0].joints[0]


def _failed(joint: JointAnswer) -> list[str]:
    return [check.code for check in joint.checks if check.outcome is Outcome.FAIL]


def _probability(joint: JointAnswer, code: str) -> float:
    return next(check.probability for check in joint.checks if check.code == code)


def _stack(inside_width_mm: float, half_width_mm: float, registry: Registry) -> JointAnswer:
    frame = _mount("axle", "axle", "axle-8", inside_width_mm=(inside_width_mm, half_width_mm))
    pieces = {"bearing_width_mm": _NORMAL_WIDTH, "spacer_length_mm": (10.2, half_width_mm)}
    return _judged(frame, _mount("axle", "bearing", "axle-8", **pieces), registry)


def _judged_with(lenders: list[Lender], skate: Mount, part: Mount, registry: Registry) -> JointAnswer:
    lent, others = (with_loans(mount, lenders, registry)[0] for mount in (skate, part))
    return _judged(lent, others, registry)


class TestABearingInAHub:
    """A bearing in a hub ..."""

    def test_of_its_own_size_fits_by_the_makers_word(self, registry: Registry) -> None:
        """... fits where both makers say 608."""
        joint = _judged(_mount("hub", "wheel", "hub-608"), _mount("hub", "bearing", "hub-608"), registry)
        assert joint.verdict is Verdict.FITS

    def test_too_large_by_6_mm_does_not_fit(self, registry: Registry) -> None:
        """... does not fit if the hub is for 688 and the bearing a 608: the check of the seat says so."""
        joint = _judged(_mount("hub", "wheel", "hub-688"), _mount("hub", "bearing", "hub-608"), registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert ["bearing_in_hub"] == _failed(joint)

    @pytest.mark.parametrize("width_mm", [4.0, 5.0])
    def test_of_688_may_be_open_or_shielded(self, width_mm: float, registry: Registry) -> None:
        """... fits open, 4 mm wide, and shielded, 5 mm wide, where both are 688; a caution asks for the width."""
        bearing = _mount("hub", "bearing", "hub-688", bearing_width_mm=(width_mm, 0.06))
        joint = _judged(_mount("hub", "wheel", "hub-688"), bearing, registry)
        assert (Verdict.FITS, ()) == (joint.verdict, joint.contradictions)
        assert "hub.width_varies" in joint.cautions

    def test_of_608_that_is_5_mm_wide_contradicts_its_claim(self, registry: Registry) -> None:
        """... that is sold as 608 and 5 mm wide contradicts its claim."""
        bearing = _mount("hub", "bearing", "hub-608", bearing_width_mm=(5.0, 0.06))
        joint = _judged(_mount("hub", "wheel", "hub-608"), bearing, registry)
        assert ["bearing_width_mm"] == [found.what for found in joint.contradictions]

    def test_that_falls_out_never_fits(self, registry: Registry) -> None:
        """... that fell out when somebody tried it does not fit, whatever the makers say."""
        wheel = _mount("hub", "wheel", "hub-608", seen={"seat": "falls_out"})
        joint = _judged(wheel, _mount("hub", "bearing", "hub-608"), registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert ["seat_holds"] == _failed(joint)

    @pytest.mark.parametrize("answer", ["thumb_press", "press"])
    def test_that_was_pressed_in_fits(self, answer: str, registry: Registry) -> None:
        """... that went in under the thumb or in the press fits."""
        bearing = _mount("hub", "bearing", "hub-608", seen={"seat": answer})
        joint = _judged(_mount("hub", "wheel", "hub-608"), bearing, registry)
        assert joint.verdict is Verdict.FITS

    def test_worn_half_a_millimetre_too_wide_does_not_fit(self, registry: Registry) -> None:
        """... does not hold in a seat worn to 22.5 mm."""
        wheel = _mount("hub", "wheel", seat_diameter_mm=(22.5, 0.2))
        joint = _judged(wheel, _mount("hub", "bearing", "hub-608"), registry)
        assert ["bearing_in_hub"] == _failed(joint)


class TestASpacerInAHub:
    """A spacer between two bearings in a hub ..."""

    def test_too_short_by_3_tenths_loads_the_bearings_from_the_side(self, registry: Registry) -> None:
        """... 0.3 mm shorter than the seats are apart does not fit, by that check alone."""
        wheel = _mount("hub", "wheel", "hub-608", seat_distance_mm=(10.3, 0.05))
        bearing = _mount("hub", "bearing", "hub-608", spacer_length_mm=(10.0, 0.05))
        joint = _judged(wheel, bearing, registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert ["side_load"] == _failed(joint)

    def test_a_tenth_too_long_fits(self, registry: Registry) -> None:
        """... a little longer than the seats are apart is as it should be."""
        wheel = _mount("hub", "wheel", "hub-608", seat_distance_mm=(10.2, 0.03))
        bearing = _mount("hub", "bearing", "hub-608", spacer_length_mm=(10.3, 0.03))
        assert _judged(wheel, bearing, registry).verdict is Verdict.FITS

    def test_that_nobody_measured_is_asked_for(self, registry: Registry) -> None:
        """... is asked for once the seats were measured and only sellers stand behind the sizes."""
        wheel = _mount("hub", "wheel", "hub-608", claimed_by=Claimant.SELLER, seat_distance_mm=(10.2, 0.03))
        joint = _judged(wheel, _mount("hub", "bearing", "hub-608"), registry)
        assert joint.verdict is Verdict.CANNOT_TELL
        assert joint.next_step is not None
        assert ("bearing", "spacer_length_mm") == (joint.next_step.side, joint.next_step.what)


class TestABearingOnAnAxle:
    """A bearing on an axle ..."""

    @pytest.mark.parametrize("standard", ["axle-8", "axle-7", "axle-6"])
    def test_of_its_own_size_fits(self, standard: str, registry: Registry) -> None:
        """... of its own bore fits by the sellers' word, by the figures and not for the claim alone."""
        sides = [_mount("axle", side, standard, claimed_by=Claimant.SELLER) for side in ("axle", "bearing")]
        assert _judged(*sides, registry).verdict is Verdict.FITS

    def test_608_rattles_on_7_mm(self, registry: Registry) -> None:
        """... of 7 mm rattles by 1 mm if it is a 608: it does not fit."""
        joint = _judged(_mount("axle", "axle", "axle-7"), _mount("axle", "bearing", "axle-8"), registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert ["bearing_loose"] == _failed(joint)

    def test_627_does_not_go_on_8_mm(self, registry: Registry) -> None:
        """... of 8 mm does not go on if it is a 627, though its outside is that of a 608."""
        joint = _judged(_mount("axle", "axle", "axle-8"), _mount("axle", "bearing", "axle-7"), registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert ["bearing_on_axle"] == _failed(joint)

    @pytest.mark.parametrize("sides", [("axle", "bearing"), ("bearing", "axle")])
    def test_608_goes_on_6_mm_with_a_sleeve(self, sides: tuple[str, str], registry: Registry) -> None:
        """... of 6 mm fits with a sleeve if it is a 608, whichever of the two the skate has."""
        sizes = {"axle": "axle-6", "bearing": "axle-8"}
        joint = _judged(*(_mount("axle", side, sizes[side]) for side in sides), registry)
        assert joint.verdict is Verdict.FITS_WITH_PARTS
        assert ["adapter"] == [need.kind for need in joint.needs]

    @pytest.mark.parametrize("sides", [("axle", "bearing"), ("bearing", "axle")])
    def test_no_sleeve_widens_a_bore(self, sides: tuple[str, str], registry: Registry) -> None:
        """... of 8 mm never goes on with a bore of 6: a sleeve is no answer to that."""
        sizes = {"axle": "axle-8", "bearing": "axle-6"}
        joint = _judged(*(_mount("axle", side, sizes[side]) for side in sides), registry)
        assert (Verdict.DOES_NOT_FIT, ()) == (joint.verdict, joint.needs)

    def test_of_6_3_mm_takes_no_sleeve_for_6(self, registry: Registry) -> None:
        """... of 6.3 mm is not helped by the sleeve for 6, and a caution names the pair."""
        joint = _judged(_mount("axle", "axle", "axle-6-3"), _mount("axle", "bearing", "axle-8"), registry)
        assert joint.verdict is Verdict.DOES_NOT_FIT
        assert "axle.six_or_six_three" in joint.cautions


class TestAnAxleByItself:
    """An axle of unknown standard ..."""

    def test_between_6_and_6_3_stays_open(self, registry: Registry) -> None:
        """... that a caliper reads as 6.1 is not called either."""
        found, *_ = identified(_mount("axle", "axle", diameter_mm=(6.1, 0.2)), registry, estimates())
        assert found.finding is Finding.SPLIT
        assert {"axle-6", "axle-6-3"} == {candidate.standard for candidate in found.candidates[:2]}

    def test_of_5_mm_is_unknown(self, registry: Registry) -> None:
        """... of 5 mm follows no installed standard."""
        found, *_ = identified(_mount("axle", "axle", diameter_mm=(5.0, 0.2)), registry, estimates())
        assert found.finding is Finding.UNKNOWN


class TestTheStackBetweenTheWalls:
    """Two bearings of 7 mm and a spacer of 10.2 between a frame's walls ..."""

    @pytest.mark.parametrize("half_width_mm", [0.05, 0.075, 0.1])
    def test_in_24_0_mm_cannot_be_told(self, half_width_mm: float, registry: Registry) -> None:
        """... 24.0 mm apart make them spread with a probability of 0.80 to 0.90: nobody can tell, the stack decides."""
        joint = _stack(24.0, half_width_mm, registry)
        open_checks = [check.code for check in joint.checks if check.outcome is Outcome.UNDECIDED]
        assert (Verdict.CANNOT_TELL, ["stack_in_frame"]) == (joint.verdict, open_checks)
        assert 0.80 <= round(1 - _probability(joint, "stack_in_frame"), 2) <= 0.90

    def test_in_24_0_mm_are_to_be_measured(self, registry: Registry) -> None:
        """... 24.0 mm apart are to be measured next, held together, and the step says so."""
        step = _stack(24.0, 0.05, registry).next_step
        assert step is not None
        assert (StepKind.MEASURE, "axle.stack_in_frame.step") == (step.kind, step.code)
        assert step.code in registry.messages

    @pytest.mark.parametrize("half_width_mm", [0.05, 0.1])
    def test_in_23_8_mm_do_not_fit(self, half_width_mm: float, registry: Registry) -> None:
        """... 23.8 mm apart make them spread with at least 0.998."""
        joint = _stack(23.8, half_width_mm, registry)
        assert (Verdict.DOES_NOT_FIT, ["stack_in_frame"]) == (joint.verdict, _failed(joint))
        assert _probability(joint, "stack_in_frame") <= 0.002

    def test_in_24_3_mm_fit(self, registry: Registry) -> None:
        """... 24.3 mm apart have a little side play and fit."""
        assert _stack(24.3, 0.05, registry).verdict is Verdict.FITS

    def test_in_25_mm_have_too_much_side_play(self, registry: Registry) -> None:
        """... 25 mm apart leave most of a millimetre of side play, which is too much."""
        joint = _stack(25.0, 0.05, registry)
        assert (Verdict.DOES_NOT_FIT, ["side_play"]) == (joint.verdict, _failed(joint))

    def test_that_nobody_measured_are_left_out(self, registry: Registry) -> None:
        """... are not judged while nobody recorded a length: the diameters answer alone."""
        joint = _judged(_mount("axle", "axle", "axle-8"), _mount("axle", "bearing", "axle-8"), registry)
        assert ["bearing_on_axle", "bearing_loose"] == [check.code for check in joint.checks]


class TestAnAxleInAFrame:
    """An axle in a frame ..."""

    @pytest.mark.parametrize("size", ["8", "7", "6", "6-3"])
    def test_of_its_own_size_fits_with_a_caution_about_the_nut(self, size: str, registry: Registry) -> None:
        """... of its own size fits, and a self-locking nut is to be replaced."""
        sides = [_mount("axle_place", side, f"axle-place-{size}") for side in ("frame", "axle")]
        joint = _judged(*sides, registry)
        assert joint.verdict is Verdict.FITS
        assert "axle_place.lock_nut" in joint.cautions

    @pytest.mark.parametrize(("frame", "axle", "code"), [("6", "8", "axle_in_frame"), ("8", "6", "axle_loose")])
    def test_of_another_size_does_not_fit(self, frame: str, axle: str, code: str, registry: Registry) -> None:
        """... too thick does not go in, too thin does not stay in line: each by its own check."""
        place = _mount("axle_place", "frame", f"axle-place-{frame}")
        joint = _judged(place, _mount("axle_place", "axle", f"axle-place-{axle}"), registry)
        assert (Verdict.DOES_NOT_FIT, [code]) == (joint.verdict, _failed(joint))

    def test_too_short_does_not_reach(self, registry: Registry) -> None:
        """... 4 mm shorter than the frame is wide leaves its thread empty."""
        place = _mount("axle_place", "frame", "axle-place-8", outside_width_mm=(32.0, 0.2))
        axle = _mount("axle_place", "axle", "axle-place-8", under_head_length_mm=(28.0, 0.2))
        assert ["axle_reaches"] == _failed(_judged(place, axle, registry))

    @pytest.mark.parametrize(
        ("axle", "verdict"),
        [
            ("threaded_frame", Verdict.FITS),
            ("nut", Verdict.DOES_NOT_FIT),
            ("two_piece", Verdict.DOES_NOT_FIT),
        ],
    )
    def test_with_a_thread_takes_its_own_axle_only(self, axle: str, verdict: Verdict, registry: Registry) -> None:
        """... with a thread in the far wall takes the axle that screws into it and no other."""
        place = _mount("axle_place", "frame", "axle-place-8", seen={"fastening": "threaded_frame"})
        joint = _judged(place, _mount("axle_place", "axle", "axle-place-8", seen={"fastening": axle}), registry)
        assert joint.verdict is verdict

    def test_with_plain_holes_may_take_another_fastening(self, registry: Registry) -> None:
        """... that had a nut may take a two-piece axle: that is left open, not refused."""
        place = _mount("axle_place", "frame", "axle-place-8", seen={"fastening": "nut"})
        axle = _mount("axle_place", "axle", "axle-place-8", seen={"fastening": "two_piece"})
        assert _judged(place, axle, registry).verdict is Verdict.CANNOT_TELL

    def test_of_another_thread_does_not_fit(self, registry: Registry) -> None:
        """... does not take an axle of another thread."""
        place = _mount("axle_place", "frame", "axle-place-8", seen={"thread": "m8"})
        axle = _mount("axle_place", "axle", "axle-place-8", seen={"thread": "m6"})
        assert ["same_thread"] == _failed(_judged(place, axle, registry))


class TestWhatTheSetUpLends:
    """What the articles of a set-up say of themselves ..."""

    @pytest.mark.parametrize(
        ("inside_width_mm", "verdict", "opened"),
        [
            (23.8, Verdict.DOES_NOT_FIT, "stack_in_frame"),
            (24.0, Verdict.CANNOT_TELL, "stack_in_frame"),
            (24.3, Verdict.FITS, None),
            (25.0, Verdict.DOES_NOT_FIT, "side_play"),
        ],
    )
    def test_judges_the_stack_between_the_walls(
        self, inside_width_mm: float, verdict: Verdict, opened: str | None, registry: Registry
    ) -> None:
        """... judges two bearings of 7 mm and a spacer of 10.2 in a frame as what was measured does."""
        lenders = [
            Lender("frame", {"inside_width_mm": inside_width_mm}),
            Lender("bearing", {"width_mm": 7}),
            Lender("spacer", {"length_mm": 10.2}),
        ]
        joint = _judged_with(lenders, _mount("axle", "axle", "axle-8"), _mount("axle", "bearing", "axle-8"), registry)
        passed = {check.code for check in joint.checks if check.outcome is Outcome.PASS}

        assert verdict is joint.verdict
        assert {"bearing_on_axle", "bearing_loose", "stack_in_frame", "side_play"} - {opened} == passed

    def test_takes_a_bearing_for_as_narrow_as_it_may_be(self, registry: Registry) -> None:
        """... takes a bearing of 7 mm for 0 to 0.12 narrower (ISO 492), on the axle as in the hub."""
        for position, standard in (("axle", "axle-8"), ("hub", "hub-608")):
            bearing = _mount(position, "bearing", standard)
            (lent,) = with_loans(bearing, [Lender("bearing", {"width_mm": 7})], registry)[0].patterns
            assert {"bearing_width_mm": Quantity(6940, rectangular(60), "catalogue")} == lent.figures

    @pytest.mark.parametrize(("spacer_mm", "failed"), [(10.0, ["side_load"]), (10.8, [])])
    def test_judges_the_spacer_in_a_hub(self, spacer_mm: float, failed: list[str], registry: Registry) -> None:
        """... finds a spacer shorter than the seats are apart, and one that is not."""
        wheel = _mount("hub", "wheel", "hub-608", seat_distance_mm=(10.4, 0.05))
        lenders = [Lender("spacer", {"length_mm": spacer_mm})]
        joint = _judged_with(lenders, wheel, _mount("hub", "bearing", "hub-608"), registry)

        assert failed == _failed(joint)
        assert "side_load" in [check.code for check in joint.checks]

    def test_contradicts_a_bearing_that_is_of_another_width_than_claimed(self, registry: Registry) -> None:
        """... contradicts a bearing that is sold as 608 and 5 mm wide."""
        lenders = [Lender("bearing", {"width_mm": 5})]
        joint = _judged_with(lenders, _mount("hub", "wheel", "hub-608"), _mount("hub", "bearing", "hub-608"), registry)
        assert ["bearing_width_mm"] == [found.what for found in joint.contradictions]

    @pytest.mark.parametrize(("length_mm", "failed"), [(28, ["axle_reaches"]), (34, [])])
    def test_judges_how_far_an_axle_reaches(self, length_mm: float, failed: list[str], registry: Registry) -> None:
        """... finds an axle that ends before the far face of a frame 32 mm wide, and one that does not."""
        frame = _mount("axle_place", "frame", "axle-place-8", outside_width_mm=(32.0, 0.2))
        lenders = [Lender("axle", {"under_head_length_mm": length_mm, "diameter_mm": 8})]
        joint = _judged_with(lenders, frame, _mount("axle_place", "axle", "axle-place-8"), registry)

        assert failed == _failed(joint)
        assert "axle_reaches" in [check.code for check in joint.checks]

    @pytest.mark.parametrize(("diameter_mm", "failed"), [(6, ["axle_loose"]), (8, []), (10, ["axle_in_frame"])])
    def test_judges_an_axle_of_no_claimed_standard(
        self, diameter_mm: float, failed: list[str], registry: Registry
    ) -> None:
        """... finds an axle too thin and one too thick for a frame's place of 8 mm, whatever it may follow."""
        lenders = [Lender("axle", {"diameter_mm": diameter_mm})]
        frame = _mount("axle_place", "frame", "axle-place-8", hole_diameter_mm=(8.1, 0.05))

        assert failed == _failed(_judged_with(lenders, frame, _mount("axle_place", "axle"), registry))

    @pytest.mark.parametrize(("position", "side"), [("axle", "axle"), ("axle_place", "frame"), ("hub", "wheel")])
    def test_stays_on_its_own_side(self, position: str, side: str, registry: Registry) -> None:
        """... give the other side of a joint nothing: no wheel has a spacer's length, and no frame an axle's."""
        lenders = [
            Lender("bearing", {"width_mm": 7}),
            Lender("spacer", {"length_mm": 10.2}),
            Lender("axle", {"diameter_mm": 8, "under_head_length_mm": 34}),
        ]
        mount = _mount(position, side)
        assert (mount, ()) == with_loans(mount, lenders, registry)


class TestWhatTheFilesSay:
    """The files of the plugin ..."""

    def test_have_a_sentence_for_every_caution_and_look(self, registry: Registry) -> None:
        """... have a sentence for each caution and each look that they can give."""
        cautions = {code for standard in registry.standards.values() for code in standard.cautions}
        cautions |= {code for conversion in registry.conversions for code in conversion.cautions}
        families = {standard.family for standard in registry.standards.values()}
        looks = {f"{family.name}.look.{feature}" for family in families for feature in family.looks}
        assert set() == (cautions | looks) - registry.messages.keys()

    def test_mark_every_limit_that_is_a_choice(self, registry: Registry) -> None:
        """... give a range for each limit that is neither geometry nor a standard's."""
        families = {standard.family for standard in registry.standards.values()}
        stacks = [rule for family in families for rule in family.rules if isinstance(rule, Stack)]
        chosen = [stack.source for stack in stacks if not stack.source.startswith("geometry")]
        assert [] == [source for source in chosen if not re.search(r"estimate.*\d to [\d.]*\d", source)]
        assert ["side_load", "stack_in_frame"] == sorted(s.code for s in stacks if s.source.startswith("geometry"))
