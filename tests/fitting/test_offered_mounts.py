"""What a part offers to others needs no partner on the skate; what holds it to the skate does."""

from __future__ import annotations

import pytest

from mountwright.fitting.answers import PartAnswer
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry


def mount(position: str, side: str, standard: str) -> Mount:
    """Give a mount that its maker claims to follow a standard."""
    return Mount(position, side, (Pattern(standard=standard, claimed_by=Claimant.MAKER),))


BOOT = mount("frame", "boot", "two-bolt-165")
DECK, AXLE_PLACES = mount("frame", "frame", "two-bolt-165"), mount("axle_place", "frame", "axle-place-8")
AXLE_IN_FRAME, AXLE = mount("axle_place", "axle", "axle-place-8"), mount("axle", "axle", "axle-8")
SMALLER_AXLES, BEARING_BORE = mount("axle_place", "axle", "axle-place-6"), mount("axle", "bearing", "axle-8")


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


def judged(registry: Registry, skate: tuple[Mount, ...], part: tuple[Mount, ...]) -> PartAnswer:
    """Judge one part on one skate."""
    return fit_checked(FitRequest(Part("", skate), (Part("part", part),)), registry, estimates()).parts[0]


def test_a_frame_goes_on_a_bare_boot(registry: Registry) -> None:
    """The places of its axles are there for axles to come; a boot has none to ask."""
    answer = judged(registry, (BOOT,), (DECK, AXLE_PLACES))

    assert Verdict.FITS is answer.verdict
    assert ["frame"] == [joint.position for joint in answer.joints]


def test_the_order_of_a_parts_mounts_says_nothing(registry: Registry) -> None:
    """What is offered is passed over wherever it stands."""
    answer = judged(registry, (BOOT,), (AXLE_PLACES, DECK))

    assert (Verdict.FITS, 1) == (answer.verdict, len(answer.joints))


def test_what_is_offered_is_judged_where_the_skate_has_its_partner(registry: Registry) -> None:
    """The frame goes on, and the old axles do not go in it: it takes other axles."""
    answer = judged(registry, (BOOT, SMALLER_AXLES), (DECK, AXLE_PLACES))

    assert Verdict.FITS_WITH_PARTS is answer.verdict
    assert [("frame", Verdict.FITS), ("axle_place", Verdict.DOES_NOT_FIT)] == [
        (joint.position, joint.verdict) for joint in answer.joints
    ]
    assert 0.95 <= answer.probability


def test_a_part_that_is_all_offer_does_not_fit_what_it_does_not_take(registry: Registry) -> None:
    """A wheel is held by its hub alone: where that does not take the bearings, nothing holds it."""
    bearing, wheel = mount("hub", "bearing", "hub-608"), mount("hub", "wheel", "hub-688")

    assert Verdict.DOES_NOT_FIT is judged(registry, (bearing,), (wheel,)).verdict


def test_what_does_not_hold_a_part_is_not_excused_by_what_it_offers(registry: Registry) -> None:
    """A frame of another spacing does not go on, whatever axles it takes."""
    boot = mount("frame", "boot", "two-bolt-195")

    assert (
        Verdict.DOES_NOT_FIT
        is judged(registry, (boot, AXLE_IN_FRAME), (mount("frame", "frame", "two-bolt-150"), AXLE_PLACES)).verdict
    )


def test_an_axle_offers_itself_to_bearings(registry: Registry) -> None:
    """An axle is held by the frame; the bearings on it may come later."""
    answer = judged(registry, (AXLE_PLACES,), (AXLE_IN_FRAME, AXLE))

    assert ["axle_place"] == [joint.position for joint in answer.joints]


def test_a_part_that_only_offers_still_gets_a_step(registry: Registry) -> None:
    """Of a part that nothing holds to the skate nobody can tell whether it goes on."""
    answer = judged(registry, (BOOT,), (AXLE_PLACES,))

    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.next_step is not None
    assert ("step.describe_skate", "axle_place") == (answer.next_step.code, answer.next_step.what)


def test_what_holds_a_part_is_never_passed_over(registry: Registry) -> None:
    """A frame whose deck cannot be asked is not found to go on by its axles alone."""
    answer = judged(registry, (AXLE_IN_FRAME,), (DECK, AXLE_PLACES))

    assert (Verdict.CANNOT_TELL, 2) == (answer.verdict, len(answer.joints))


def test_a_mount_that_holds_lets_an_offer_pass_even_without_its_partner(registry: Registry) -> None:
    """A frame on a skate of which only the wheels are known: the deck is asked about, the axles' places are not."""
    answer = judged(registry, (mount("hub", "wheel", "hub-608"),), (DECK, AXLE_PLACES))

    assert [("frame", Verdict.CANNOT_TELL)] == [(joint.position, joint.verdict) for joint in answer.joints]


def test_bearings_are_held_at_both_of_their_seats(registry: Registry) -> None:
    """A bearing needs the hub and the axle: neither of its sides is the skate's."""
    answer = judged(registry, (AXLE,), (mount("hub", "bearing", "hub-608"), BEARING_BORE))

    assert [Verdict.CANNOT_TELL, Verdict.FITS] == [joint.verdict for joint in answer.joints]


def test_an_offer_at_a_position_that_nothing_serves_is_not_known_to_be_one(registry: Registry) -> None:
    """Which side is the skate's only an installed standard can say."""
    answer = judged(registry, (BOOT,), (DECK, Mount("lamp_rail", "cuff", (Pattern(),))))

    assert Verdict.CANNOT_TELL is answer.verdict
