"""The jobs of the bench, and what a file of them may say."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.jobs import (
    NOTHING,
    Consumable,
    Job,
    Range,
    Risk,
    Tool,
    Torque,
    Where,
    bench_jobs,
    jobs_fitting,
    read_jobs,
    total,
)
from mountwright.errors import InvalidQuantityError, StandardsFileError
from mountwright.mounts.kinds import kinds

JOBS = bench_jobs()

#: What every shop is asked for.
ASKED_FOR = {
    "swap_frame",
    "shift_frame",
    "swap_wheels",
    "rotate_wheels",
    "swap_bearings",
    "service_bearings",
    "turn_eccentric_axles",
    "set_rocker_by_spacers",
    "fit_buckle",
    "shorten_strap",
    "trim_cuff_flap",
    "fit_side_guard",
    "fit_slider",
    "heat_mould_liner",
    "fit_insole",
    "lock_lace_without_ankle_strap",
    "replace_lace",
    "replace_rivet",
    "fit_adapter",
    "swap_axles",
    "swap_brake_pad",
    "fit_liner",
    "swap_cuff_bolt",
}

CUT_OR_HEATED = {"shorten_strap", "trim_cuff_flap", "trim_liner_flap", "heat_mould_liner", "replace_rivet"}

#: A torque as somebody would write it.
A_TORQUE = re.compile(r"\d\s*(?:N\s*m|Nm|newton|kgf|in-?lb)", re.IGNORECASE)


def row(**more: Any) -> dict[str, Any]:
    """Give a plain row of a file."""
    plain = {
        "title": "Hang a lantern",
        "steps": ["Clip it on."],
        "minutes": [1, 2, 4],
        "can_be_undone": True,
        "where": "home",
        "risk": "low",
        "standing": "estimate",
    }
    return {**plain, **more}


def job(**more: Any) -> Job:
    """Give a plain job."""
    plain = {
        "key": "hang_lantern",
        "title": "Hang a lantern",
        "steps": ("Clip it on.",),
        "minutes": Range(1, 2, 4),
        "can_be_undone": True,
        "where": Where.HOME,
        "risk": Risk.LOW,
        "standing": "estimate",
    }
    return Job(**{**plain, **more})


def faults(rows: Mapping[str, Any], beside: Mapping[str, Job] | None = None) -> tuple[str, ...]:
    """Give what is wrong with a file."""
    with pytest.raises(StandardsFileError) as caught:
        read_jobs(rows, "lanterns.toml", beside or {})
    return caught.value.faults


class TestInTheBox:
    """The jobs in the box ..."""

    def test_are_those_that_a_shop_is_asked_for(self) -> None:
        """... are those that a shop is asked for, and those that the wheel line names."""
        assert set() == ASKED_FOR - JOBS.keys()

    def test_are_given_by_their_own_keys(self) -> None:
        """... are each found under its own key."""
        assert list(JOBS) == [each.key for each in JOBS.values()]

    def test_put_every_kind_of_part_on(self) -> None:
        """... put every kind of article on that is a part of a skate."""
        assert kinds().keys() - {"skate", "other"} == {kind for each in JOBS.values() for kind in each.fits}

    @pytest.mark.parametrize("key", JOBS)
    def test_invent_no_torque(self, key: str) -> None:
        """... say no torque anywhere, for that is the maker's to say."""
        each = JOBS[key]
        texts = (*each.steps, *each.cautions, *each.after_checks, *[f"{tool.name} {tool.size}" for tool in each.tools])
        assert [] == [text for text in texts if A_TORQUE.search(text)]
        assert {"by the maker's sheet"} >= {str(torque) for torque in each.torques()}

    @pytest.mark.parametrize("key", JOBS)
    def test_say_the_size_of_every_key(self, key: str) -> None:
        """... say the size of every tool that comes in sizes."""
        sized = ("key", "spanner", "screwdriver", "caliper", "rule", "puller", "straight edge")
        assert [] == [tool for tool in JOBS[key].tools if tool.name.endswith(sized) and not tool.size]

    def test_cannot_be_undone_where_something_is_cut_or_heated(self) -> None:
        """... that cut, drill or heat stay for good, and no others do."""
        assert CUT_OR_HEATED == {key for key, each in JOBS.items() if not each.can_be_undone}

    def test_leave_what_hurts_to_a_workshop(self) -> None:
        """... leave rivets, ovens, shears on a cuff and adapters to a workshop."""
        for key in ("replace_rivet", "heat_mould_liner", "trim_cuff_flap", "fit_adapter"):
            assert Where.WORKSHOP is JOBS[key].where
        assert Risk.HIGH is JOBS["replace_rivet"].risk
        assert "qualified workshop" in " ".join(JOBS["replace_rivet"].steps)

    def test_shift_a_frame_for_nothing(self) -> None:
        """... shift a frame free of charge, with the old place marked first, and it can be undone."""
        shift = JOBS["shift_frame"]
        assert (NOTHING, True, Where.HOME) == (shift.consumables_cents, shift.can_be_undone, shift.where)
        assert shift.steps[0].startswith("Mark the place")

    @pytest.mark.parametrize("key", [key for key, each in JOBS.items() if "bolt" in each.tightens])
    def test_have_bolts_checked_after_the_first_ride(self, key: str) -> None:
        """... that tighten bolts have them checked again after the first ride."""
        assert "Check every bolt again after the first ride." in JOBS[key].after_checks

    @pytest.mark.parametrize("key", ["rotate_wheels", "swap_wheels", "put_wheels_on", "swap_axles"])
    def test_have_self_locking_nuts_replaced(self, key: str) -> None:
        """... that undo axles have nuts that lock themselves replaced."""
        assert "Replace nuts that lock themselves once they were undone." in JOBS[key].after_checks

    @pytest.mark.parametrize("key", ["swap_brake_pad", "fit_brake"])
    def test_have_a_brake_tried_before_the_first_ride(self, key: str) -> None:
        """... on a brake have it tried at walking pace."""
        assert "Try the brake at walking pace." in JOBS[key].after_checks

    def test_are_found_by_what_they_fit(self) -> None:
        """... are found by the kind of article that they put on; a kind that nobody fits has none."""
        assert ("swap_bearings",) == tuple(each.key for each in jobs_fitting("bearing"))
        assert () == jobs_fitting("lantern")


class TestRange:
    """A range ..."""

    def test_adds_end_by_end(self) -> None:
        """... adds least to least, usual to usual, most to most."""
        assert Range(11, 22, 44) == Range(1, 2, 4) + Range(10, 20, 40) == total([Range(1, 2, 4), Range(10, 20, 40)])
        assert NOTHING == total([])

    @pytest.mark.parametrize("ends", [(2, 1, 3), (1, 3, 2), (-1, 0, 1), (1.0, 2, 3), (True, 2, 3)])
    def test_out_of_order_or_not_whole_is_refused(self, ends: tuple[Any, Any, Any]) -> None:
        """... out of order, below 0 or not of whole numbers is refused."""
        with pytest.raises(InvalidQuantityError, match="whole numbers"):
            Range(*ends)

    @given(st.lists(st.tuples(*[st.integers(0, 10_000)] * 3).map(sorted), max_size=6))
    def test_of_a_sum_is_in_order(self, each: list[list[int]]) -> None:
        """... of a sum is again in order, whatever is added up."""
        found = total(Range(*ends) for ends in each)
        assert found.least <= found.usual <= found.most


class TestTorque:
    """A torque ..."""

    def test_is_the_makers_figure(self) -> None:
        """... is what the article says, and is left to the maker's sheet where it says nothing."""
        found = job(tightens=("axle", "bolt"), after_checks=("Look.",)).torques({"axle": 4.5, "wheel": 9.0})
        assert (Torque("axle", 4.5), Torque("bolt")) == found
        assert ["4.5 N m", "by the maker's sheet"] == [str(each) for each in found]

    @pytest.mark.parametrize("torque", [0.0, -3.0, float("nan"), float("inf")])
    def test_that_turns_nothing_is_refused(self, torque: float) -> None:
        """... of nothing, or of no number, is refused."""
        with pytest.raises(InvalidQuantityError, match="torque above 0"):
            Torque("axle", torque)


class TestJob:
    """A job ..."""

    def test_costs_what_its_consumables_cost(self) -> None:
        """... costs what its consumables cost together, nothing without any."""
        found = job(consumables=(Consumable("oil", Range(1, 2, 3)), Consumable("rag", Range(10, 20, 30))))
        assert (Range(11, 22, 33), NOTHING) == (found.consumables_cents, job().consumables_cents)

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"key": "Hang Lantern"}, "key of lower-case words"),
            ({"key": "hang__lantern"}, "key of lower-case words"),
            ({"title": ""}, "title and a step"),
            ({"steps": ()}, "title and a step"),
            ({"steps": ("Clip it on.", "")}, "texts with something"),
            ({"minutes": NOTHING}, "a minute at least"),
            ({"standing": "measured"}, "common practice or estimate"),
            ({"fits": ("lantern",)}, "kinds of articles"),
            ({"tightens": ("lantern",), "after_checks": ("Look.",)}, "kinds of articles"),
            ({"tightens": ("wheel",), "after_checks": ("Look.",)}, "that have a torque"),
            ({"after": ("hang_lantern",)}, "does not wait for itself"),
            ({"stands_for": ("hang_lantern",)}, "does not wait for itself"),
            ({"can_be_undone": False}, "a caution"),
            ({"risk": Risk.MEDIUM}, "a caution"),
            ({"risk": Risk.HIGH, "cautions": ("It burns.",)}, "a workshop"),
            ({"tightens": ("bolt",)}, "a check after"),
        ],
    )
    def test_that_contradicts_itself_is_refused(self, more: dict[str, Any], expected: str) -> None:
        """... that is not told, names what is not there, or is careless, is refused."""
        with pytest.raises(InvalidQuantityError, match=expected):
            job(**more)

    def test_of_high_risk_is_for_a_workshop(self) -> None:
        """... of high risk is taken for a workshop with its caution."""
        assert job(risk=Risk.HIGH, cautions=("It burns.",), where=Where.WORKSHOP)

    @pytest.mark.parametrize("thing", [lambda: Tool(""), lambda: Consumable("", NOTHING)])
    def test_wants_things_that_have_a_name(self, thing: Any) -> None:
        """... has only tools and consumables that have a name."""
        with pytest.raises(InvalidQuantityError, match="the name of a"):
            thing()

    def test_names_every_other_job_that_it_has_to_do_with(self) -> None:
        """... tells all the jobs that its row names."""
        assert {"a", "b", "c", "d"} == job(needs=("a",), then=("b",), after=("c",), stands_for=("d",)).refers_to()


class TestFile:
    """A file of jobs ..."""

    def test_of_a_plugin_stands_beside_those_in_the_box(self) -> None:
        """... of a plugin adds its jobs behind those in the box, and may name these."""
        rows = {
            "hang_lantern": row(
                needs=["take_frame_off"],
                tools=[{"name": "hex key", "size": "3 mm"}, {"name": "rag"}],
                consumables=[{"name": "oil", "cost_cents": [5, 10, 20]}],
            ),
        }
        found = read_jobs(rows, "lanterns.toml", JOBS)
        assert [*JOBS, "hang_lantern"] == list(found)
        assert (Tool("hex key", "3 mm"), Tool("rag")) == found["hang_lantern"].tools
        assert (Consumable("oil", Range(5, 10, 20)),) == found["hang_lantern"].consumables

    def test_may_name_its_own_later_rows(self) -> None:
        """... may name a job that stands further down."""
        assert ["first", "second"] == list(read_jobs({"first": row(after=["second"]), "second": row()}, "x"))

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"minutes": [4, 2, 1]}, "minutes: found [4, 2, 1]"),
            ({"minutes": [1, 2]}, "minutes: found [1, 2]"),
            ({"minutes": 3}, "minutes: found 3"),
            ({"minutes": [1.5, 2, 3]}, "minutes: found [1.5, 2, 3]"),
            ({"where": "garage"}, "where: found 'garage', expected one of home, workshop"),
            ({"risk": "none"}, "risk: found 'none', expected one of low, medium, high"),
            ({"where": 1}, "where: found 1, expected a text"),
            ({"torque_n_m": 10}, "torque_n_m: unknown field"),
            ({"can_be_undone": "no"}, "can_be_undone: found 'no'"),
            ({"tools": [{"size": "4 mm"}]}, "name: missing"),
            ({"tools": [{"name": "hex key", "length": "4 mm"}]}, "length: unknown field"),
            ({"consumables": [{"name": "oil"}]}, "cost_cents: missing"),
            ({"after": ["ring_bell"]}, "no job 'ring_bell'"),
            ({"risk": "medium"}, "a caution"),
        ],
    )
    def test_with_a_fault_says_which(self, more: dict[str, Any], expected: str) -> None:
        """... with a wrong field names the row, the field and what was found, once."""
        (fault,) = faults({"hang_lantern": row(**more)})
        assert fault.startswith("hang_lantern")
        assert expected in fault

    @pytest.mark.parametrize("name", ["title", "steps", "minutes", "can_be_undone", "where", "risk", "standing"])
    def test_that_leaves_a_field_out_says_which(self, name: str) -> None:
        """... that leaves open what nobody may guess names the field."""
        rows = row()
        del rows[name]
        (fault,) = faults({"hang_lantern": rows})
        assert fault.startswith(f"hang_lantern: {name}: ")

    def test_names_all_of_its_faults(self) -> None:
        """... with several faults names them all."""
        assert 2 == len(faults({"one": row(where="garage"), "two": row(risk="none"), "three": row(after=["one"])}))

    def test_takes_no_key_that_is_taken(self) -> None:
        """... never replaces a job that is there."""
        assert ("swap_frame: the key is taken",) == faults({"swap_frame": row()}, JOBS)

    def test_of_anything_else_is_refused(self) -> None:
        """... whose row is no table is refused, once."""
        (fault,) = faults({"hang_lantern": 3})
        assert "expected a table" in fault
