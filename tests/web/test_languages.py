"""The language of an answer: the caller asks for it, and nothing but the words depends on it."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from mountwright.bootstrap import create_app
from mountwright.messages import LANGUAGES
from mountwright.settings import Settings

Json = dict[str, Any]

SKATE = {"mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]}
FRAME = {
    "kind": "frame",
    "mounts": [{"position": "frame", "dimensions": {"hole_spacing_mm": {"value": 166.5, "instrument": "caliper"}}}],
}
QUESTION = {"skate": SKATE, "parts": [FRAME]}

#: The sentence of a problem, in each language.
INVALID = {
    "en": "The request has 1 fault(s); each is listed with its place.",
    "de": "Fehler in der Anfrage: 1; jeder ist mit seiner Stelle aufgeführt.",
}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    """Give a service with an empty catalogue."""
    return app_speaking("en", tmp_path_factory).test_client()


def app_speaking(language: str, tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """Give a service that speaks a language to who asks for none."""
    file = tmp_path_factory.mktemp("catalogue") / "catalogue.db"
    return create_app(Settings(database=f"sqlite:///{file}", language=language))


def wordless(answer: Any) -> Any:
    """Give an answer without its sentences."""
    if isinstance(answer, dict):
        return {name: wordless(value) for name, value in answer.items() if name not in ("message", "detail")}
    return [wordless(each) for each in answer] if isinstance(answer, list) else answer


def sentences(answer: Any) -> list[str]:
    """Give the sentences of an answer, in their order."""
    if isinstance(answer, dict):
        own = [value for name, value in answer.items() if name == "message" and value]
        return [*own, *(said for value in answer.values() for said in sentences(value))]
    return [said for each in answer for said in sentences(each)] if isinstance(answer, list) else []


def asked(client: FlaskClient, language: str | None) -> Json:
    """Give the answer to the question in a language."""
    headers = {} if language is None else {"Accept-Language": language}
    response = client.post("/v1/fit-checks", json=QUESTION, headers=headers)
    assert response.status_code == 200
    found: Json = response.get_json()
    return found


class TestAcceptLanguage:
    """A caller's language."""

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_changes_nothing_but_the_sentences(self, client: FlaskClient, language: str) -> None:
        """Verdicts, figures, codes, params and the receipt are the same in each."""
        assert wordless(asked(client, None)) == wordless(asked(client, language))

    def test_changes_every_sentence(self, client: FlaskClient) -> None:
        """No sentence of a fit check is the same in two languages."""
        said = [sentences(asked(client, language)) for language in LANGUAGES]

        assert all(len({*each}) == len(LANGUAGES) for each in zip(*said, strict=True))

    def test_writes_figures_as_it_is_used_to(self, client: FlaskClient) -> None:
        """A figure in a German sentence has a comma, and in the JSON around it a point."""
        (check,) = [each for each in asked(client, "de")["parts"][0]["checks"] if each["code"] == "bolts_pass"]

        assert "," in check["message"]
        assert isinstance(check["value_mm"], float)

    @pytest.mark.parametrize(
        ("header", "language"),
        [
            ("de-AT", "de"),
            ("fr-CH, fr;q=0.9, en;q=0.8", "fr"),
            ("it, nl;q=0.5", "nl"),
            ("da, sv", "en"),
            ("*", "en"),
            ("", "en"),
            ("de;q=0", "en"),
            ("de;q=0.1, nl;q=0.9", "nl"),
            ("\x7f;;q=,,,", "en"),
            ("x" * 5000, "en"),
        ],
    )
    def test_is_the_best_that_is_spoken(self, client: FlaskClient, header: str, language: str) -> None:
        """Of the languages that are asked for, the one that is spoken and liked best; English where none is."""
        assert asked(client, language) == asked(client, header)

    def test_is_the_shops_own_where_nobody_asks(self, tmp_path_factory: pytest.TempPathFactory) -> None:
        """A shop that speaks German does so unless another language is asked for."""
        shop = app_speaking("de", tmp_path_factory).test_client()

        assert asked(shop, "de") == asked(shop, None)
        assert asked(shop, "da") == asked(shop, "de")
        assert asked(shop, "en") != asked(shop, "de")

    def test_is_told_to_caches(self, client: FlaskClient) -> None:
        """What is kept for one language is not given for another (RFC 9110, 12.5.5)."""
        assert "Accept-Language" in client.get("/v1/standards").headers["Vary"]

    @pytest.mark.parametrize(("language", "said"), INVALID.items())
    def test_is_spoken_in_refusals(self, client: FlaskClient, language: str, said: str) -> None:
        """A problem is told in it, too."""
        refused = client.post("/v1/fit-checks", json={"skate": SKATE}, headers={"Accept-Language": language})

        assert (422, said) == (refused.status_code, refused.get_json()["detail"])

    def test_leaves_what_has_to_be_written_as_it_is(self, client: FlaskClient) -> None:
        """The words to choose from are those that the service takes."""
        mount = {**SKATE["mounts"][0], "claimed_by": "neighbour"}
        question = {**QUESTION, "skate": {"mounts": [mount]}}
        refused = client.post("/v1/fit-checks", json=question, headers={"Accept-Language": "de"}).get_json()

        assert "bench, maker, seller, customer" in refused["errors"][0]["detail"]

    def test_is_heeded_for_what_is_remembered(self, client: FlaskClient) -> None:
        """A question that was answered in one language before is answered in another."""
        first, second, again = (sentences(asked(client, language)) for language in ("de", "en", "de"))

        assert first == again != second

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_is_spoken_of_standards(self, client: FlaskClient, language: str) -> None:
        """Titles and how to measure come in it, too; keys do not change."""
        told = client.get("/v1/standards/two-bolt-165", headers={"Accept-Language": language}).get_json()
        english = client.get("/v1/standards/two-bolt-165").get_json()

        assert english["key"] == told["key"]
        assert (language == "en") == (english["dimensions"][0]["measure"] == told["dimensions"][0]["measure"])
