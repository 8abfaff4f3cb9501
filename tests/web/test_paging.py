"""Pages: what stands for "after this SKU", and the links from each page to the first and the next."""

from __future__ import annotations

from base64 import urlsafe_b64encode
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from requests.utils import parse_header_links

from mountwright.bootstrap import create_app
from mountwright.catalogue.keys import created
from mountwright.settings import Settings
from mountwright.web.paging import Links, links_of, sku_of, token_of
from mountwright.web.workshop import EXTENSION

SKU = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}", fullmatch=True)

#: A short one, so that walkers and newcomers meet.
SHORT_SKU = st.from_regex(r"[a-d][a-d0-2._-]{0,2}", fullmatch=True)


@given(sku=SKU)
def test_a_token_stands_for_its_sku(sku: str) -> None:
    """It leads back to it and needs no quotation in a link."""
    token = token_of(sku)

    assert sku == sku_of(token)
    assert token.strip("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") == ""


@given(text=st.text(max_size=12))
def test_any_other_text_is_no_token(text: str) -> None:
    """Whatever somebody writes there: it is the token of one SKU, or none."""
    sku = sku_of(text)

    assert sku is None or text == token_of(sku)


@pytest.mark.parametrize(
    "token",
    [
        "",
        "A",
        "YQ==",
        "YR",
        "Y Q",
        "YQ\n",
        urlsafe_b64encode(b"-a").decode(),
        urlsafe_b64encode(b"a\0b").decode(),
        urlsafe_b64encode("aé".encode()).decode(),
        urlsafe_b64encode(b"a" * 63).decode(),
    ],
)
def test_what_was_made_up_is_no_token(token: str) -> None:
    """Padding, leftover bits, white space, and what decodes to no SKU."""
    assert None is sku_of(token)


def test_the_links_ask_for_the_same_in_the_same_order() -> None:
    """Only where the page begins is another."""
    links = links_of("/v1/parts", {"name": "Größe tow", "after": "old", "limit": "2"}, "frame-1")

    assert "/v1/parts?name=Gr%C3%B6%C3%9Fe+tow&limit=2" == links.first
    assert f"{links.first}&after={token_of('frame-1')}" == links.next


def test_the_last_page_links_to_the_first_alone() -> None:
    """A list that was asked for without a query has none in its links."""
    assert Links("/v1/parts", None) == links_of("/v1/parts", {"after": "old"}, None)
    assert '</v1/parts>; rel="first"' == Links("/v1/parts", None).header


@given(query=st.dictionaries(st.text(min_size=1), st.text(min_size=1), max_size=3), sku=SKU)
def test_whatever_was_asked_is_asked_again_by_the_links(query: dict[str, str], sku: str) -> None:
    """The header is one line of ASCII, is read back by another's parser, and says what the query said."""
    links = links_of("/v1/skates", query, sku)
    first, following = parse_header_links(links.header)
    asked = dict(parse_qsl(urlsplit(following["url"]).query, strict_parsing=True))

    assert links.header.isascii()
    assert (("first", links.first), ("next", links.next)) == tuple((e["rel"], e["url"]) for e in (first, following))
    assert {**query, "after": token_of(sku)} == asked


@pytest.fixture
def client(sqlite_database: str) -> Iterator[FlaskClient]:
    """Give a client of an app with an empty catalogue, with a key that writes."""
    app = create_app(Settings(database=sqlite_database))
    engines = app.extensions[EXTENSION].engines
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {created(engines, 'bell', ['write'], None, datetime.now(UTC))}"
    yield client
    engines.close()


def linked(client: FlaskClient, start: str, between: Callable[[], object]) -> Iterator[str]:
    """Follow the links from page to page; give the SKUs."""
    path: str | None = start
    while path is not None:
        answer = client.get(path)
        yield from (record["sku"] for record in answer.get_json()["skates"])
        path = answer.get_json()["next"]
        header = {each["rel"]: each["url"] for each in parse_header_links(answer.headers["Link"])}
        assert (start, path) == (header["first"], header.get("next"))
        between()


@given(
    skus=st.sets(SHORT_SKU, min_size=1, max_size=8),
    newcomers=st.lists(SHORT_SKU, max_size=3),
    limit=st.integers(1, 9),
)
@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_links_lead_past_every_skate_once(
    client: FlaskClient, skus: set[str], newcomers: list[str], limit: int
) -> None:
    """In order of SKU, whatever the limit, and whatever is added meanwhile, behind the walker or before him."""
    for sku in linked(client, "/v1/skates?limit=100", lambda: None):
        assert 204 == client.delete(f"/v1/skates/{sku}").status_code
    for sku in skus:
        assert 201 == client.put(f"/v1/skates/{sku}", json={"kind": "skate"}).status_code
    waiting = iter(newcomers)

    def add() -> None:
        sku = next(waiting, None)
        if sku is not None:
            client.put(f"/v1/skates/{sku}", json={"kind": "skate"})

    found = list(linked(client, f"/v1/skates?limit={limit}", add))

    assert sorted(set(found)) == found
    assert skus <= set(found) <= skus | set(newcomers)
