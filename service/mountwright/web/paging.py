"""Pages that are found by where they begin, each with links to the first and the next (RFC 8288)."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from typing import Final, NamedTuple
from urllib.parse import urlencode

from mountwright.web.sorts import is_sku

LINKS_SAID: Final[Mapping[str, str]] = {"Link": 'RFC 8288: rel="first", and rel="next" unless it is the last page.'}

#: Parameter of the query that says where a page begins.
_AFTER = "after"


def token_of(sku: str) -> str:
    """Give what stands in a link for "after this SKU"."""
    return base64.urlsafe_b64encode(sku.encode()).rstrip(b"=").decode()


def sku_of(token: str) -> str | None:
    """Give the SKU that a token stands for, None where it is no token of ours."""
    try:
        sku = base64.b64decode(token + "=" * (-len(token) % 4), altchars=b"-_", validate=True).decode("ascii")
    except (binascii.Error, ValueError):
        return None
    # One SKU has one token: what decodes to the same by leftover bits is none.
    return sku if is_sku(sku) and token_of(sku) == token else None


class Links(NamedTuple):
    """Where the first page is and where the next one is, if there is any."""

    first: str
    next: str | None

    @property
    def header(self) -> str:
        """Give the links as the header ``Link`` carries them."""
        named = [("first", self.first), ("next", self.next)]
        return ", ".join(f'<{target}>; rel="{relation}"' for relation, target in named if target is not None)


def links_of(path: str, query: Mapping[str, str], last: str | None) -> Links:
    """Give the links of a page.

    Parameters
    ----------
    path : str
        Of what is listed.
    query : Mapping[str, str]
        As it was asked.
    last : str or None
        SKU after which the next page begins; None for the last page.
    """
    return links_to(path, query, None if last is None else token_of(last))


def links_to(path: str, query: Mapping[str, str], token: str | None) -> Links:
    """Give the links of a page whose next one begins where a token says; None for the last page."""
    asked = {name: text for name, text in query.items() if name != _AFTER}
    following = None if token is None else _address(path, {**asked, _AFTER: token})
    return Links(_address(path, asked), following)


def _address(path: str, query: Mapping[str, str]) -> str:
    return f"{path}?{urlencode(query)}" if query else path
