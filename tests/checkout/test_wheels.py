"""Wheels have room in the frame, beside each other and under the sole, or they do not, or that has to be asked."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from importlib import resources
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.checkout.article import Article
from mountwright.checkout.finding import Decision, Finding, worst
from mountwright.checkout.wheels import staying_wheel_findings, wheel_findings
from mountwright.fitting.answers import Outcome
from mountwright.mounts.mount import Part


def article(kind: str, **specs: Any) -> Article:
    """Give an article with figures, those that are None left out."""
    return Article(kind, Part(kind, ()), specs={name: value for name, value in specs.items() if value is not None})


def frame(count: int, wheelbase_mm: float, down_mm: float = 46, largest_mm: float | None = 125, **one: Any) -> Article:
    """Give a frame with its axles evenly on the level; what is said of one place holds for the first."""
    step = wheelbase_mm / (count - 1)
    places: list[dict[str, Any]] = [
        {"along_mm": wheelbase_mm / 2 - step * index, "down_mm": down_mm} for index in range(count)
    ]
    places[0] |= one
    return article("frame", axle_places=places, largest_wheel_mm=largest_mm)


def wheel(diameter_mm: float | None) -> Article:
    """Give a wheel."""
    return article("wheel", diameter_mm=diameter_mm)


def sole(eu_size: float, height_mm: float = 0, **more: Any) -> dict[str, Any]:
    """Give a level sole, so high above the plane under its front."""
    ends = {"outline_along_mm": [150, -130], "outline_down_mm": [-height_mm, -height_mm]}
    return {"eu_size": eu_size, **ends, **more}


def boot(*soles: dict[str, Any]) -> Article:
    """Give a skate with soles."""
    return article("skate", soles=list(soles))


BARE = article("skate")


def found(diameter_mm: float | None, on: Article | None, skate: Article = BARE, **more: Any) -> tuple[Finding, ...]:
    """Give what is found of wheels of one diameter."""
    wheels = wheel(diameter_mm)
    return wheel_findings([(wheels, 8)], on, skate, **more)[wheels]


def codes(findings: Sequence[Finding]) -> set[str]:
    """Give the codes of findings."""
    return {finding.code.removeprefix("cart.") for finding in findings}


# Common practice: the shortest wheelbase is (n - 1)(w + 1), 1 mm between wheels. 4 x 80 on 243 is a printed figure of
# the trade, the others are the rule's arithmetic.
@pytest.mark.parametrize(
    ("count", "diameter_mm", "wheelbase_mm"), [(4, 76, 231), (4, 80, 243), (4, 110, 333), (3, 125, 252), (5, 100, 404)]
)
def test_the_shortest_wheelbase_of_the_trade_has_room(count: int, diameter_mm: float, wheelbase_mm: float) -> None:
    """A millimetre is enough."""
    [finding] = found(diameter_mm, frame(count, wheelbase_mm))

    assert (Decision.CLEAR, "cart.wheels_have_room") == (finding.decision, finding.code)
    assert finding.check is not None
    assert finding.check.probability > 0.95


@pytest.mark.parametrize(("largest_mm", "code"), [(80, "wheels_have_room"), (79, "wheel_too_large")])
def test_a_frame_takes_wheels_up_to_its_figure(largest_mm: float, code: str) -> None:
    """Marks are compared with marks: 80 in a frame for 80."""
    assert {code} == codes(found(80, frame(4, 260, largest_mm=largest_mm)))


def test_a_wheel_that_is_too_large_is_stopped_with_its_figures() -> None:
    """84 in a frame for 80 is out by 4."""
    [finding] = found(84, frame(4, 270, largest_mm=80))

    assert finding.check is not None
    assert (Decision.STOP, "largest_wheel", Outcome.FAIL, -4_000) == (
        finding.decision,
        finding.check.code,
        finding.check.outcome,
        finding.check.margin,
    )


# 0.5 mm is the least gap (0.3 to 1.0), and a wheel may be 1 mm smaller than marked: one marked 80 measured 79.2.
@pytest.mark.parametrize(
    ("pitch_mm", "code"),
    [
        (80.5, "wheels_have_room"),
        (80.4, "wheel_room_close"),
        (80, "wheel_room_close"),
        (79, "wheel_room_close"),
        (78.9, "wheels_too_close"),
        (77, "wheels_too_close"),
    ],
)
def test_neighbours_are_refused_only_where_no_doubt_of_their_marks_helps(pitch_mm: float, code: str) -> None:
    """Two wheels of 80, so far apart."""
    [finding] = found(80, frame(4, 3 * pitch_mm))

    assert f"cart.{code}" == finding.code
    assert finding.check is not None
    assert "wheel_gap" == finding.check.code
    assert finding.check.outcome is {"wheels_have_room": Outcome.PASS, "wheels_too_close": Outcome.FAIL}.get(
        code, Outcome.UNDECIDED
    )


def test_a_wheel_that_is_both_too_large_and_too_close_is_told_both() -> None:
    """84 in a frame of 4 x 76."""
    assert {"wheel_too_large", "wheels_too_close"} == codes(found(84, frame(4, 231, largest_mm=76)))


@pytest.mark.parametrize(
    ("diameter_mm", "on", "missing"),
    [
        (80, None, "frame.largest_wheel_mm"),
        (80, article("frame"), "frame.largest_wheel_mm"),
        (80, frame(4, 260, largest_mm=None), "frame.largest_wheel_mm"),
        (None, frame(4, 260), "wheel.diameter_mm"),
    ],
    ids=["no frame", "no figures", "no largest wheel", "no diameter"],
)
def test_what_nobody_knows_is_asked_with_what_to_measure(
    diameter_mm: float | None, on: Article | None, missing: str
) -> None:
    """Never guessed."""
    [finding] = found(diameter_mm, on)

    assert (Decision.CONFIRM, "cart.wheel_room_unknown", True) == (finding.decision, finding.code, finding.unknown)
    assert finding.check is not None
    assert (missing,) == finding.check.missing
    assert finding.step is not None


def test_a_frames_figure_is_enough_where_its_axle_places_are_not_known() -> None:
    """Its maker says that it takes them."""
    assert {"wheels_have_room"} == codes(found(80, article("frame", largest_wheel_mm=80)))


def test_axle_places_alone_are_enough_to_refuse() -> None:
    """Wheels that overlap do so in any frame."""
    assert "wheels_too_close" in codes(found(90, frame(4, 243, largest_mm=None)))


@pytest.mark.parametrize("on", [None, article("frame")], ids=["of the boot's own", "without figures"])
@pytest.mark.parametrize(("diameter_mm", "code"), [(76, "wheels_have_room"), (78, "wheel_room_unknown")])
def test_wheels_no_larger_than_those_that_turned_in_the_same_frame_have_room(
    on: Article | None, diameter_mm: float, code: str
) -> None:
    """Of wheels of 76 and 80 the smaller tell, for nobody knows which place takes which."""
    assert {code} == codes(found(diameter_mm, on, stood=[wheel(76), wheel(80)]))


def test_a_frames_own_figure_goes_before_the_wheels_that_turned_in_it() -> None:
    """It may take larger ones than it was sold with."""
    assert {"wheels_have_room"} == codes(found(84, frame(4, 270, largest_mm=84), stood=[wheel(80)]))


def test_wheels_of_unknown_diameter_that_turned_in_a_frame_tell_nothing() -> None:
    """One of them may be the smallest."""
    assert {"wheel_room_unknown"} == codes(found(76, None, stood=[wheel(80), wheel(None)]))


class TestSole:
    """A wheel under the sole ..."""

    @pytest.mark.parametrize("height_mm", [2, 8])
    def test_has_room(self, height_mm: float) -> None:
        """... has room from 2 mm on (an estimate, 1 to 3)."""
        assert {"wheels_have_room"} == codes(found(80, frame(4, 260, down_mm=40), boot(sole(42, height_mm))))

    def test_that_stands_in_it_is_stopped(self) -> None:
        """... is stopped where no doubt of outline and marks helps."""
        [finding] = found(90, frame(4, 280, down_mm=35), boot(sole(42, front_block_depth_mm=5)))

        assert finding.check is not None
        assert (Decision.STOP, "cart.wheel_in_sole", "sole_gap", -5_000) == (
            finding.decision,
            finding.code,
            finding.check.code,
            finding.check.value,
        )

    @pytest.mark.parametrize("down_mm", [41.9, 40, 38])
    def test_that_may_touch_it_is_asked_about(self, down_mm: float) -> None:
        """... is asked about below 2 mm, as long as the doubt of outline and mark, 2 mm together, may save it."""
        skate = boot(sole(42, front_block_depth_mm=0))

        assert {"wheel_room_close"} == codes(found(80, frame(4, 260, down_mm), skate))

    @pytest.mark.parametrize("blocks", [{"front_block_depth_mm": 5}, {}])
    def test_is_not_guessed_at_where_the_blocks_decide(self, blocks: dict[str, Any]) -> None:
        """... is asked about where it has room only if the outline leaves the blocks out."""
        [finding] = found(80, frame(4, 260, 40), boot(sole(42, **blocks)))

        assert ("cart.wheel_room_unknown", True) == (finding.code, finding.unknown)

    def test_gains_what_an_adapter_lifts(self) -> None:
        """... has the height of a plate between boot and frame more."""
        plate, on = article("adapter", height_mm=8), frame(4, 260, 40)

        assert {"wheels_have_room"} == codes(found(80, on, boot(sole(42)), adapters=[plate]))

    def test_is_not_stopped_under_an_adapter_of_unknown_height(self) -> None:
        """... may have room under it."""
        on, skate = frame(4, 280, 35), boot(sole(42, front_block_depth_mm=5))

        assert {"wheel_room_unknown"} == codes(found(90, on, skate, adapters=[article("adapter")]))

    @pytest.mark.parametrize(
        ("eu_size", "expected"),
        [
            (38, {"wheel_in_sole"}),
            (46, {"wheels_have_room"}),
            (42, {"wheel_room_unknown"}),
            (None, {"wheel_room_unknown"}),
        ],
    )
    def test_goes_by_the_size_that_is_worn(self, eu_size: float | None, expected: set[str]) -> None:
        """... goes by the sole of that size, and asks where two soles differ."""
        skate = boot(sole(46, 12, front_block_depth_mm=0), sole(38, 0, front_block_depth_mm=0))

        assert expected == codes(found(90, frame(4, 280, 40), skate, eu_size=eu_size))

    @pytest.mark.parametrize("skate", [BARE, boot({"eu_size": 42}), boot(sole(36))])
    def test_is_not_held_against_an_outline_that_nobody_gave(self, skate: Article) -> None:
        """... has the frame's figure for its answer where no outline is of the size."""
        assert {"wheels_have_room"} == codes(found(80, frame(4, 260, 30), skate, eu_size=42))

    def test_tells_how_far_the_wheels_reach(self) -> None:
        """... tells the reach of the wheels beyond toe and heel: 130 + 40 of 150, and of 130."""
        [finding] = found(80, frame(4, 260, 60), boot(sole(42)), eu_size=42)

        assert (20, 40) == (finding.params["toe_overhang_mm"], finding.params["heel_overhang_mm"])

    @pytest.mark.parametrize(
        ("skate", "settings"), [(boot(sole(38), sole(46)), []), (boot(sole(42)), [-1, 0]), (BARE, [])]
    )
    def test_tells_no_reach_that_is_not_settled(self, skate: Article, settings: list[float]) -> None:
        """... tells none where size or setting is open, or no outline is known."""
        [finding] = found(80, frame(4, 260, 60, down_settings_mm=settings), skate)

        assert {"kind", "diameter_mm"} == set(finding.params)

    def test_is_not_stopped_where_one_of_its_soles_may_stand_higher(self) -> None:
        """... is asked about while the size may be one whose blocks nobody measured."""
        skate = boot(sole(38, front_block_depth_mm=0), sole(46))

        assert {"wheel_room_unknown"} == codes(found(90, frame(4, 280, 35), skate))

    def test_is_asked_about_where_the_setting_of_its_axle_decides(self) -> None:
        """... has room in the deepest setting only."""
        on = frame(4, 260, 50, down_settings_mm=[-10, 0])

        assert {"wheel_places_open"} == codes(found(80, on, boot(sole(42, front_block_depth_mm=0))))


def mixed(on: Article, **pieces: int) -> dict[int, set[str]]:
    """Give what is found of wheels of several diameters, by diameter."""
    wheels = {int(name.removeprefix("of_")): count for name, count in pieces.items()}
    articles = {wheel(size): count for size, count in wheels.items()}
    answer = wheel_findings(list(articles.items()), on, BARE)
    return {int(each.specs["diameter_mm"]): codes(found) for each, found in answer.items()}


def places(*downs_mm: float, pitch_mm: float, **one: Any) -> Article:
    """Give a frame whose axles stand at several depths, from the front; what is said of one holds for the first."""
    rows = [{"along_mm": -pitch_mm * index, "down_mm": down} for index, down in enumerate(downs_mm)]
    rows[0] |= one
    return article("frame", axle_places=rows, largest_wheel_mm=90)


class TestSeveralDiameters:
    """Wheels of several diameters ..."""

    def test_have_room_where_any_of_them_may_stand_anywhere(self) -> None:
        """... have room wherever each of them stands."""
        answer = mixed(frame(4, 270), of_80=4, of_84=4)

        assert {80: {"wheels_have_room"}, 84: {"wheels_have_room"}} == answer

    def test_are_refused_where_the_larger_overlap_whatever_stands_beside(self) -> None:
        """... do not fit where even the smallest neighbour is too close."""
        assert "wheels_too_close" in mixed(frame(4, 231), of_76=4, of_84=4)[84]

    def test_are_asked_about_where_it_depends_on_their_places(self) -> None:
        """... have room beside small ones and none beside large ones."""
        assert {"wheel_places_open"} == mixed(frame(4, 243), of_78=4, of_82=4)[82]

    def test_stand_where_the_axles_put_them_on_one_plane(self) -> None:
        """... stand large under the high axles where that is the only way to be level."""
        answer = mixed(places(44, 44, 48, 48, pitch_mm=82), of_76=4, of_84=4)

        assert {76: {"wheels_have_room"}, 84: {"wheels_too_close"}} == answer

    @pytest.mark.parametrize(
        "on",
        [places(44, 44, 46, 46, pitch_mm=82), places(44, 44, 48, 48, pitch_mm=82, down_settings_mm=[-1, 0])],
        ids=["no plane", "settings"],
    )
    def test_are_asked_about_where_no_place_puts_them_on_one_plane_for_certain(self, on: Article) -> None:
        """... may stand anywhere where they come out uneven, or an axle can be set."""
        assert {"wheel_places_open"} == mixed(on, of_76=4, of_84=4)[84]

    def test_are_asked_about_where_they_are_nearly_level_either_way(self) -> None:
        """... of 80 and 82 on level axles may stand either way about."""
        assert {"wheel_places_open"} == mixed(frame(4, 244.5), of_80=4, of_82=4)[82]

    def test_of_which_a_single_one_is_over_have_room(self) -> None:
        """... have room though one wheel is left for no skate of the two."""
        assert {80: {"wheels_have_room"}, 76: {"wheels_have_room"}} == mixed(frame(4, 270), of_80=8, of_76=1)

    def test_of_which_one_has_no_diameter_are_not_put_in_line(self) -> None:
        """... leave the others to the frame's figure where one of them is unknown."""
        known, unknown = wheel(80), wheel(None)
        answer = wheel_findings([(known, 4), (unknown, 4)], frame(4, 231), BARE)

        assert ({"wheels_have_room"}, {"wheel_room_unknown"}) == (codes(answer[known]), codes(answer[unknown]))


def test_an_axle_that_can_be_set_is_asked_about_where_its_setting_decides() -> None:
    """Level it overlaps, raised by 30 it does not."""
    on = frame(2, 76, down_mm=60, down_settings_mm=[-30, 0])

    assert {"wheel_places_open"} == codes(found(80, on))


def test_settings_that_change_nothing_are_not_asked_about() -> None:
    """Two millimetres of rocker leave the same room."""
    assert {"wheels_have_room"} == codes(found(80, frame(4, 250, down_settings_mm=[-2, 0])))


def test_wheels_that_stay_are_asked_about_for_a_new_frame() -> None:
    """The frame goes on; it is the old wheels that do not."""
    old, new = wheel(84), frame(4, 270, largest_mm=80)
    [finding] = staying_wheel_findings(new, wheel_findings([(old, 8)], new, BARE))

    assert (Decision.CONFIRM, "cart.staying_part_does_not_fit", (old,)) == (
        finding.decision,
        finding.code,
        finding.against,
    )
    assert {"kind": "frame", "staying": "wheel"} == finding.params
    assert finding.check is not None


def test_wheels_that_stay_and_are_unknown_are_asked_about() -> None:
    """A frame without figures."""
    old, new = wheel(84), article("frame")
    [finding] = staying_wheel_findings(new, wheel_findings([(old, 8)], new, BARE))

    assert ("cart.staying_part_unknown", True, Decision.CONFIRM) == (finding.code, finding.unknown, finding.decision)


def test_wheels_that_stay_and_have_room_are_said_to() -> None:
    """Nothing is asked."""
    old, new = wheel(80), frame(4, 260)

    assert {"wheels_have_room"} == codes(staying_wheel_findings(new, wheel_findings([(old, 8)], new, BARE)))


FIGURES = resources.files("mountwright.checkout").joinpath("estimates.toml")


def test_every_estimate_lies_within_the_range_that_it_was_chosen_from() -> None:
    """And says what it stands on."""
    tables = list(tomllib.loads(FIGURES.read_text(encoding="utf-8")).values())
    rows = [row for table in tables for row in ([table] if "range" in table else table.values())]

    assert all(row["standing"] in ("estimate", "common practice") for row in rows)
    assert all(row["range"][0] <= next(iter(row.values())) <= row["range"][1] for row in rows)


DIAMETERS = st.integers(50, 125)
FRAMES = st.builds(
    frame,
    st.integers(2, 5),
    st.integers(150, 420),
    st.integers(30, 70),
    st.integers(60, 125) | st.none(),
    down_settings_mm=st.sampled_from([[], [-2, 0], [-4, 0, 2]]),
)
BOOTS = st.lists(
    st.builds(sole, st.sampled_from([38, 42, 46]), st.integers(-10, 10), front_block_depth_mm=st.integers(0, 8)),
    unique_by=lambda row: row["eu_size"],
    max_size=3,
).map(lambda rows: boot(*rows))


@given(DIAMETERS, DIAMETERS, FRAMES, BOOTS, st.sampled_from([None, 38, 40]))
def test_smaller_wheels_never_do_worse(one: int, other: int, on: Article, skate: Article, eu_size: Any) -> None:
    """In any frame, under any boot."""
    small, large = (found(size, on, skate, eu_size=eu_size) for size in sorted((one, other)))

    assert worst(each.decision for each in small).rank <= worst(each.decision for each in large).rank


@given(DIAMETERS, st.integers(2, 5), st.integers(150, 420), st.integers(0, 60))
def test_a_longer_wheelbase_never_does_worse(diameter: int, count: int, wheelbase: int, longer: int) -> None:
    """The wheels stand further apart."""
    short, long = (found(diameter, frame(count, base)) for base in (wheelbase, wheelbase + longer))

    assert worst(each.decision for each in long).rank <= worst(each.decision for each in short).rank


@given(st.lists(st.tuples(DIAMETERS, st.none() | st.integers(1, 8)), min_size=1, max_size=3), FRAMES, BOOTS)
def test_a_stop_always_has_the_check_that_failed(
    sizes: list[tuple[int, int | None]], on: Article, skate: Article
) -> None:
    """And a clear one nothing that failed or is open."""
    answer = wheel_findings([(wheel(size), pieces) for size, pieces in sizes], on, skate)
    expected = {Decision.STOP: {Outcome.FAIL}, Decision.CLEAR: {Outcome.PASS}}

    for finding in (each for findings in answer.values() for each in findings):
        assert finding.check is not None
        assert finding.check.outcome in expected.get(finding.decision, {Outcome.UNDECIDED, Outcome.NOT_MEASURED})


@given(st.lists(st.tuples(DIAMETERS, st.integers(1, 8)), min_size=1, max_size=3), FRAMES, st.randoms())
def test_the_order_of_the_wheels_does_not_matter(sizes: list[tuple[int, int]], on: Article, chance: Any) -> None:
    """Nor does it matter that one diameter comes as two articles."""
    wheels = [(wheel(size), pieces) for size, pieces in sizes]
    shuffled = list(wheels)
    chance.shuffle(shuffled)

    assert wheel_findings(wheels, on, BARE) == wheel_findings(shuffled, on, BARE)
