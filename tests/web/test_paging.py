"""Pages' tokens and links: each stands for one place in the list, and what was asked stays asked."""

from __future__ import annotations

import base64
from urllib.parse import parse_qsl, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.web.paging import Links, links_of, links_to, sku_of, token_of

SKU = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}", fullmatch=True)
UNRESERVED = set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~")


def encoded(octets: bytes) -> str:
    """Give octets as a token is made of them, whatever they are."""
    return base64.urlsafe_b64encode(octets).rstrip(b"=").decode()


@given(SKU)
def test_a_token_leads_back_to_its_sku(sku: str) -> None:
    """And can stand in an address as it is."""
    assert sku == sku_of(token_of(sku))
    assert set() == set(token_of(sku)) - UNRESERVED


@given(st.text(max_size=12) | st.binary(max_size=12).map(encoded))
def test_a_text_is_the_one_token_of_a_sku_or_none(text: str) -> None:
    """Nothing else is taken for one, and nothing makes it fail."""
    sku = sku_of(text)

    assert sku is None or text == token_of(sku)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "=",
        "A",
        "é",
        token_of("ab") + "=",
        token_of("ab") + "==",
        " " + token_of("ab"),
        token_of("ab") + "\n",
        "YWJ",  # "ab" with leftover bits that are not nought
        encoded(b"-frame"),
        encoded(b"frame\n"),
        encoded(b"a b"),
        encoded(b"a\0"),
        encoded("größe".encode()),
        encoded(b"a" * 61),
    ],
)
def test_what_we_did_not_write_is_no_token(text: str) -> None:
    """Padding, leftover bits, and what nothing can be called."""
    assert None is sku_of(text)


def test_the_first_page_links_to_itself_and_to_the_next() -> None:
    """Each with what was asked."""
    links = links_of("/v1/parts", {"kind": "frame", "limit": "2"}, "frame-2")

    assert Links("/v1/parts?kind=frame&limit=2", "/v1/parts?kind=frame&limit=2&after=ZnJhbWUtMg") == links
    assert f'<{links.first}>; rel="first", <{links.next}>; rel="next"' == links.header


def test_a_page_in_the_middle_links_to_the_first_and_goes_on() -> None:
    """Where it begins itself is in neither link."""
    links = links_of("/v1/parts", {"after": token_of("frame-2"), "limit": "2"}, "frame-4")

    assert Links("/v1/parts?limit=2", f"/v1/parts?limit=2&after={token_of('frame-4')}") == links


def test_the_last_page_links_to_the_first_alone() -> None:
    """Also where it is the only one, of everything there is."""
    links = links_of("/v1/parts", {}, None)

    assert Links("/v1/parts", None) == links
    assert '</v1/parts>; rel="first"' == links.header


def test_a_token_of_another_make_is_carried_as_it_is() -> None:
    """A list that does not go by SKU says itself where its next page begins."""
    assert "/v1/bells?after=a%2Fb%3D" == links_to("/v1/bells", {}, "a/b=").next


@given(st.dictionaries(st.sampled_from(["name", "maker", "colour"]), st.text(min_size=1, max_size=8)), SKU)
def test_a_link_asks_what_was_asked(query: dict[str, str], last: str) -> None:
    """Whatever was searched for: nothing of it can end the link or add a header."""
    links = links_of("/v1/parts", query, last)
    assert links.next is not None

    assert {**query, "after": token_of(last)} == dict(parse_qsl(urlsplit(links.next).query))
    assert 2 == links.header.count("<") == links.header.count(">")
    assert set() == {letter for letter in links.header if not " " <= letter <= "~"}
