"""The bench card's content: which jobs, how often, with which tools, and whose torque."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.bench_card import (
    BenchCard,
    CardJob,
    CardPart,
    CardTorque,
    Side,
    Target,
    Task,
    bench_card,
    jobs_to_fit,
    mouldings,
)
from mountwright.bench.job_order import ordered
from mountwright.bench.jobs import Range, bench_jobs
from mountwright.errors import InvalidQuantityError

JOBS = bench_jobs()
FRAME = CardPart("frame", name="Quillfen Towpath")
BOLT = CardPart("bolt", specs={"torque_n_m": 7.5})
OTHER_BOLT = CardPart("bolt", specs={"torque_n_m": 5})
AXLE = CardPart("axle", specs={"torque_n_m": 4})


def task(key: str, *parts: int, place: str = "", side: Side = Side.BOTH) -> Task:
    """Give a job at some parts."""
    return Task(JOBS[key], Target(parts, place, side))


def card(*tasks: Task, parts: tuple[CardPart, ...] = ()) -> BenchCard:
    """Give the card of jobs in the box."""
    return bench_card(tasks, parts, JOBS)


def found(card: BenchCard, key: str) -> CardJob:
    """Give the job of a key."""
    (job,) = [each for each in card.jobs if each.job.key == key]
    return job


class TestJobs:
    """The jobs of a card ..."""

    def test_are_those_asked_for_and_those_they_need_in_their_order(self) -> None:
        """... stand in the order of the bench, with what they need before and after."""
        keys = [each.job.key for each in card(task("shorten_strap"), task("swap_frame")).jobs]

        assert ["take_wheels_off", "take_frame_off", "swap_frame", "put_wheels_on", "shorten_strap"] == keys

    def test_say_who_needs_them(self) -> None:
        """... say of each that nobody asked for which asked job it is for, through others as well."""
        both = card(task("swap_frame"), task("swap_bearings"))

        assert ("swap_frame", "swap_bearings") == found(both, "take_wheels_off").needed_by
        assert ("swap_frame",) == found(both, "take_frame_off").needed_by
        assert () == found(both, "swap_frame").needed_by

    def test_are_done_once_at_each_place(self) -> None:
        """... take their time once for each place; left and right of one place are a pair."""
        pair = card(task("shorten_strap", side=Side.LEFT), task("shorten_strap", side=Side.RIGHT))
        two = card(task("shorten_strap", place="instep"), task("shorten_strap", place="cuff"))

        assert (Range(4, 8, 20), Range(8, 16, 40)) == (pair.minutes, two.minutes)
        assert (2, 2) == (len(pair.jobs[0].targets), len(two.jobs[0].targets))

    def test_add_up_what_is_used_at_each_place(self) -> None:
        """... add up what they use over jobs and places."""
        twice = card(task("swap_cuff_bolt", place="left inner"), task("swap_cuff_bolt", place="left outer"))

        assert [Range(40, 100, 200)] == [each.cost_cents for each in twice.consumables]

    def test_have_every_tool_once(self) -> None:
        """... want each tool once, and the card says for which of them."""
        uses = {(use.tool.name, use.tool.size): use.jobs for use in card(task("swap_frame")).tools}

        assert ("take_frame_off", "swap_frame") == uses["hex key", "5 mm"]
        assert ("take_wheels_off", "put_wheels_on") == uses["hex key", "4 mm"]

    def test_that_stay_for_good_are_named(self) -> None:
        """... that cannot be undone are named, and come last."""
        assert ["shorten_strap"] == [job.key for job in card(task("shorten_strap"), task("fit_strap")).for_good]
        assert () == card(task("fit_strap")).for_good

    @pytest.mark.parametrize(
        ("key", "moves"), [("swap_frame", True), ("shift_frame", True), ("fit_side_guard", True), ("fit_strap", False)]
    )
    def test_that_move_the_frame_are_known(self, key: str, moves: bool) -> None:
        """... lose the frame's old place where one of them loosens it."""
        assert moves is card(task(key)).moves_frame

    def test_are_one_at_least(self) -> None:
        """... are one at least: a card without a job is none."""
        with pytest.raises(InvalidQuantityError, match="a job at least"):
            card()

    def test_are_done_at_parts_that_are_there(self) -> None:
        """... name no part that is not on the card."""
        with pytest.raises(InvalidQuantityError, match="on the card"):
            card(task("swap_frame", 1), parts=(FRAME,))

    @given(st.lists(st.sampled_from(sorted(JOBS)), min_size=1, max_size=8))
    def test_add_up(self, keys: list[str]) -> None:
        """... of whatever choice are the plan's, their times its sum, and every tool is there."""
        chosen = card(*map(task, keys))
        plan = ordered((JOBS[key] for key in keys), JOBS)

        assert plan.jobs == tuple(each.job for each in chosen.jobs)
        assert (plan.minutes, plan.tools) == (chosen.minutes, tuple(use.tool for use in chosen.tools))
        assert plan.after_checks == chosen.after_checks
        assert all(first.job.can_be_undone or not later.needed_by for first, later in pairwise(chosen.jobs))


class TestTorques:
    """A torque ..."""

    def test_is_the_makers_of_the_part_that_the_job_names(self) -> None:
        """... is the figure of the part that the job is done with."""
        swapped = card(task("swap_frame", 0, 1), parts=(FRAME, BOLT))

        assert (CardTorque("bolt", 7.5, 1),) == found(swapped, "swap_frame").torques

    @pytest.mark.parametrize(
        ("named", "parts"),
        [
            ((0,), (FRAME, BOLT)),
            ((0, 1), (FRAME, CardPart("bolt"))),
            ((0, 1, 2), (FRAME, BOLT, OTHER_BOLT)),
            ((0, 1, 2), (FRAME, BOLT, CardPart("bolt"))),
        ],
        ids=["no bolt named", "no figure", "two figures", "one of two without"],
    )
    def test_is_left_to_the_makers_sheet_otherwise(self, named: tuple[int, ...], parts: tuple[CardPart, ...]) -> None:
        """... is none where the job names no such part, or parts that do not agree: it is never guessed."""
        swapped = card(task("swap_frame", *named), parts=parts)

        assert (CardTorque("bolt"),) == found(swapped, "swap_frame").torques

    def test_is_never_of_another_jobs_part(self) -> None:
        """... of a frame bolt is not the figure of a cuff bolt that lies on the same bench."""
        both = card(task("swap_frame", 0), task("swap_cuff_bolt", 1), parts=(FRAME, OTHER_BOLT))

        assert (CardTorque("bolt"),) == found(both, "swap_frame").torques
        assert (CardTorque("bolt", 5, 1),) == found(both, "swap_cuff_bolt").torques

    def test_of_an_added_job_is_of_those_that_need_it(self) -> None:
        """... of the wheels that go back on is that of the axles for whose sake they came off."""
        swapped = card(task("swap_axles", 0), task("swap_bearings"), parts=(AXLE,))

        assert (CardTorque("axle", 4, 0),) == found(swapped, "put_wheels_on").torques

    @pytest.mark.parametrize(("torque", "part"), [(4.0, None), (None, 0)])
    def test_has_its_source(self, torque: float | None, part: int | None) -> None:
        """... and the part that it is of stand together or not at all."""
        with pytest.raises(InvalidQuantityError):
            CardTorque("axle", torque, part)


class TestParts:
    """A part ..."""

    @pytest.mark.parametrize(
        ("kind", "keys"),
        [
            ("frame", ["swap_frame"]),
            ("wheel", ["swap_wheels"]),
            ("other", []),
            ("brake", ["swap_brake_pad", "fit_brake"]),
            ("bolt", ["swap_frame_bolts", "swap_cuff_bolt"]),
        ],
    )
    def test_is_put_on_by_jobs(self, kind: str, keys: list[str]) -> None:
        """... is put on by one job, by none, or by one of several that somebody has to choose."""
        assert keys == [job.key for job in jobs_to_fit(kind, JOBS)]

    def test_is_put_on_by_what_stands_for_the_job_in_the_box(self) -> None:
        """... is put on the way that a shop has for it, where that stands for the job in the box."""
        own = replace(JOBS["swap_wheels"], key="swap_wheels_on_the_jig", stands_for=("swap_wheels", "put_wheels_on"))

        assert [own] == list(jobs_to_fit("wheel", {**JOBS, own.key: own}))

    @pytest.mark.parametrize("wrong", [{"kind": "bell"}, {"kind": "bolt", "pieces": 0}])
    def test_is_of_a_kind_and_there(self, wrong: dict[str, object]) -> None:
        """... is of a known kind, and one piece at least."""
        with pytest.raises(InvalidQuantityError):
            CardPart(**wrong)  # type: ignore[arg-type]  # it is the point

    def test_is_moulded_at_its_makers_figures(self) -> None:
        """... that may be moulded has its maker's figures on the card, each part its own."""
        warm = {"mouldable": True, "moulding_temperature_c": 80, "moulding_time_min": 8}
        parts = (CardPart("liner", specs=warm), CardPart("insole"))
        told = mouldings(JOBS["heat_mould_liner"], (0, 1), parts)

        assert [(0, 80, 8), (1, None, None)] == [
            (each.part, each.moulding.temperature_c, each.moulding.time_min) for each in told
        ]
        assert told == found(card(task("heat_mould_liner", 0, 1), parts=parts), "heat_mould_liner").mouldings

    def test_that_nobody_names_is_not_heated_on_a_guess(self) -> None:
        """... that nobody names stays cold until its label was read."""
        (told,) = mouldings(JOBS["heat_mould_liner"], (), ())

        assert (None, None) == (told.part, told.moulding.may)

    def test_is_moulded_by_one_job_only(self) -> None:
        """... is not spoken of as moulded where it is only fitted."""
        assert () == mouldings(JOBS["fit_liner"], (0,), (CardPart("liner"),))
