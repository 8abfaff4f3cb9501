"""Fit checks by SKU and by model: the catalogue's skate and parts, with what was measured on the piece in hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

Json = dict[str, Any]
Keep = Callable[..., None]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
FRAME: Json = {"sku": "towpath-4x80", "kind": "frame", "name": "Towpath", "mounts": [MOUNT]}
SKATE: Json = {"sku": "lantern", "kind": "skate", "name": "Marrowby Lantern", "mounts": [MOUNT]}
LATER: Json = {
    **SKATE,
    "sku": "lantern-2022",
    "made_from": 2022,
    "mark": "black screws",
    "mounts": [{**MOUNT, "standard": "two-bolt-195"}],
}
EARLIER: Json = {**SKATE, "sku": "lantern-2019", "made_from": 2019, "made_to": 2021, "mark": "silver rivets"}


def ask(client: FlaskClient, skate: Json, *parts: Json) -> Json:
    """Ask for a fit check."""
    answer: Json = client.post("/v1/fit-checks", json={"skate": skate, "parts": list(parts)}).get_json()
    return answer


def test_a_skate_and_a_part_are_known_by_their_skus(keep: Keep, asking: FlaskClient) -> None:
    """The answer is that of the same mounts given inline, and its receipt names the catalogue."""
    keep(FRAME, SKATE)
    answer = ask(asking, {"sku": "lantern"}, {"sku": "towpath-4x80"})

    assert ("fits", "towpath-4x80") == (answer["verdict"], answer["parts"][0]["sku"])
    assert answer["receipt"]["catalogue"].startswith("1-")


def test_an_inline_question_names_no_catalogue(asking: FlaskClient) -> None:
    """What was not read cannot have mattered."""
    answer = ask(asking, {"mounts": [MOUNT]}, {"kind": "frame", "mounts": [MOUNT]})

    assert answer["receipt"]["catalogue"] is None


def test_an_unknown_sku_is_pointed_at_with_the_near_spelling(keep: Keep, asking: FlaskClient) -> None:
    """In the skate and in every part."""
    keep(FRAME, SKATE)
    refused = ask(asking, {"sku": "lanten"}, {"sku": "towpath-4x80"}, {"sku": "tovpath-4x80"}, {"sku": "bell"})

    assert [
        ("/skate/sku", "request.unknown_sku_near", "'lantern'"),
        ("/parts/1/sku", "request.unknown_sku_near", "'towpath-4x80'"),
        ("/parts/2/sku", "request.unknown_sku", None),
    ] == [(fault["pointer"], fault["code"], fault["params"].get("near")) for fault in refused["errors"]]


@pytest.mark.parametrize(
    ("skate", "part", "code"),
    [("towpath-4x80", "towpath-4x80", "request.not_a_skate"), ("lantern", "lantern", "request.not_a_part")],
)
def test_a_sku_of_the_other_sort_is_refused(keep: Keep, asking: FlaskClient, skate: str, part: str, code: str) -> None:
    """A frame is no skate and a skate is no part."""
    keep(FRAME, SKATE)
    refused = ask(asking, {"sku": skate}, {"sku": part})

    assert [code] == [fault["code"] for fault in refused["errors"]]


def test_a_reading_that_agrees_makes_the_answer_surer(keep: Keep, asking: FlaskClient) -> None:
    """A measured dimension updates the catalogued one."""
    keep(FRAME, SKATE)
    reading = {"hole_spacing_mm": {"value": 165.0, "instrument": "caliper"}}
    plain = ask(asking, {"sku": "lantern"}, {"sku": "towpath-4x80"})
    read = ask(
        asking, {"sku": "lantern", "mounts": [{"position": "frame", "dimensions": reading}]}, {"sku": "towpath-4x80"}
    )

    assert plain["parts"][0]["probability"] < read["parts"][0]["probability"]


def test_a_reading_that_disagrees_is_a_contradiction_and_no_fit(keep: Keep, asking: FlaskClient) -> None:
    """It is never averaged away."""
    drawing = {"hole_spacing_mm": {"value": 165.0, "instrument": "maker_drawing"}}
    keep(FRAME, {**SKATE, "mounts": [{**MOUNT, "dimensions": drawing}]})
    reading = {"hole_spacing_mm": {"value": 167.5, "instrument": "caliper"}}
    answer = ask(
        asking, {"sku": "lantern", "mounts": [{"position": "frame", "dimensions": reading}]}, {"sku": "towpath-4x80"}
    )

    assert "fits" != answer["verdict"]
    assert [167.5] == [found["found"] for found in answer["parts"][0]["contradictions"]]


def test_versions_that_differ_ask_for_the_mark(keep: Keep, asking: FlaskClient) -> None:
    """One name hides two mounts: the answer says what to look at."""
    keep(FRAME, EARLIER, LATER)
    (part,) = ask(asking, {"model": {"name": "MARROWBY lantern"}}, {"sku": "towpath-4x80"})["parts"]

    assert ("cannot_tell", "step.which_version") == (part["verdict"], part["next_step"]["code"])
    assert [("lantern-2019", "fits"), ("lantern-2022", "fits_with_parts")] == [
        (version["sku"], version["verdict"]) for version in part["versions"]
    ]
    assert "silver rivets" in part["next_step"]["message"]


def test_a_year_leaves_one_version(keep: Keep, asking: FlaskClient) -> None:
    """And that one answers."""
    keep(FRAME, EARLIER, LATER)

    assert (
        "fits" == ask(asking, {"model": {"name": "Marrowby Lantern", "made": 2020}}, {"sku": "towpath-4x80"})["verdict"]
    )


def test_a_reading_leaves_the_version_that_it_agrees_with(keep: Keep, asking: FlaskClient) -> None:
    """What was measured on the skate in hand tells its version, and nobody has to look."""
    keep(FRAME, EARLIER, LATER)
    reading = {"position": "frame", "dimensions": {"hole_spacing_mm": {"value": 195.1, "instrument": "caliper"}}}
    skate = {"model": {"name": "Marrowby Lantern"}, "mounts": [reading]}
    (part,) = ask(asking, skate, {"sku": "towpath-4x80"})["parts"]

    assert ["lantern-2022"] == [version["sku"] for version in part["versions"]]
    assert ("fits_with_parts", None) == (part["verdict"], part["next_step"])


def test_versions_that_agree_need_no_look(keep: Keep, asking: FlaskClient) -> None:
    """Where every version takes the part in the same way, nobody is asked."""
    keep(FRAME, EARLIER, {**LATER, "mounts": [MOUNT]})
    (part,) = ask(asking, {"model": {"name": "Marrowby Lantern"}}, {"sku": "towpath-4x80"})["parts"]

    assert ("fits", None) == (part["verdict"], part["next_step"])


def test_a_model_that_nobody_has_is_refused(asking: FlaskClient) -> None:
    """With its place."""
    refused = ask(asking, {"model": {"name": "Nobody's"}}, {"kind": "frame", "mounts": [MOUNT]})

    assert [("/skate/model", "request.unknown_model")] == [(f["pointer"], f["code"]) for f in refused["errors"]]


def test_a_part_whose_standard_is_not_installed_is_not_guessed_at(keep: Keep, asking: FlaskClient) -> None:
    """cannot_tell, with the standard named."""
    keep({**FRAME, "mounts": [{**MOUNT, "standard": "bell-mount-9"}]}, SKATE)
    (part,) = ask(asking, {"sku": "lantern"}, {"sku": "towpath-4x80"})["parts"]

    assert ("cannot_tell", "step.standard_not_installed") == (part["verdict"], part["next_step"]["code"])


def test_an_identification_starts_from_the_catalogues_mount(keep: Keep, asking: FlaskClient) -> None:
    """By SKU and position, with what was measured beside it."""
    keep(FRAME)
    body = {"sku": "towpath-4x80", "mount": {"position": "frame"}}
    (found,) = asking.post("/v1/mount-identifications", json=body).get_json()["identifications"]

    assert "two-bolt-165" == found["candidates"][0]["standard"]
