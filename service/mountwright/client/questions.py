"""The questions of a webshop as methods, and the basket at checkout within a time limit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from time import monotonic
from types import TracebackType
from typing import Any, Self
from urllib.parse import quote

from mountwright.client.checkout import Checkout, decided, problematic, refused, unanswered
from mountwright.client.connection import Call, Connection, Json, encoded
from mountwright.errors import NoAnswer, ServiceProblem

_FIT, _MOUNT, _CART = "/v1/fit-checks", "/v1/mount-identifications", "/v1/cart-checks"
_LINE, _RIDE = "/v1/wheel-lines", "/v1/ride-estimates"
_PATH, _CARE = "/v1/upgrade-paths", "/v1/bearing-care"
_STRAP, _FLAP = "/v1/strap-trims", "/v1/flap-trims"
_LACE = "/v1/lace-lengths"
_PHOTO = "/v1/photo-measurements"
_SIZES = "/v1/size-conversions"
_COLOUR = "/v1/colour-matches"
_CARD = "/v1/bench-cards"

#: What is posted here asks and changes nothing, so that asking twice is safe.
_QUESTIONS = frozenset(
    {_FIT, _MOUNT, _CART, _LINE, _RIDE, _PATH, _CARE, _STRAP, _FLAP, _LACE, _PHOTO, _SIZES, _COLOUR, _CARD}
)


class Client:
    """A client of one service, with one session; threads may share it.

    A connection that does not come about, or is reset before an answer began, is tried once more, where the call only
    asks: every GET, and the POST of a question, from a fit check to an upgrade path. What writes is sent once, since
    nobody knows whether it arrived. An answer that is late, or has any status whatever, is never a reason to ask again.
    Redirects are not followed.

    Parameters
    ----------
    address : str
        ``https://fits.example.com``; the paths of the calls are put behind it.
    key : str or None
        Sent as ``Authorization: Bearer``.
    timeout_s : float
        Longest time for a whole call, the second try included; ``checkout`` has its own.
    connect_timeout_s : float
        Longest wait for one connection, within that.

    Every method but ``checkout`` raises

    - ``ServiceProblem`` when the service refuses or fails, and says why;
    - ``NoAnswer`` when there is no connection, no answer in time, or one that is not the service's;
    - ``TypeError`` or ``ValueError`` for a body that cannot be written as JSON.
    """

    def __init__(
        self, address: str, key: str | None = None, timeout_s: float = 10.0, connect_timeout_s: float = 2.0
    ) -> None:
        self._timeout_s, self._connection = timeout_s, Connection(address, key, connect_timeout_s)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections that are kept open between calls."""
        self._connection.close()

    def get(self, path: str, **query: Any) -> Json:
        """Give the answer to a GET.

        Parameters
        ----------
        path : str
            From the slash on: ``/v1/skates``.
        **query
            What stands behind the question mark; None is left out, a bool is written as true or false.
        """
        written = {name: str(value).lower() if isinstance(value, bool) else value for name, value in query.items()}
        return self._connection.asked(Call("GET", path, written), monotonic() + self._timeout_s)

    def post(self, path: str, body: Mapping[str, Any]) -> Json:
        """Give the answer to a POST of JSON; sent again after a connection fault only where it is a question."""
        deadline = monotonic() + self._timeout_s
        return self._connection.asked(Call("POST", path, {}, encoded(body), path in _QUESTIONS), deadline)

    def check_fit(self, skate: Mapping[str, Any], parts: Sequence[Mapping[str, Any]], stake: str = "shipping") -> Json:
        """Say whether each part goes on the skate.

        Parameters
        ----------
        skate : Mapping
        parts : Sequence of Mapping
        stake : str
            What hangs on the answer: ``shipping``, ``counter`` or ``irreversible``.
        """
        return self.post(_FIT, {"skate": skate, "parts": list(parts), "stake": stake})

    def identify(self, mount: Mapping[str, Any], sku: str | None = None) -> Json:
        """Say which standard a mount is, one by itself or one of an article of the catalogue."""
        return self.post(_MOUNT, {"mount": mount} if sku is None else {"mount": mount, "sku": sku})

    def check_cart(self, basket: Mapping[str, Any]) -> Json:
        """Say of a basket whether it may be sent: the answer as it comes. A shop's checkout takes ``checkout``."""
        return self.post(_CART, basket)

    def wheel_line(self, set_up: Mapping[str, Any], mass_kg: float, **more: Any) -> Json:
        """Say how a skate stands on its wheels.

        Parameters
        ----------
        set_up : Mapping
        mass_kg : float
            Of the rider with everything worn.
        **more
            Further fields of the body: ``before``, ``options``, ``picture``, or a ``load`` that says more.
        """
        return self.post(_LINE, {"set_up": set_up, "load": {"mass_kg": mass_kg}, **more})

    def compare_rides(self, set_ups: Sequence[Mapping[str, Any]], rider: Mapping[str, Any], **more: Any) -> Json:
        """Say how set-ups roll, held against the first of them; ``more`` may bring the rider's ``coast_downs``."""
        return self.post(_RIDE, {"set_ups": list(set_ups), "rider": rider, **more})

    def upgrade_path(
        self, skate: Mapping[str, Any], complaints: Sequence[str], budget: Mapping[str, Any], **more: Any
    ) -> Json:
        """Say in which order to spend a customer's money.

        Parameters
        ----------
        skate : Mapping
        complaints : Sequence of str
            In the rider's order.
        budget : Mapping
            ``currency`` and ``amount_minor``, or ``instalments``.
        **more
            Further fields of the body: ``rider``, ``wishes``, ``at_home``, ``stays`` and others.
        """
        return self.post(_PATH, {"skate": skate, "complaints": list(complaints), "budget": budget, **more})

    def bearing_care(self, question: Mapping[str, Any]) -> Json:
        """Say whether bearings are better cleaned or replaced."""
        return self.post(_CARE, question)

    def strap_trim(self, strap: Mapping[str, Any]) -> Json:
        """Say how many teeth of a strap may go."""
        return self.post(_STRAP, strap)

    def flap_trim(self, flap: Mapping[str, Any]) -> Json:
        """Say how much of a flap may go."""
        return self.post(_FLAP, flap)

    def lace_length(self, boot: Mapping[str, Any]) -> Json:
        """Say how long a lace has to be for a boot, and how it holds."""
        return self.post(_LACE, boot)

    def measure_photo(self, clicks: Mapping[str, Any]) -> Json:
        """Say how far marks on a photo are apart, by what was clicked on it; the photo itself is not sent."""
        return self.post(_PHOTO, clicks)

    def size_conversion(self, left: Mapping[str, Any], right: Mapping[str, Any], **more: Any) -> Json:
        """Say which sizes two feet take; ``more`` may bring ``fit``, ``skates``, ``liners``, ``insoles`` and others."""
        return self.post(_SIZES, {"left": left, "right": right, **more})

    def match_colours(self, question: Mapping[str, Any]) -> Json:
        """Find parts that go on a skate near a colour, and say how alike colours look beside each other."""
        return self.post(_COLOUR, question)

    def bench_card(self, card: Mapping[str, Any]) -> Json:
        """Write the card that goes to the bench with a skate; its ``links`` lead to the page and the PDF."""
        return self.post(_CARD, card)

    def standards(self) -> Json:
        """Give the standards that are installed."""
        return self.get("/v1/standards")

    def skate(self, sku: str) -> Json:
        """Give a skate of the catalogue."""
        return self.get(f"/v1/skates/{quote(sku, safe='')}")

    def part(self, sku: str) -> Json:
        """Give a part of the catalogue."""
        return self.get(f"/v1/parts/{quote(sku, safe='')}")

    def candidates(self, sku: str, position: str, **query: Any) -> Json:
        """Give a page of what goes on a skate at a position, best first; ``query`` as in ``get``."""
        return self.get(f"/v1/skates/{quote(sku, safe='')}/candidates", position=position, **query)

    def checkout(self, basket: Mapping[str, Any], limit_s: float) -> Checkout:
        """Say what to do with a basket, within the limit and without an error: no fault of the service costs a sale.

        Where no usable answer comes in time (no connection, none in time, 429, 5xx, one that is not JSON or does not
        decide), this gives ``confirm`` and holds the parcel, with code ``client.no_answer``. So it does, with code
        ``client.bad_request``, where the basket is refused; that is logged as an error, for the shop has to mend it.
        It never gives ``clear`` unless the service said so.

        Parameters
        ----------
        basket : Mapping
            The body of ``POST /v1/cart-checks``.
        limit_s : float
            For all of it: connecting, the second try, and the answer to its last byte.
        """
        deadline = monotonic() + limit_s
        try:
            return decided(self._connection.asked(Call("POST", _CART, {}, encoded(basket)), deadline))
        except ServiceProblem as problem:
            return problematic(problem)
        except NoAnswer as fault:
            return unanswered(fault.reason)
        except (TypeError, ValueError) as fault:
            return refused(f"the basket cannot be written as JSON: {fault}")
