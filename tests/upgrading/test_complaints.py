"""What riders complain of, and what helps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.jobs import bench_jobs
from mountwright.errors import InvalidQuantityError
from mountwright.mounts.kinds import kinds
from mountwright.riding.band import Band, exactly
from mountwright.upgrading.complaints import (
    Answer,
    Cause,
    Complaint,
    Remedy,
    Severity,
    complaint,
    complaints,
    nearest_complaint,
)

EVERY = complaints()

#: What a counter hears.
HEARD = {
    "heel_lift",
    "pressure_ankle",
    "pressure_instep",
    "pressure_toes",
    "pressure_little_toe",
    "pressure_cuff",
    "strap_hard_to_close",
    "strap_slips",
    "buckle_broken",
    "rolls_slowly",
    "bearing_noisy",
    "bearing_seized",
    "cannot_turn",
    "unsteady_at_speed",
    "knees_fall_inward",
    "numb_toes",
    "wheels_worn_on_one_side",
    "frame_loosens",
    "shell_cracked",
    "brake_worn",
    "cuff_too_high",
    "laces_loosen",
    "skate_feels_vague",
    "boot_too_large",
    "boot_too_small",
    "foot_slides_forward",
    "vibrates_on_rough_ground",
    "frame_not_under_foot",
    "liner_worn",
}

#: Something cracked, stripped, worn through or loose that a rider falls by.
DANGEROUS = {
    Severity.STOP: {"shell_cracked", "frame_cracked", "cuff_cracked", "mount_stripped"},
    Severity.REPAIR_FIRST: {
        "brake_worn",
        "frame_loosens",
        "rivets_loose",
        "bearing_seized",
        "wheel_wobbles",
        "buckle_broken",
    },
}

NOT_WITH_PARTS = "this boot does not fit the foot"

LINER = Remedy("liner", "fit_liner", Band(0.4, 0.6, 0.8))


def cause(key: str, often: Band, *remedies: Remedy, **more: Any) -> Cause:
    """Give a cause with nothing but its figures."""
    return Cause(key, "Why.", "Is it?", often, remedies, **more)


#: Half and half: a liner works well against one and badly against the other; a lace once the first was looked at.
TWO = Complaint(
    "two",
    "Two.",
    (
        cause("packed", Band(0.4, 0.5, 0.8), LINER),
        cause(
            "large",
            Band(0.2, 0.5, 0.6),
            Remedy("liner", "", Band(0.0, 0.1, 0.2)),
            Remedy("lace", "replace_lace", Band(0.2, 0.5, 0.6), first=("packed",)),
        ),
    ),
)


def every_remedy() -> list[tuple[str, Cause, Remedy]]:
    """Give each remedy with its complaint's code and its cause."""
    return [(each.code, why, helps) for each in EVERY.values() for why in each.causes for helps in why.remedies]


class TestFile:
    """The file of complaints ..."""

    def test_has_what_a_counter_hears(self) -> None:
        """... has every complaint that a counter hears, each under its own code."""
        assert set() == HEARD - EVERY.keys()
        assert list(EVERY) == [each.code for each in EVERY.values()]

    def test_marks_every_row(self) -> None:
        """... marks every complaint as common practice."""
        assert {"common practice"} == {each.standing for each in EVERY.values()}

    def test_gives_every_figure_a_range(self) -> None:
        """... gives a range, and no point, for how often a cause is why and for how often a remedy works."""
        assert [] == [(each.code, why.key) for each in EVERY.values() for why in each.causes if why.often.is_exact]
        assert [] == [(code, why.key, helps.by) for code, why, helps in every_remedy() if helps.works.is_exact]
        assert [] == [(code, helps.by) for code, _, helps in every_remedy() if not 0 < helps.works.likely < 1]

    def test_names_kinds_and_jobs_that_there_are(self) -> None:
        """... names kinds of articles and jobs in the box only, and the job that puts each article on."""
        assert {helps.kind for _, _, helps in every_remedy()} <= {"", *kinds()}
        assert {helps.job for _, _, helps in every_remedy()} <= {"", *bench_jobs()}
        without = {helps.kind for _, _, helps in every_remedy() if not helps.job}
        assert {"skate"} == without

    def test_has_a_name_for_either_a_kind_or_a_job(self) -> None:
        """... can tell kinds and jobs apart by their names."""
        assert set() == kinds().keys() & bench_jobs().keys()

    def test_asks_or_measures_for_each_cause(self) -> None:
        """... has a question or something to do at the counter for every cause, in its own words."""
        checks = [why.check for each in EVERY.values() for why in each.causes]
        assert [] == [check for check in checks if not check.endswith(("?", "."))]

    def test_says_when_parts_are_not_the_answer(self) -> None:
        """... says of a boot that does not fit that no part helps, and only another skate does."""
        for code in ("heel_lift", "boot_too_large", "boot_too_small", "pressure_toes"):
            last = [why for why in EVERY[code].causes if why.answer is Answer.NOT_WITH_PARTS]
            assert [True] == [NOT_WITH_PARTS in why.say for why in last]
            assert ["skate"] == [helps.by for why in last for helps in why.remedies if helps.works.likely > 0.5]

    def test_says_stop_of_what_cannot_be_mended(self) -> None:
        """... says to stop using what is cracked or stripped."""
        for code in ("shell_cracked", "frame_cracked", "cuff_cracked", "mount_stripped", "frame_loosens"):
            assert any(why.answer is Answer.STOP_USING for why in EVERY[code].causes)
        for why in EVERY["shell_cracked"].causes[:1]:
            assert ["skate"] == [helps.by for helps in why.remedies]

    def test_has_every_danger_with_its_class(self) -> None:
        """... has what a rider falls by in the class that it belongs to."""
        for severity, codes in DANGEROUS.items():
            assert codes == {each.code for each in EVERY.values() if each.severity is severity}

    def test_sends_numbness_that_stays_to_a_doctor(self) -> None:
        """... sells nothing for numbness that stays."""
        (found,) = [why for why in EVERY["numb_toes"].causes if why.answer is Answer.REFER]
        assert ((), True) == (found.remedies, "doctor" in found.say)

    def test_drills_nothing_by_the_customer(self) -> None:
        """... leaves every rivet to a qualified workshop."""
        said = [EVERY[code].causes for code, _, helps in every_remedy() if helps.job == "replace_rivet"]
        assert said
        assert all(any("workshop" in why.say for why in causes) for causes in said)


class TestKnees:
    """Knees that fall inward ..."""

    KNEES = complaint("knees_fall_inward")

    LOOKED_AT = ("size", "closure", "frame_placement")

    def test_have_size_closure_and_frame_looked_at_in_this_order(self) -> None:
        """... have size, closure and frame placement looked at before the arch."""
        assert [*self.LOOKED_AT, "arch"] == [why.key for why in self.KNEES.causes]
        assert list(self.LOOKED_AT) == [why.key for why in self.KNEES.before_selling("insole")]

    @pytest.mark.parametrize("looked", list(product([None, False], repeat=3))[:-1])
    def test_are_sold_no_insole_before(self, looked: tuple[bool | None, ...]) -> None:
        """... are sold no insole while one of the three was not looked at."""
        seen = {key: found for key, found in zip(self.LOOKED_AT, looked, strict=True) if found is not None}
        assert exactly(0.0) == self.KNEES.relief("insole", seen) == self.KNEES.at_best("insole", seen)
        assert [key for key in self.LOOKED_AT if key not in seen] == [
            why.key for why in self.KNEES.before_selling("insole", seen)
        ]

    def test_are_sold_one_once_all_are_ruled_out(self) -> None:
        """... are sold an insole once all three were ruled out."""
        ruled_out = dict.fromkeys(self.LOOKED_AT, False)
        assert Band(0.2, 0.4, 0.6) == self.KNEES.relief("insole", ruled_out)
        assert () == self.KNEES.before_selling("insole", ruled_out)

    @pytest.mark.parametrize("found", LOOKED_AT)
    def test_are_sold_none_where_another_cause_was_found(self, found: str) -> None:
        """... are sold no insole where one of the three was found."""
        assert exactly(0.0) == self.KNEES.relief("insole", {**dict.fromkeys(self.LOOKED_AT, False), found: True})


class TestRelief:
    """What a remedy promises ..."""

    def test_is_its_mean_over_the_causes(self) -> None:
        """... is the mean over the causes, each as often as it is why."""
        assert pytest.approx(0.5 * 0.6 + 0.5 * 0.1) == TWO.relief("liner").likely

    def test_has_the_bounds_that_the_shares_allow(self) -> None:
        """... is least where its best cause is rarest and its worst most frequent, and most the other way round."""
        found = TWO.relief("liner")
        assert pytest.approx((0.4 * 0.4 + 0.6 * 0.0) / 1.0) == found.low
        assert pytest.approx((0.8 * 0.8 + 0.2 * 0.2) / 1.0) == found.high

    def test_is_that_of_a_cause_that_was_found(self) -> None:
        """... is what it does against the cause that was found, and against what is left where one was ruled out."""
        assert LINER.works == TWO.relief("liner", {"packed": True})
        assert Band(0.0, 0.1, 0.2) == TWO.relief("liner", {"packed": False})

    def test_is_nothing_where_no_cause_is_left(self) -> None:
        """... is nothing where every cause was ruled out, and for what does not help."""
        assert exactly(0.0) == TWO.relief("liner", {"packed": False, "large": False})
        assert exactly(0.0) == TWO.at_best("liner", {"packed": False, "large": False})
        assert exactly(0.0) == TWO.relief("bearing") == TWO.at_best("bearing")

    def test_is_best_where_its_cause_is_found(self) -> None:
        """... is, at best, what it does against the cause that it is best against."""
        assert LINER.works == TWO.at_best("liner")

    def test_is_nothing_before_the_rest_was_looked_at(self) -> None:
        """... is nothing while a cause that comes first was not looked at."""
        assert exactly(0.0) == TWO.relief("lace")
        assert Band(0.2, 0.5, 0.6) == TWO.relief("lace", {"packed": False})
        assert ["packed"] == [why.key for why in TWO.before_selling("lace")]
        assert () == TWO.before_selling("liner") == TWO.before_selling("bearing")

    def test_waits_for_nothing_where_one_cause_asks_for_nothing(self) -> None:
        """... is not held back by what comes first for one cause where it helps against another without."""
        waits = replace(LINER, first=("packed",))
        each = Complaint("both", "Both.", (TWO.causes[0], replace(TWO.causes[1], remedies=(waits,))))
        assert () == each.before_selling("liner")
        assert pytest.approx(0.3) == each.relief("liner").likely

    @pytest.mark.parametrize("code", EVERY)
    def test_keeps_its_bounds_whatever_the_shares(self, code: str) -> None:
        """... lies within its bounds at every corner that the shares may take, and reaches both."""
        each = EVERY[code]
        for by in each.helped_by:
            found = each.relief(by)
            corners = list(product(*[(why.often.low, why.often.high) for why in each.causes]))
            sold = [helps if (helps := why.remedy(by)) and not helps.first else None for why in each.causes]
            for bound, pick in ((found.low, min), (found.high, max)):
                works = [getattr(helps.works, "low" if pick is min else "high") if helps else 0.0 for helps in sold]
                means = [sum(s * w for s, w in zip(shares, works, strict=True)) / sum(shares) for shares in corners]
                assert pytest.approx(pick(means), abs=1e-12) == bound

    @given(st.data())
    def test_is_never_more_than_at_best(self, data: st.DataObject) -> None:
        """... is never more than where its best cause is found, whatever was looked at."""
        each = EVERY[data.draw(st.sampled_from(sorted(EVERY)))]
        keys = [why.key for why in each.causes]
        looked: Mapping[str, bool] = data.draw(st.dictionaries(st.sampled_from(keys), st.booleans()))
        by = data.draw(st.sampled_from(each.helped_by))
        found = each.relief(by, looked)
        assert 0 <= found.low <= found.likely <= found.high <= 1
        assert found.likely <= each.at_best(by, looked).likely + 1e-12

    def test_of_a_strange_cause_is_refused(self) -> None:
        """... after a look at a cause that the complaint does not have is refused."""
        with pytest.raises(InvalidQuantityError, match="packed"):
            TWO.relief("liner", {"paint": True})

    def test_lists_what_helps_once(self) -> None:
        """... is told of every kind and job that helps, each once."""
        assert ("liner", "lace") == TWO.helped_by


class TestLookUp:
    """Looking a complaint up ..."""

    def test_gives_it(self) -> None:
        """... by its code gives it."""
        assert EVERY["heel_lift"] is complaint("heel_lift")

    @pytest.mark.parametrize(
        ("code", "near"), [("heal_lift", "heel_lift"), ("brakes_worn", "brake_worn"), ("numb_toe", "numb_toes")]
    )
    def test_names_the_nearest(self, code: str, near: str) -> None:
        """... by a slip of the pen names what was meant."""
        assert near == nearest_complaint(code)
        with pytest.raises(InvalidQuantityError, match=f"perhaps '{near}'"):
            complaint(code)

    @pytest.mark.parametrize("code", ["zzz", "", "x" * 100_000])
    def test_lists_all_where_none_is_near(self, code: str) -> None:
        """... by anything else lists what there is, and repeats no more than it has to."""
        assert nearest_complaint(code) is None
        with pytest.raises(InvalidQuantityError, match="one of heel_lift, pressure_ankle") as caught:
            complaint(code)
        assert len(str(caught.value)) < 2000


class TestRefused:
    """Refused is ..."""

    @pytest.mark.parametrize(
        ("kind", "job", "works", "expected"),
        [
            ("", "", exactly(0.5), "kind of article"),
            ("lantern", "", exactly(0.5), "kind of article"),
            ("", "hang_lantern", exactly(0.5), "job in the box"),
            ("liner", "hang_lantern", exactly(0.5), "job in the box"),
            ("liner", "swap_frame", exactly(0.5), "fits a liner"),
            ("liner", "fit_liner", Band(-0.1, 0.5, 0.9), "within 0 and 1"),
            ("liner", "fit_liner", Band(0.1, 0.5, 1.1), "within 0 and 1"),
        ],
    )
    def test_a_remedy_that_is_none(self, kind: str, job: str, works: Band, expected: str) -> None:
        """... a remedy by what is not there, by a job for other parts, or with figures that are no shares."""
        with pytest.raises(InvalidQuantityError, match=expected):
            Remedy(kind, job, works)

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"key": ""}, "a key, words and a check"),
            ({"cause": ""}, "a key, words and a check"),
            ({"check": ""}, "a key, words and a check"),
            ({"remedies": ()}, "something to say"),
            ({"answer": Answer.STOP_USING}, "something to say"),
            ({"remedies": (LINER, LINER)}, "each remedy once"),
            ({"often": Band(0.1, 0.5, 1.5)}, "within 0 and 1"),
            ({"often": exactly(0.0)}, "that there is"),
        ],
    )
    def test_a_cause_that_is_none(self, more: dict[str, Any], expected: str) -> None:
        """... a cause that nobody can confirm, that never is, or that leaves the counter without a word."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(cause("packed", exactly(0.5), LINER), **more)

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"code": ""}, "a code"),
            ({"said": ""}, "a code"),
            ({"standing": "measured"}, "a standing"),
            ({"causes": ()}, "each once"),
            ({"causes": (TWO.causes[0], TWO.causes[0])}, "each once"),
            ({"causes": TWO.causes[:1]}, "every time"),
            ({"causes": (cause("packed", exactly(0.4), LINER), cause("large", exactly(0.5), LINER))}, "every time"),
            ({"causes": TWO.causes[1:]}, "every time"),
            ({"causes": (replace(TWO.causes[1], often=exactly(1.0)),)}, "some of large"),
        ],
    )
    def test_a_complaint_that_is_none(self, more: dict[str, Any], expected: str) -> None:
        """... a complaint without a cause, with causes that do not add up, or that waits for a strange one."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(TWO, **more)
