"""Questions of the trade, asked over HTTP, and what a master fitter would answer. Dimensions: common practice."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

Json = dict[str, Any]
Ask = Callable[..., Json]
Identify = Callable[[Json], Json]


def mount(position: str = "frame", standard: str | None = None, claimed_by: str = "maker", **more: Any) -> Json:
    """Give a mount as a request has it."""
    claim = {"standard": standard, "claimed_by": claimed_by} if standard else {}
    return {"position": position, **claim, **more}


def part(kind: str, *mounts: Json) -> Json:
    """Give a part as a request has it."""
    return {"kind": kind, "mounts": list(mounts)}


def frame(standard: str | None = None, **more: Any) -> Json:
    """Give a frame with one mount."""
    return part("frame", mount("frame", standard, **more))


def rule(value: float) -> Json:
    """Give a reading by steel rule, centre to centre."""
    return {"value": value, "instrument": "steel_rule", "method": "centre_to_centre"}


def caliper(value: float) -> Json:
    """Give a reading by caliper."""
    return {"value": value, "instrument": "caliper"}


def drawn(value: float) -> Json:
    """Give an exact figure."""
    return {"value": value, "instrument": "maker_drawing"}


def holes(slot_length_mm: float | None = None, slot_direction_deg: float = 0) -> list[Json]:
    """Give two 6.6 mm holes, the front one slotted where a slot is asked for."""
    slot = {"slot_length_mm": slot_length_mm, "slot_direction_deg": slot_direction_deg} if slot_length_mm else {}
    return [{"name": "front", "diameter_mm": 6.6, **slot}, {"name": "rear", "diameter_mm": 6.6}]


def check(answer: Json, code: str, index: int = 0) -> Json:
    """Give one check of a part by its code."""
    found: Json = next(each for each in answer["parts"][index]["checks"] if each["code"] == code)
    return found


# 1 ---------------------------------------------------------------------------------------------------------------


def test_a_165_frame_goes_on_a_165_boot_by_name_alone(check_fit: Ask) -> None:
    """The same interchange standard on both sides, claimed by the maker, answers by itself."""
    assert check_fit(mount(standard="two-bolt-165"), frame("two-bolt-165"))["verdict"] == "fits"


def test_a_165_frame_never_goes_on_a_195_boot_by_stretching(check_fit: Ask) -> None:
    """Thirty millimetres are bridged by an adapter, whose height is said to be unknown, or not at all."""
    answer = check_fit(mount(standard="two-bolt-195"), frame("two-bolt-165"))

    assert answer["verdict"] in ("does_not_fit", "fits_with_parts")
    assert check(answer, "bolts_pass")["outcome"] == "fail"
    assert [need["kind"] for need in answer["parts"][0]["needs"]] == ["adapter"]
    assert answer["parts"][0]["needs"][0]["added_height_mm"] is None


# 2 ---------------------------------------------------------------------------------------------------------------


def test_a_flat_frame_on_a_raised_heel_fails_on_the_heel_plane(check_fit: Ask) -> None:
    """The heel plane is about 10 mm off; the 2 mm of spacing are judged on their own."""
    answer = check_fit(mount(standard="two-bolt-165"), frame("flat-167"))

    assert answer["verdict"] != "fits"
    assert check(answer, "heel_plane")["outcome"] == "fail"
    assert check(answer, "heel_plane")["value_mm"] == pytest.approx(10, abs=0.5)
    assert check(answer, "bolts_pass")["value_mm"] == pytest.approx(2, abs=0.01)


def test_round_holes_refuse_two_millimetres(check_fit: Ask) -> None:
    """Two 6.6 mm holes take 0.6 mm and no more."""
    answer = check_fit(mount(standard="two-bolt-165"), frame("flat-167", holes=holes()))

    assert check(answer, "bolts_pass")["outcome"] == "fail"
    assert check(answer, "bolts_pass")["limits_mm"] == [0, 0.6]


def test_a_slot_of_9_4_mm_takes_two_millimetres_when_drawings_are_exact(check_fit: Ask) -> None:
    """On the limit an exact part passes (HF-056: one 9.4 mm slot and one 6.6 mm hole take 2.0 mm)."""
    boot = mount(dimensions={"hole_spacing_mm": drawn(165), "heel_step_mm": drawn(0)}, seen={"fastening": "bolts"})
    flat = frame("flat-167", dimensions={"hole_spacing_mm": drawn(167), "heel_step_mm": drawn(0)}, holes=holes(9.4))
    passed = check(check_fit(boot, flat), "bolts_pass")

    assert (passed["outcome"], passed["value_mm"], passed["margin_mm"]) == ("pass", 2.0, 0.0)


def test_the_same_slot_cannot_be_told_when_the_sides_were_measured(check_fit: Ask) -> None:
    """On the limit a measured part passes with one half, whatever the instrument."""
    boot = mount(dimensions={"hole_spacing_mm": caliper(165), "heel_step_mm": caliper(0)})
    flat = frame(dimensions={"hole_spacing_mm": caliper(167), "heel_step_mm": caliper(0)}, holes=holes(9.4))
    answer = check_fit(boot, flat)

    assert answer["verdict"] == "cannot_tell"
    assert check(answer, "bolts_pass")["probability"] == pytest.approx(0.5, abs=0.02)


def test_a_slot_of_11_mm_takes_two_millimetres(check_fit: Ask) -> None:
    """A slot of 11 mm and a 6.6 mm hole take 2.8 mm: the spacing passes, the heel plane still does not."""
    answer = check_fit(mount(standard="two-bolt-165"), frame("flat-167", holes=holes(11)))

    assert check(answer, "bolts_pass")["outcome"] == "pass"
    assert answer["verdict"] == "does_not_fit"


def test_a_slot_across_the_foot_gives_nothing_along_it(check_fit: Ask) -> None:
    """A slot helps only in the direction that it runs in."""
    answer = check_fit(mount(standard="two-bolt-165"), frame("flat-167", holes=holes(11, slot_direction_deg=90)))

    assert check(answer, "bolts_pass")["outcome"] == "fail"
    assert check(answer, "bolts_pass")["limits_mm"] == [0, 0.6]


# 3 ---------------------------------------------------------------------------------------------------------------


def test_166_mm_by_rule_is_split_and_the_next_step_is_a_look_at_the_heel(identify: Identify) -> None:
    """Between 165 and 167 a rule cannot choose, the heel can."""
    found = identify(mount(dimensions={"hole_spacing_mm": rule(166)}))
    leading = {each["standard"] for each in found["candidates"][:2]}

    assert found["finding"] == "split"
    assert leading == {"two-bolt-165", "flat-167"}
    assert (found["next_step"]["kind"], found["next_step"]["what"]) == ("look", "heel")


def test_166_mm_by_caliper_with_a_raised_heel_is_165_and_one_millimetre_out(identify: Identify) -> None:
    """The family is clear, the millimetre is said, and a trial fit by hand comes next."""
    found = identify(mount(dimensions={"hole_spacing_mm": caliper(166), "heel_step_mm": rule(10)}))
    spacing = next(each for each in found["candidates"][0]["distances"] if each["dimension"] == "hole_spacing_mm")

    assert (found["finding"], found["candidates"][0]["standard"]) == ("identified", "two-bolt-165")
    assert spacing["difference"] == 1.0
    assert found["next_step"]["kind"] == "trial_fit"
    assert "1 mm out" in found["next_step"]["message"]


def test_whether_a_165_frame_goes_on_that_boot_is_decided_by_its_holes(check_fit: Ask) -> None:
    """One millimetre out: round holes refuse it, an 11 mm slot takes it, unseen holes are looked at first."""
    boot = mount(dimensions={"hole_spacing_mm": caliper(166), "heel_step_mm": caliper(10)}, seen={"fastening": "bolts"})
    unseen = check_fit(boot, frame("two-bolt-165"))

    assert check_fit(boot, frame("two-bolt-165", holes=holes()))["verdict"] == "does_not_fit"
    assert check(check_fit(boot, frame("two-bolt-165", holes=holes(11))), "bolts_pass")["outcome"] == "pass"
    assert (unseen["verdict"], unseen["parts"][0]["next_step"]["what"]) == ("cannot_tell", "holes")


# 4 ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("reading", [171, 176, 181])
def test_what_no_standard_explains_is_none_of_these(identify: Identify, reading: float) -> None:
    """176 is not 167 with two digits exchanged: the nearest is named with its distance, never returned."""
    found = identify(mount(dimensions={"hole_spacing_mm": {"value": reading, "instrument": "steel_rule"}}))

    assert found["finding"] == "unknown"
    assert found["candidates"][0]["standard"] is None
    assert found["nearest"]["standard"] in ("flat-167", "two-bolt-165")


# 5 ---------------------------------------------------------------------------------------------------------------


def test_a_claim_that_the_caliper_speaks_against_is_named(check_fit: Ask) -> None:
    """165 claimed, 195.1 measured: a contradiction, not an average."""
    boot = mount(standard="two-bolt-165", dimensions={"hole_spacing_mm": caliper(195.1)})
    answer = check_fit(boot, frame("two-bolt-165"))
    (found,) = answer["parts"][0]["contradictions"]

    assert (found["standard"], found["what"], found["found"], found["expected"]) == (
        "two-bolt-165",
        "hole_spacing_mm",
        195.1,
        165.0,
    )
    assert answer["verdict"] != "fits"


# 6 ---------------------------------------------------------------------------------------------------------------


def buckle(**more: Any) -> Json:
    """Give a buckle whose maker claims the usual pitch."""
    return part("buckle", mount("strap_cuff", "strap-pitch-15", **more))


def test_a_pitch_of_15_3_by_rule_goes_with_15(check_fit: Ask) -> None:
    """A claim, and a reading within the rule's doubt."""
    reading = {"hole_pitch_mm": {"value": 15.3, "plus_minus": 0.5}}
    shell = mount("strap_cuff", "strap-pitch-15", dimensions=reading)

    assert check_fit(shell, buckle())["verdict"] == "fits"


def test_a_pitch_of_15_3_by_caliper_is_judged_by_the_play_of_the_screws(check_fit: Ask) -> None:
    """Without a claim the reading stands alone, and the play takes 0.3 mm."""
    answer = check_fit(mount("strap_cuff", dimensions={"hole_pitch_mm": caliper(15.3)}), buckle())

    assert answer["verdict"] == "fits"
    assert check(answer, "bolts_pass")["limits_mm"] == [0, 0.5]


def test_a_pitch_of_17_does_not_go_with_15(check_fit: Ask) -> None:
    """Two millimetres are more than any screw hole gives."""
    answer = check_fit(mount("strap_cuff", dimensions={"hole_pitch_mm": caliper(17)}), buckle())

    assert answer["verdict"] == "does_not_fit"


# 7 ---------------------------------------------------------------------------------------------------------------


def bearing(position: str, **figures: float) -> Json:
    """Give a bearing by its measured figures."""
    return part("bearing", mount(position, dimensions={name: caliper_fine(value) for name, value in figures.items()}))


def caliper_fine(value: float) -> Json:
    """Give a reading of a ground surface by caliper."""
    return {"value": value, "plus_minus": 0.03}


def failing(answer: Json) -> set[str]:
    """Give the codes of the checks that failed."""
    return {each["code"] for each in answer["parts"][0]["checks"] if each["outcome"] == "fail"}


def test_a_608_bearing_is_loose_on_a_7_mm_axle(check_fit: Ask) -> None:
    """An 8 mm bore on a 7 mm axle rattles by a millimetre."""
    answer = check_fit(mount("axle", "axle-7"), bearing("axle", bore_mm=8, bearing_width_mm=7))

    assert answer["verdict"] == "does_not_fit"
    assert failing(answer) == {"bearing_loose"}


def test_a_627_bearing_does_not_go_on_an_8_mm_axle(check_fit: Ask) -> None:
    """A 7 mm bore is a millimetre too small."""
    answer = check_fit(mount("axle", "axle-8"), bearing("axle", bore_mm=7, bearing_width_mm=7))

    assert answer["verdict"] == "does_not_fit"
    assert failing(answer) == {"bearing_on_axle"}


def test_a_608_bearing_does_not_go_into_a_688_hub(check_fit: Ask) -> None:
    """22 mm do not go into 16."""
    answer = check_fit(mount("hub", "hub-688"), part("bearing", mount("hub", "hub-608")))

    assert answer["verdict"] == "does_not_fit"
    assert failing(answer) == {"bearing_in_hub"}


def stack(inside_width_mm: float, check_fit: Ask) -> Json:
    """Ask for 7 + 10.2 + 7 in a frame; widths 0/-0.12 (ISO 492, Normal), spacer and frame by their tolerances."""
    axle = mount("axle", "axle-8", dimensions={"inside_width_mm": {"value": inside_width_mm, "plus_minus": 0.05}})
    figures = {
        "bearing_width_mm": {"value": 6.94, "plus_minus": 0.06},
        "spacer_length_mm": {"value": 10.2, "plus_minus": 0.05},
    }
    return check_fit(axle, part("bearing", mount("axle", "axle-8", dimensions=figures)))


def test_a_stack_of_24_2_in_24_0_cannot_be_told_and_wants_measuring(check_fit: Ask) -> None:
    """The walls must spread with a probability of 0.80 to 0.90: not sure enough either way."""
    answer = stack(24.0, check_fit)

    assert 0.80 <= 1 - check(answer, "stack_in_frame")["probability"] <= 0.91
    assert answer["verdict"] == "cannot_tell"
    assert answer["parts"][0]["next_step"]["kind"] == "measure"


def test_a_stack_of_24_2_in_23_8_does_not_fit(check_fit: Ask) -> None:
    """Here the walls would surely have to spread."""
    answer = stack(23.8, check_fit)

    assert answer["verdict"] == "does_not_fit"
    assert check(answer, "stack_in_frame")["probability"] <= 0.002


def test_a_spacer_shorter_than_the_seats_loads_the_bearings_sideways(check_fit: Ask) -> None:
    """0.3 mm too short, and tightening the axle presses the inner rings together."""
    hub = mount("hub", "hub-608", dimensions={"seat_distance_mm": caliper_fine(10.2)})
    bearings = part("bearing", mount("hub", "hub-608", dimensions={"spacer_length_mm": caliper_fine(9.9)}))
    answer = check_fit(hub, bearings)

    assert answer["verdict"] == "does_not_fit"
    assert failing(answer) == {"side_load"}


# 8 ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "heel", "expected", "findings"),
    [
        (164, "raised", "two-bolt-165", {"identified"}),
        (165, "raised", "two-bolt-165", {"identified"}),
        (166, "raised", "two-bolt-165", {"identified"}),
        (167, "raised", "two-bolt-165", {"measure_again"}),
        (167, "level", "flat-167", {"identified"}),
        (166, "level", "flat-167", {"identified", "leaning"}),
        (165, "level", "flat-167", {"measure_again"}),
        (164, None, "two-bolt-165", {"identified", "leaning"}),
        (165, None, "two-bolt-165", {"identified", "leaning"}),
        (167, None, "flat-167", {"identified", "leaning"}),
    ],
)
def test_a_rule_and_a_look_are_read_as_a_fitter_reads_them(
    identify: Identify, reading: float, heel: str | None, expected: str, findings: set[str]
) -> None:
    """The heel decides between 165 and 167, and a reading too far from the one it decides for is taken again."""
    found = identify(mount(dimensions={"hole_spacing_mm": rule(reading)}, seen={"heel": heel} if heel else {}))

    assert found["candidates"][0]["standard"] == expected
    assert found["finding"] in findings
    if "measure_again" in findings:
        assert found["next_step"]["kind"] == "measure"


def test_164_mm_with_a_level_heel_is_not_known(identify: Identify) -> None:
    """Three millimetres from the flat system and level: no installed standard is offered."""
    found = identify(mount(dimensions={"hole_spacing_mm": rule(164)}, seen={"heel": "level"}))

    assert found["finding"] == "unknown"


# 9 ---------------------------------------------------------------------------------------------------------------


def test_a_boot_drilled_twice_takes_a_195_frame_on_its_195_set(check_fit: Ask) -> None:
    """The set that is used is named, with where it puts the frame: 15 mm further forward (rear hole shared)."""
    sets = [
        {"name": "165 set", "standard": "two-bolt-165", "claimed_by": "maker"},
        {"name": "195 set", "standard": "two-bolt-195", "claimed_by": "maker"},
    ]
    answer = check_fit(mount(patterns=sets), frame("two-bolt-195"))
    (joint,) = answer["parts"][0]["joints"]

    assert (answer["verdict"], joint["patterns"][0], joint["shift_mm"]) == ("fits", "195 set", 15.0)


def test_hole_sets_are_not_mixed(check_fit: Ask) -> None:
    """A boot with 165 and 195 has no 180 in it, though the holes of the two sets might lie so."""
    sets = [
        {"name": "165 set", "standard": "two-bolt-165", "claimed_by": "maker"},
        {"name": "195 set", "standard": "two-bolt-195", "claimed_by": "maker"},
    ]
    spacing = {"hole_spacing_mm": caliper(180), "heel_step_mm": caliper(10)}

    assert check_fit(mount(patterns=sets), frame(dimensions=spacing))["verdict"] == "does_not_fit"


# 10 --------------------------------------------------------------------------------------------------------------


def test_a_customer_is_believed_less_than_the_bench_until_a_caliper_agrees(check_fit: Ask) -> None:
    """The same claim and the same rule reading give different certainty; a caliper reading makes them meet."""

    def probability(claimed_by: str, reading: Json) -> float:
        boot = mount(standard="two-bolt-165", claimed_by=claimed_by, dimensions={"heel_step_mm": reading})
        return float(check_fit(boot, frame("two-bolt-165"))["parts"][0]["probability"])

    coarse = {"value": 10, "plus_minus": 3.0}
    by_rule = probability("bench", coarse) - probability("customer", coarse)

    def spaced(claimed_by: str) -> float:
        figures = {"heel_step_mm": caliper(10), "hole_spacing_mm": caliper(165.0)}
        boot = mount(standard="two-bolt-165", claimed_by=claimed_by, dimensions=figures, seen={"fastening": "bolts"})
        return float(check_fit(boot, frame("two-bolt-165"))["parts"][0]["probability"])

    assert by_rule > 0.005
    assert spaced("bench") == pytest.approx(spaced("customer"), abs=0.001)


# 11 --------------------------------------------------------------------------------------------------------------


def test_a_riveted_frame_is_left_to_a_workshop_and_cannot_be_undone(check_fit: Ask) -> None:
    """The caution, the irreversibility and the referral are all in the answer."""
    boot = mount(standard="riveted", claimed_by="bench", seen={"fastening": "rivets"})
    answer = check_fit(boot, frame("two-bolt-165"))
    (found,) = answer["parts"]
    cautions = {each["code"].split(".")[1] for each in found["cautions"]}

    assert found["verdict"] == "fits_after_bench_work"
    assert {"rivets_stay", "drilling", "workshop", "cannot_be_undone"} <= cautions
    assert [(need["kind"], need["reversible"]) for need in found["needs"]] == [("bench", False)]


def test_a_customer_who_says_riveted_is_asked_to_look_first(check_fit: Ask) -> None:
    """Work that cannot be undone wants more than a customer's word."""
    answer = check_fit(mount(standard="riveted", claimed_by="customer"), frame("two-bolt-165"))

    assert answer["verdict"] == "cannot_tell"
    assert answer["parts"][0]["next_step"]["what"] == "fastening"


# What else a fitter would expect ------------------------------------------------------------------------------------


def placed(spacing_mm: float) -> Json:
    """Give two holes by their places, as a caliper reads them."""
    front = {"name": "front", "along_mm": spacing_mm, "diameter_mm": 6.6}
    return {"instrument": "caliper", "holes": [front, {"name": "rear", "along_mm": 0, "diameter_mm": 6.6}]}


def test_two_holes_by_their_places_are_identified_like_their_spacing(identify: Identify) -> None:
    """Who gives the places has given the spacing."""
    found = identify(mount(**placed(195.1)))

    assert (found["finding"], found["candidates"][0]["standard"]) == ("identified", "two-bolt-195")


def test_places_that_speak_against_a_claim_are_a_contradiction(check_fit: Ask) -> None:
    """165 claimed, holes placed 195.1 apart."""
    answer = check_fit(mount(standard="two-bolt-165", **placed(195.1)), frame("two-bolt-165"))
    (found,) = answer["parts"][0]["contradictions"]

    assert (found["what"], found["found"]) == ("hole_spacing_mm", 195.1)
    assert answer["verdict"] != "fits"


def test_doubt_is_said_of_the_part_as_it_is_and_not_of_what_it_might_become(check_fit: Ask) -> None:
    """A customer's riveted skate takes a frame only after work: as it stands the chance is small."""
    (found,) = check_fit(mount(standard="riveted", claimed_by="customer"), frame("two-bolt-165"))["parts"]

    assert found["verdict"] == "cannot_tell"
    assert found["probability"] < 0.1


def test_a_drawing_is_no_instrument_to_measure_with(identify: Identify) -> None:
    """Who has read a drawing is asked to measure with something that measures."""
    looked = {"heel": "raised", "fastening": "bolts", "plane": "sole", "bolt_count": "two", "thread": "M6"}
    drawing = {"heel_step_mm": drawn(10)}
    found = identify(mount(dimensions=drawing, seen={**looked}))

    assert found["next_step"]["what"] == "hole_spacing_mm"
    assert found["next_step"]["instrument"] == "steel_rule"
