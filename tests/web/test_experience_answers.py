"""Experience as the contract shows it: counts, shares and a sentence beside the geometry's own word."""

from __future__ import annotations

from mountwright.fitting.answers import Experience, PartAnswer, Reports
from mountwright.fitting.verdict import Verdict
from mountwright.messages import Messages
from mountwright.web.answers.fit_answers import Json, part_json
from mountwright.web.schemas.fit_checks import ExperienceSchema, GeometrySchema, PartAnswerSchema

MESSAGES = Messages(
    {
        "experience.conflict": "{verdict}, but {failures} of {successes}: {share_percent} %",
        "experience.counted": "{verdict}: {share_percent} %",
    }
)


def shown(conflict: bool) -> Json:
    """Give the experience of two reports as JSON."""
    reports = Reports(1, 0.8), Reports(1, 0.5)
    experience = Experience(Verdict.FITS, 2 / 3, 1.0, 50 / 51.3, 1.3 / 51.3, *reports, conflict)
    part = PartAnswer(Verdict.FITS, 0.6, 1.0, (), None, experience)
    found: Json = part_json(part, MESSAGES)["experience"]
    return found


def test_an_answer_without_experience_says_null() -> None:
    """Nobody told anything, and the field says so."""
    assert part_json(PartAnswer(Verdict.FITS, 0.96, 0.97, (), None), MESSAGES)["experience"] is None


def test_figures_are_rounded_to_six_digits() -> None:
    """The geometry's own probability and both shares have six significant digits."""
    found = shown(conflict=False)

    assert {"verdict": "fits", "probability": 0.666667, "probability_at_most": 1.0} == found["geometry"]
    assert (0.974659, 0.0253411) == (found["share_of_geometry"], found["share_of_experience"])
    assert ({"count": 1, "weight": 0.8}, {"count": 1, "weight": 0.5}) == (found["successes"], found["failures"])


def test_a_conflict_has_its_own_sentence() -> None:
    """Experience that speaks against the geometry is said otherwise than experience that does not."""
    assert ["experience.conflict", "experience.counted"] == [shown(conflict)["code"] for conflict in (True, False)]
    assert "fits, but 1 of 1: 2.5 %" == shown(conflict=True)["message"]


def test_the_schema_names_every_field() -> None:
    """What is answered is what the contract says."""
    found = shown(conflict=False)

    assert ExperienceSchema().fields.keys() == found.keys()
    assert GeometrySchema().fields.keys() == found["geometry"].keys()
    assert (
        PartAnswerSchema().fields.keys() - {"index", "sku"}
        == part_json(PartAnswer(Verdict.FITS, 0.96, 0.97, (), None), MESSAGES).keys()
    )
