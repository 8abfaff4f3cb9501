"""The order of jobs that are done together."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.job_order import BenchPlan, ordered
from mountwright.bench.jobs import NOTHING, Consumable, Job, Range, Risk, Tool, Where, bench_jobs, total
from mountwright.errors import InvalidQuantityError

JOBS = bench_jobs()

_SOME = st.lists(st.sampled_from(sorted(JOBS)), max_size=12)


def plain(key: str, *after: str, undone: bool = True, **more: tuple[str, ...]) -> Job:
    """Give a job of a minute that waits for others."""
    return Job(
        key, key, ("Do it.",), Range(1, 2, 3), undone, Where.HOME, Risk.LOW, "estimate", (), (), (), ("Mind.",), (),
        after=after, **more,
    )  # fmt: skip


def plan(*keys: str) -> BenchPlan:
    """Give the plan of jobs in the box."""
    return ordered(JOBS[key] for key in keys)


def keys(found: BenchPlan) -> list[str]:
    """Give the keys of a plan in order."""
    return [job.key for job in found.jobs]


class TestOrder:
    """Jobs that are done together ..."""

    def test_have_the_frame_off_before_side_guards(self) -> None:
        """... have the frame off before the side guards, and the new one on after them."""
        assert [
            "take_wheels_off",
            "take_frame_off",
            "fit_side_guard",
            "swap_frame",
            "put_wheels_on",
        ] == keys(plan("swap_frame", "fit_side_guard"))

    def test_swap_a_frame_with_all_that_it_takes(self) -> None:
        """... take wheels and frame off for a new frame, and put the wheels on it."""
        assert ["take_wheels_off", "take_frame_off", "swap_frame", "put_wheels_on"] == keys(plan("swap_frame"))

    def test_close_last_what_was_opened(self) -> None:
        """... close once all is done that was opened for, wherever closing stands among the known jobs."""
        known = {each.key: each for each in (plain("close"), plain("open", then=("close",)))}
        work = plain("work", needs=("open",), then=("close",))
        assert ["open", "work", "close"] == keys(ordered([work], known))

    def test_add_nothing_that_an_added_job_stands_for(self) -> None:
        """... add no closing job where one that is added later stands for it."""
        known = {each.key: each for each in (plain("close"), plain("rebuild", stands_for=("close",)))}
        asked = [plain("open", then=("close",)), plain("paint", needs=("rebuild",))]
        assert ["open", "rebuild", "paint"] == keys(ordered(asked, known))

    def test_put_back_what_was_taken_off(self) -> None:
        """... put the old frame back on where no other comes, and say what was added."""
        found = plan("fit_side_guard")
        assert ["take_frame_off", "fit_side_guard", "put_frame_on"] == keys(found)
        assert {"take_frame_off", "put_frame_on"} == found.added

    @pytest.mark.parametrize("closing", ["swap_wheels", "rotate_wheels"])
    def test_take_the_wheels_off_once(self, closing: str) -> None:
        """... take the wheels off once for bearings and wheels, and the new ones go on instead of the old."""
        assert ["take_wheels_off", "swap_bearings", closing] == keys(plan(closing, "swap_bearings"))

    def test_shift_the_frame_that_stays(self) -> None:
        """... shift the new frame and not the one that goes."""
        found = keys(plan("shift_frame", "swap_frame"))
        assert found.index("swap_frame") < found.index("shift_frame")

    def test_do_last_what_stays_for_good(self) -> None:
        """... do what cannot be undone once everything else has been tried."""
        wanted = ("trim_cuff_flap", "replace_rivet", "heat_mould_liner", "fit_insole", "shift_frame", "swap_brake_pad")
        found = plan(*wanted)
        undone = [job.can_be_undone for job in found.jobs]
        assert sorted(undone, reverse=True) == undone
        assert ["heat_mould_liner", "trim_cuff_flap", "replace_rivet"] == keys(found)[-3:]

    def test_do_what_stays_for_good_earlier_only_where_something_waits_for_it(self) -> None:
        """... drill before the frame that needs the hole, and still after all that does not wait for it."""
        drill, frame, lace = plain("drill", undone=False), plain("frame", "drill"), plain("lace")
        assert ["lace", "drill", "frame"] == keys(ordered([frame, drill, lace], {}))

    def test_let_one_job_stand_for_another_that_comes_before(self) -> None:
        """... drill rivets out instead of undoing bolts, before everything that needs the frame off."""
        drill = plain("drill_rivets", undone=False, then=("put_frame_on",), stands_for=("take_frame_off",))
        found = keys(ordered([JOBS["fit_side_guard"], JOBS["swap_frame"], drill]))
        assert ["take_wheels_off", "drill_rivets", "fit_side_guard", "swap_frame", "put_wheels_on"] == found

    def test_are_the_same_whatever_the_order_they_are_asked_in(self) -> None:
        """... come in one order, whoever asked for what first, and a job that is asked for twice is done once."""
        wanted = ("fit_side_guard", "swap_bearings", "swap_wheels", "shorten_strap")
        expected = keys(plan(*wanted))
        assert [expected] * 24 == [keys(plan(*each, each[0])) for each in permutations(wanted)]

    def test_of_nothing_are_nothing(self) -> None:
        """... are none where none is asked for."""
        found = ordered([])
        assert ((), NOTHING, (), True, Where.HOME) == (
            found.jobs,
            found.minutes,
            found.tools,
            found.can_be_undone,
            found.where,
        )

    def test_that_wait_for_each_other_are_refused(self) -> None:
        """... in a ring are refused, and the ring is named without those that only wait for it."""
        ring = [plain("a", "b"), plain("b", "c"), plain("c", "a"), plain("d", "a")]
        with pytest.raises(InvalidQuantityError, match="in a ring") as caught:
            ordered(ring, {})
        assert ["a", "b", "c"] == caught.value.found

    def test_that_need_and_follow_each_other_are_refused(self) -> None:
        """... are refused where one needs another first that has to follow it, too."""
        with pytest.raises(InvalidQuantityError, match="in a ring"):
            ordered([plain("a", needs=("b",)), plain("b", needs=("a",))], {})

    @pytest.mark.parametrize("field", ["needs", "then"])
    def test_that_need_what_nobody_knows_are_refused(self, field: str) -> None:
        """... are refused where a needed job is nowhere to be found."""
        with pytest.raises(InvalidQuantityError, match="known job"):
            ordered([plain("a", **{field: ("b",)})], {})

    def test_are_not_found_twice_under_one_key(self) -> None:
        """... of one key that differ are refused."""
        with pytest.raises(InvalidQuantityError, match="one job under each key"):
            ordered([JOBS["swap_frame"], replace(JOBS["swap_frame"], title="Another")])

    def test_need_not_have_what_they_only_come_after(self) -> None:
        """... are not added where another would only come after them."""
        assert ["b"] == keys(ordered([plain("b", "a")], {"a": plain("a")}))

    @pytest.mark.parametrize("pair", list(combinations(sorted(JOBS), 2)), ids="+".join)
    def test_in_the_box_go_together(self, pair: tuple[str, str]) -> None:
        """... in the box can be ordered, whichever two are done together."""
        assert set(pair) <= set(keys(plan(*pair)))

    @given(_SOME)
    def test_come_after_all_that_they_wait_for(self, wanted: list[str]) -> None:
        """... never come before a job that they need or follow, nor after one that closes what they opened."""
        found = plan(*wanted)
        place = {key: index for index, key in enumerate(keys(found))}
        for job in found.jobs:
            for earlier in (*job.needs, *job.after):
                before = [other for other in found.jobs if earlier in (other.key, *other.stands_for)]
                assert all(place[other.key] < place[job.key] for other in before if other is not job)
            for later in job.then:
                closing = [other for other in found.jobs if later in (other.key, *other.stands_for)]
                assert closing
                assert all(place[other.key] > place[job.key] for other in closing)

    @given(_SOME)
    def test_are_all_done_once(self, wanted: list[str]) -> None:
        """... are each done once, together with what was added."""
        found = plan(*wanted)
        assert sorted({*wanted, *found.added}) == sorted(keys(found))
        assert not found.added & set(wanted)


class TestPlan:
    """A plan of jobs ..."""

    def test_adds_times_and_costs_with_their_ranges(self) -> None:
        """... takes the sum of the leasts, of the usual times and of the mosts; so do its consumables."""
        found = plan("swap_frame", "service_bearings")
        assert total(job.minutes for job in found.jobs) == found.minutes
        assert sum(job.minutes.least for job in found.jobs) == found.minutes.least
        assert sum(job.minutes.most for job in found.jobs) == found.minutes.most
        assert Range(150 + 20, 400 + 50, 900 + 100) == found.consumables_cents

    def test_lays_each_tool_out_once(self) -> None:
        """... lists each tool in each size once, as they are first wanted."""
        found = plan("swap_wheels", "swap_frame")
        assert sorted(set(found.tools)) == sorted(found.tools)
        assert Tool("hex key", "4 mm") == found.tools[0]
        assert {"4 mm", "5 mm"} == {tool.size for tool in found.tools if tool.name == "hex key"}

    def test_adds_each_consumable_up(self) -> None:
        """... lists a consumable that two jobs use once, with both costs."""
        one = replace(plain("a"), consumables=(Consumable("oil", Range(1, 2, 3)),))
        two = replace(plain("b"), consumables=(Consumable("oil", Range(10, 20, 30)), Consumable("rag", NOTHING)))
        found = ordered([one, two], {})
        assert (Consumable("oil", Range(11, 22, 33)), Consumable("rag", NOTHING)) == found.consumables

    def test_has_one_list_of_checks_and_cautions(self) -> None:
        """... says each check and each caution once, however many jobs ask for it."""
        found = plan("swap_frame", "shift_frame", "swap_cuff_bolt")
        check = "Check every bolt again after the first ride."
        assert 1 == found.after_checks.count(check)
        assert {line for job in found.jobs for line in job.after_checks} == set(found.after_checks)
        assert {line for job in found.jobs for line in job.cautions} == set(found.cautions)
        assert len(set(found.cautions)) == len(found.cautions)

    def test_is_for_a_workshop_where_one_job_is(self) -> None:
        """... is for a workshop where one of its jobs is, and cannot be undone where one of them cannot."""
        home, workshop, cut = plan("fit_insole"), plan("fit_insole", "fit_adapter"), plan("fit_insole", "shorten_strap")
        assert [Where.HOME, Where.WORKSHOP, Where.HOME] == [found.where for found in (home, workshop, cut)]
        assert [True, True, False] == [found.can_be_undone for found in (home, workshop, cut)]

    def test_of_a_service_takes_an_hour_if_quick(self) -> None:
        """... that cleans the bearings takes an hour with the wheels off and on, up to two (common practice)."""
        found = plan("service_bearings").minutes
        assert (60, 120) == (found.usual, found.most)

    def test_that_is_no_plan_is_refused(self) -> None:
        """... with one job twice, or an added job that is not there, is refused."""
        with pytest.raises(InvalidQuantityError, match="each job once"):
            BenchPlan((plain("a"), plain("a")))
        with pytest.raises(InvalidQuantityError, match="each job once"):
            BenchPlan((plain("a"),), frozenset({"b"}))
