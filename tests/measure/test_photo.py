"""Lengths read off photos that never were, whose truth is known."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from importlib import resources
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.measure.card_edges import CardEdges, Pixel
from mountwright.measure.photo import half_width_of, measured
from mountwright.measure.photo_answer import PhotoLength
from mountwright.measure.photo_faults import photo_faults
from mountwright.measure.photo_limits import photo_limits
from mountwright.measure.photo_question import Heel, Known, Mark, Photo

FLAT = [Known(0, 0), Known(0, 0)]

#: A quarter turn, a half turn, and each of them in a mirror: every way to name four edges in order around a card.
NAMINGS = [tuple((start + way * step) % 4 for step in range(4)) for start in range(4) for way in (1, -1)]


def only(photo: Photo) -> PhotoLength:
    """Give the one length of a photo."""
    (found,) = measured(photo).lengths
    return found


def mirrored(photo: Photo) -> Photo:
    """Give a photo as a mirror shows it."""

    def turned(point: Pixel) -> Pixel:
        return Pixel(photo.width_px - point.x, point.y)

    edges = tuple(tuple(turned(point) for point in edge) for edge in photo.card.points)
    marks = tuple(replace(mark, at=turned(mark.at)) for mark in photo.marks)
    return replace(photo, card=replace(photo.card, points=edges), marks=marks)


def enlarged(photo: Photo, times: float) -> Photo:
    """Give a photo of as many times the pixels."""

    def grown(point: Pixel) -> Pixel:
        return Pixel(times * point.x, times * point.y)

    edges = tuple(tuple(grown(point) for point in edge) for edge in photo.card.points)
    marks = tuple(
        replace(mark, at=grown(mark.at), standard_uncertainty_px=times * mark.standard_uncertainty_px)
        for mark in photo.marks
    )
    return replace(
        photo,
        width_px=round(times * photo.width_px),
        height_px=round(times * photo.height_px),
        focal_px=Known(*(times * figure for figure in photo.focal_px)),
        card=CardEdges(edges, times * photo.card.standard_uncertainty_px),
        marks=marks,
    )


class TestLength:
    """A length ..."""

    @pytest.mark.parametrize("heights", [(0, 0), (0, 10), (10, 0), (3, 3), (-2, 12)], ids=str)
    @pytest.mark.parametrize(("tilt", "about"), [(0, 0), (15, 90), (30, 20), (45, 200), (55, 300)])
    def test_is_exact_where_clicks_are(self, scene: Any, tilt: float, about: float, heights: Any) -> None:
        """... is found to 1e-6 mm from clicks that hit, whatever the tilt, with heights that are told."""
        holes = [(-82.5, 0, heights[0]), (82.5, 0, heights[1])]
        photo = scene(tilt_deg=tilt, about_deg=about).photo(holes, heights=[Known(each, 0.2) for each in heights])

        assert 165 == pytest.approx(only(photo).length_mm, abs=1e-6)

    @pytest.mark.parametrize("mirror", [False, True], ids=["straight", "mirrored"])
    @pytest.mark.parametrize("naming", NAMINGS, ids=str)
    def test_is_the_same_however_the_edges_are_named(self, scene: Any, naming: Any, mirror: bool) -> None:
        """... does not care which edge is called top, which way round they go, or whether a mirror took the photo."""
        view = scene(tilt_deg=25, about_deg=40)
        holes, heights = [(-82.5, 0, 2), (82.5, 0, 12)], [Known(2, 1), Known(12, 1)]
        edges = view.edges()
        plain = view.photo(holes, heights=heights)
        photo = view.photo(holes, heights=heights, edges=[edges[place] for place in naming])
        found, expected = only(mirrored(photo) if mirror else photo), only(plain)

        assert 165 == pytest.approx(found.length_mm, abs=1e-6)
        assert expected.standard_uncertainty_mm == pytest.approx(found.standard_uncertainty_mm, rel=1e-6)

    @pytest.mark.parametrize("naming", NAMINGS, ids=str)
    def test_comes_with_how_the_card_lies(self, scene: Any, naming: Any) -> None:
        """... comes with whether the long edges are those called left and right."""
        edges = scene().edges()
        card = measured(scene().photo(edges=[edges[place] for place in naming])).card

        assert (naming[0] % 2 == 1) == card.is_upright
        assert (7.5, 0) == pytest.approx((card.px_per_mm, card.residual_px), abs=1e-6)

    def test_is_given_for_every_pair(self, scene: Any) -> None:
        """... is given for every pair of marks, or for those that were asked for, in their order."""
        holes = [(-82.5, 0), (82.5, 0), (82.5, 20), (0, -30)]
        photo = scene().photo(holes, heel=Heel.LEVEL)
        every = measured(photo).lengths
        asked = measured(replace(photo, pairs=(("hole 3", "hole 1"), ("hole 0", "hole 1")))).lengths

        assert {frozenset(each.between) for each in every} == {
            frozenset(pair) for pair in combinations(("hole 0", "hole 1", "hole 2", "hole 3"), 2)
        }
        assert [("hole 3", "hole 1"), ("hole 0", "hole 1")] == [each.between for each in asked]
        assert [math.hypot(82.5, 30), 165] == pytest.approx([each.length_mm for each in asked])

    def test_says_where_its_doubt_comes_from(self, scene: Any) -> None:
        """... says which share of its doubt each source has, and the largest is what the next step is about."""
        view = scene(tilt_deg=30)
        cases = {
            "card": view.photo(click_px=2.5, heights=FLAT),
            "heights": view.photo(click_px=0.5, heights=[Known(0, 3), Known(10, 3)]),
            "focal_length": view.photo(
                [(-82.5, 0, 0), (82.5, 0, 40)], 0.3, heights=[Known(0, 0), Known(40, 0)], focal_px=Known(3000, 900)
            ),
        }
        marked = view.photo(click_px=0.5, heights=FLAT)
        cases["marks"] = replace(marked, marks=tuple(replace(mark, standard_uncertainty_px=6) for mark in marked.marks))
        for source, photo in cases.items():
            found = only(photo)
            assert 1 == pytest.approx(sum(found.shares.values()))
            assert source == max(found.shares, key=lambda name: found.shares[name])
            assert found.next_step is not None
            assert f"photo.step_{source}" == found.next_step.code

    @pytest.mark.parametrize("tilt", [0, 35])
    def test_is_in_doubt_by_every_click(self, scene: Any, tilt: float) -> None:
        """... has the doubt that follows from each click by itself, moved along either axis: neighbours share edges."""
        view = scene(tilt_deg=tilt, about_deg=60)
        spots = view.seen([(-82.5, 0), (82.5, 0)])
        clicks = np.concatenate([*view.edges(), spots])

        def length(moved: Any) -> float:
            edges = np.split(clicks + moved, [3, 6, 9, 12])
            return float(only(view.photo(edges=edges[:4], spots=edges[4], heights=FLAT)).length_mm or 0)

        moves = 0.01 * np.eye(clicks.size).reshape(-1, *clicks.shape)
        slopes = [(length(move) - length(-move)) / 0.02 for move in moves]
        found = only(view.photo(heights=FLAT)).standard_uncertainty_mm

        assert math.hypot(*slopes) == pytest.approx(found, rel=1e-3)

    def test_never_has_less_doubt_than_a_photo(self, scene: Any) -> None:
        """... has a half-width of u times root 3, and never less than the data file allows a photo."""
        fine, coarse = only(scene().photo(click_px=0.1, heights=FLAT)), only(scene().photo(click_px=3, heights=FLAT))

        assert 2.0 == fine.half_width_mm > math.sqrt(3) * fine.standard_uncertainty_mm
        assert math.sqrt(3) * coarse.standard_uncertainty_mm == pytest.approx(coarse.half_width_mm)
        assert "photo.step_other_instrument" == fine.next_step.code
        assert (2.0, math.sqrt(3) * 1.5) == (half_width_of(0.0), half_width_of(1.5))

    def test_is_in_more_doubt_where_nobody_told_of_the_heel(self, scene: Any) -> None:
        """... is in doubt by a heel's height where nobody told, by a millimetre on level platforms, and says so."""
        doubts, assumed = [], []
        for heel, heights in ((None, [None, None]), (Heel.LEVEL, [None, None]), (None, FLAT)):
            answer = measured(scene().photo(heel=heel, heights=heights))
            doubts.append(answer.lengths[0].standard_uncertainty_mm)
            assumed.append({each.code for each in answer.assumes} & {"photo.assumes_level", "photo.assumes_any_height"})

        assert doubts[0] > 1.5 > doubts[1] > doubts[2]
        assert [{"photo.assumes_any_height"}, {"photo.assumes_level"}, set()] == assumed

    def test_says_what_nobody_can_see(self, scene: Any) -> None:
        """... comes with what it assumes, a card in the plane first, with what 3 mm would do at this distance."""
        first, *others = measured(scene().photo(heights=FLAT)).assumes

        assert ("photo.assumes_plane", pytest.approx(100 * 3 / 400)) == (first.code, first.params["percent"])
        assert {"photo.assumes_straight_lens", "photo.assumes_whole_picture", "photo.never_2_mm"} <= {
            each.code for each in others
        }
        assert "photo.edges_unchecked" not in {each.code for each in others}

    def test_says_when_nothing_checks_the_edges(self, scene: Any) -> None:
        """... says so where two points on each edge leave nothing over, and gives no residual then."""
        answer = measured(scene().photo(edges=scene().edges((0.1, 0.9))))

        assert "photo.edges_unchecked" in {each.code for each in answer.assumes}
        assert answer.card.residual_px is None


class TestRefusal:
    """A length is refused ..."""

    @pytest.mark.parametrize("told", [(None, None), (Known(0, 1), None), (None, Known(10, 1))], ids=str)
    def test_without_heights_of_a_raised_heel(self, scene: Any, told: Any) -> None:
        """... where the heel is raised and a mark's height was not told; with both told it is measured."""
        found = only(scene().photo(heel=Heel.RAISED, heights=told))

        assert ("photo.heel_without_heights", None, None) == (found.said.code, found.length_mm, found.half_width_mm)
        assert only(scene().photo(heel=Heel.RAISED, heights=FLAT)).length_mm is not None

    def test_only_where_a_height_is_missing(self, scene: Any) -> None:
        """... of a raised heel only where one of its two marks lacks the height, the others are given."""
        photo = scene().photo([(-82.5, 0), (82.5, 0), (0, -30)], heel=Heel.RAISED, heights=[*FLAT, None])
        found = {each.between: each.said.code for each in measured(photo).lengths}

        assert "photo.measured" == found["hole 0", "hole 1"]
        assert {"photo.heel_without_heights"} == {found["hole 0", "hole 2"], found["hole 1", "hole 2"]}

    def test_in_more_doubt_than_two_millimetres(self, scene: Any) -> None:
        """... where its standard uncertainty is above 2 mm, which is told, and not where it is below."""
        at_one = only(scene().photo(click_px=1, heights=FLAT)).standard_uncertainty_mm
        below, above = (only(scene().photo(click_px=2 * share / at_one, heights=FLAT)) for share in (0.99, 1.01))

        assert ("photo.measured", "photo.too_doubtful") == (below.said.code, above.said.code)
        assert (None, 2.02) == (above.length_mm, pytest.approx(above.standard_uncertainty_mm, rel=1e-3))
        assert "photo.step_card" == above.next_step.code

    @pytest.mark.parametrize("apart", [0, 0.001, 0.5])
    def test_in_more_doubt_than_a_quarter_of_it(self, scene: Any, apart: float) -> None:
        """... where its marks are so close that the doubt is above a quarter of it, on one spot included."""
        found = only(scene().photo([(0, 0), (apart, 0)], heights=FLAT))

        assert "photo.too_short" == found.said.code

    def test_given_where_it_is_short_and_sure(self, scene: Any) -> None:
        """... not where a short length is sure enough: 2 mm with 0.3 px."""
        assert 2 == pytest.approx(only(scene().photo([(0, 0), (2, 0)], 0.3, heights=FLAT)).length_mm)

    @pytest.mark.parametrize(("tilt", "expected"), [(50, "photo.measured"), (66, "photo.too_steep")])
    def test_where_the_camera_looks_too_flat(self, scene: Any, tilt: float, expected: str) -> None:
        """... where the line of sight is more than 60 degrees from square."""
        assert expected == only(scene(tilt_deg=tilt).photo(click_px=0.3, heights=FLAT)).said.code

    def test_beyond_the_horizon(self, scene: Any) -> None:
        """... where a mark lies beyond the horizon of the card's plane, whatever is clicked there."""
        view = scene(tilt_deg=55, about_deg=0, focal_px=1500)
        photo = view.photo(spots=[(2000, 1500), (2000, 2900)], heights=FLAT)

        assert "photo.beyond_horizon" == only(photo).said.code

    def test_above_the_camera(self, scene: Any) -> None:
        """... where a mark is said to be above the camera."""
        photo = scene(distance_mm=60, focal_px=400).photo([(-20, 0), (20, 0)], 0.3, heights=[Known(0, 0), Known(70, 1)])

        assert "photo.above_camera" == only(photo).said.code

    def test_where_the_outline_is_no_card(self, scene: Any) -> None:
        """... where what was clicked is square: no turn and no tilt makes an ID-1 card of it at this focal length."""
        corners = np.array([(-40, 20), (40, 20), (40, 100), (-40, 100)])
        ends = zip(corners, np.roll(corners, -1, axis=0), strict=True)
        square = [scene().seen([a + share * (b - a) for share in (0.1, 0.5, 0.9)]) for a, b in ends]

        assert "photo.no_card_shape" == only(scene().photo(edges=square, heights=FLAT)).said.code

    def test_where_the_focal_length_is_another(self, scene: Any) -> None:
        """... where a tilted card does not go with the focal length, unless that is in as much doubt."""
        view = scene(tilt_deg=40)
        wrong, doubtful = (view.photo(heights=FLAT, focal_px=Known(3900, doubt)) for doubt in (20, 700))

        assert ("photo.no_card_shape", "photo.measured") == (only(wrong).said.code, only(doubtful).said.code)

    def test_where_the_picture_was_cropped(self, scene: Any) -> None:
        """... where a tilted picture was cropped on one side, so that its centre is not the lens's."""
        photo = scene(tilt_deg=40, focal_px=3000).photo(click_px=0.5, heights=FLAT)

        assert "photo.no_card_shape" == only(replace(photo, width_px=2700)).said.code


class TestLaw:
    """What must hold of any photo: its lengths ..."""

    @settings(max_examples=40, deadline=None)
    @given(st.data())
    def test_do_not_depend_on_its_pixels(self, scene: Any, data: st.DataObject) -> None:
        """... and their doubts are the same for a picture of more or fewer pixels."""
        photo = any_photo(scene, data)
        times = data.draw(st.sampled_from([0.5, 2, 3]))

        assert figures(photo) == pytest.approx(figures(enlarged(photo, times)), rel=1e-3, abs=1e-6)

    @settings(max_examples=40, deadline=None)
    @given(st.data())
    def test_do_not_depend_on_the_order_of_marks(self, scene: Any, data: st.DataObject) -> None:
        """... are the same in whatever order its marks and the points of its edges are told."""
        photo = any_photo(scene, data)
        edges = tuple(tuple(data.draw(st.permutations(edge))) for edge in photo.card.points)
        marks = tuple(data.draw(st.permutations(photo.marks)))
        other = replace(photo, marks=marks, card=replace(photo.card, points=edges))

        assert figures(photo) == pytest.approx(figures(other), rel=1e-6)

    @settings(max_examples=40, deadline=None)
    @given(st.data())
    def test_do_not_depend_on_where_it_was_shifted(self, scene: Any, data: st.DataObject) -> None:
        """... are the same for a shifted picture, where heights and tilt are 0: nothing else needs the centre."""
        photo = any_photo(scene, data, tilt=0.0)
        right, down = data.draw(st.floats(-100, 100)), data.draw(st.floats(-100, 100))

        def shifted(at: Pixel) -> Pixel:
            return Pixel(at.x + right, at.y + down)

        edges = tuple(tuple(shifted(point) for point in edge) for edge in photo.card.points)
        marks = tuple(replace(mark, at=shifted(mark.at)) for mark in photo.marks)
        other = replace(photo, marks=marks, card=replace(photo.card, points=edges))
        found, expected = ([each.length_mm for each in measured(asked).lengths] for asked in (other, photo))

        assert expected == pytest.approx(found, abs=1e-6)

    @settings(max_examples=100, deadline=None)
    @given(st.data())
    def test_are_finite_or_refused(self, scene: Any, data: st.DataObject) -> None:
        """... are finite, within 2 mm and a quarter of themselves, or refused, wherever its marks were put."""
        spots = data.draw(st.lists(st.tuples(st.floats(0, 4000), st.floats(0, 3000)), min_size=2, max_size=5))
        view = scene(tilt_deg=data.draw(st.floats(-80, 80)), about_deg=data.draw(st.floats(0, 360)))
        photo = view.photo([(0, 0)] * len(spots), data.draw(st.floats(0.1, 4)), spots=spots)
        lengths = () if photo_faults(photo) else measured(photo).lengths
        for found in lengths:
            if found.length_mm is not None:
                assert math.isfinite(found.length_mm)
                assert 0 < found.standard_uncertainty_mm <= min(2.0, found.length_mm / 4)


def figures(photo: Photo) -> dict[str, float]:
    """Give each length and its doubt by the marks, in the order of their names; refused ones are 0."""
    found = {}
    for each in measured(photo).lengths:
        marks = " ".join(sorted(each.between))
        found[f"{marks} mm"] = each.length_mm or 0.0
        found[f"{marks} doubt"] = each.standard_uncertainty_mm or 0.0
    return found


def any_photo(scene: Any, data: st.DataObject, tilt: float | None = None) -> Photo:
    """Draw a photo of three marks on level platforms."""
    view = scene(
        tilt_deg=data.draw(st.floats(0, 45)) if tilt is None else tilt,
        about_deg=data.draw(st.floats(0, 360)),
        card_at=(data.draw(st.floats(-30, 30)), data.draw(st.floats(45, 70))),
    )
    holes = [(-82.5, 0), (82.5, 0), (data.draw(st.floats(-40, 40)), -40)]
    return view.photo(holes, data.draw(st.floats(0.3, 1)), heights=[Known(0, 1)] * 3)


class TestPhoto:
    """A photo ..."""

    @pytest.mark.parametrize("size", [(0, 3000), (4000, -1)])
    def test_has_a_size(self, scene: Any, size: tuple[int, int]) -> None:
        """... has a size."""
        with pytest.raises(InvalidQuantityError):
            replace(scene().photo(), width_px=size[0], height_px=size[1])

    def test_has_a_focal_length(self, scene: Any) -> None:
        """... was taken with some focal length."""
        with pytest.raises(InvalidQuantityError):
            scene().photo(focal_px=Known(0, 1))

    @pytest.mark.parametrize("pair", [("hole 0", "hole 0"), ("hole 0", "hole 7")], ids=str)
    def test_is_asked_for_two_of_its_marks(self, scene: Any, pair: tuple[str, str]) -> None:
        """... is asked for the distance of two of its own marks."""
        with pytest.raises(InvalidQuantityError):
            replace(scene().photo(), pairs=(pair,))

    def test_has_marks_that_can_be_told_apart(self, scene: Any) -> None:
        """... has two marks or more, each with a name of its own."""
        first, second = scene().photo().marks
        for marks in ((first,), (first, replace(second, name=first.name))):
            with pytest.raises(InvalidQuantityError):
                replace(scene().photo(), marks=marks)

    def test_has_marks_in_some_doubt(self) -> None:
        """... has marks that are in some doubt."""
        with pytest.raises(InvalidQuantityError):
            Mark("front", Pixel(1, 1), 0.0)

    def test_with_faults_is_not_measured(self, scene: Any) -> None:
        """... with faults is not measured."""
        with pytest.raises(InvalidQuantityError):
            measured(scene().photo(spots=[(1, 1), (4001, 1)]))


class TestLimits:
    """The limits in the box ..."""

    def test_say_what_they_are(self) -> None:
        """... are choices, each within its range and with a reason."""
        text = resources.files("mountwright.measure").joinpath("photo_limits.toml").read_text(encoding="utf-8")
        for name, row in tomllib.loads(text).items():
            low, high = row["range"]
            assert low <= row["value"] == getattr(photo_limits(), name) <= high
            assert row["standing"] in {"estimate", "common practice"}
            assert row["note"]
