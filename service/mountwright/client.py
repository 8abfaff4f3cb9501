"""A small client of the service, for a webshop: its questions, and the basket at checkout within a time limit.

A call takes no longer than its limit, whatever the service does. Timeouts of sockets cannot hold that: each of them
starts anew with every byte that arrives, and looking a name up has none. So each call runs on a thread of its own,
whose caller waits for it until the limit and no longer. A thread that is left behind keeps nobody waiting: it ends when
the service closes or falls silent, does not hold up the end of the program, and there are never more than
``MOST_UNDER_WAY`` of them.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from http import HTTPStatus
from threading import BoundedSemaphore, Thread
from time import monotonic
from types import TracebackType
from typing import Any, Literal, NamedTuple, Self, get_args
from urllib.parse import quote

import requests
from urllib3.exceptions import HTTPError

from mountwright.errors import NoAnswer, ProblemPlace, ServiceProblem

Json = dict[str, Any]

Decision = Literal["clear", "confirm", "stop"]

#: Codes of a checkout that the service did not decide: no usable answer, and a basket that it refused to read.
NO_ANSWER, BAD_REQUEST = "client.no_answer", "client.bad_request"

#: Calls of one client at the same time, those included that nobody waits for any more; further ones get no answer.
MOST_UNDER_WAY = 100

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

_PROBLEM = "application/problem+json"

#: Requests takes no timeout of zero, seconds.
_LEAST_S = 0.001

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Checkout:
    """What the shop does with a basket.

    Parameters
    ----------
    decision : str
        ``clear``, ``confirm`` or ``stop``; ``confirm`` where the service did not decide.
    hold : bool
        Whether the parcel waits: as the answer says, and always where the service did not decide.
    code : str
        Of the reason that decides, or ``client.no_answer`` or ``client.bad_request``.
    reason : str
        The same as a sentence.
    question : str or None
        What to ask the customer, where there is something to ask.
    answer : dict or None
        The whole answer; None where the service did not decide.
    problem : ServiceProblem or None
        What the service said instead of an answer.
    """

    decision: Decision
    hold: bool
    code: str
    reason: str
    question: str | None = None
    answer: Json | None = None
    problem: ServiceProblem | None = None


class _Call(NamedTuple):
    method: str
    path: str
    query: Mapping[str, Any]
    body: bytes | None = None

    @property
    def changes_nothing(self) -> bool:
        return self.method == "GET" or self.path in _QUESTIONS


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
        self._address, self._timeout_s, self._connect_timeout_s = address.rstrip("/"), timeout_s, connect_timeout_s
        self._free = BoundedSemaphore(MOST_UNDER_WAY)
        self._session = requests.Session()
        if key is not None:
            self._session.auth = _Bearer(key)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections that are kept open between calls."""
        self._session.close()

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
        return self._asked(_Call("GET", path, written), monotonic() + self._timeout_s)

    def post(self, path: str, body: Mapping[str, Any]) -> Json:
        """Give the answer to a POST of JSON; sent again after a connection fault only where it is a question."""
        deadline = monotonic() + self._timeout_s
        return self._asked(_Call("POST", path, {}, _encoded(body)), deadline)

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
            return _decided(self._asked(_Call("POST", _CART, {}, _encoded(basket)), deadline))
        except ServiceProblem as problem:
            return _problematic(problem)
        except NoAnswer as fault:
            return _unanswered(fault.reason)
        except (TypeError, ValueError) as fault:
            return _refused(f"the basket cannot be written as JSON: {fault}")

    def _asked(self, call: _Call, deadline: float) -> Json:
        if not self._free.acquire(blocking=False):
            raise NoAnswer(f"{MOST_UNDER_WAY} calls are under way, which is the most")
        answer: Future[Json] = Future()
        Thread(target=self._fill, args=(answer, call, deadline), name=__name__, daemon=True).start()
        try:
            return answer.result(max(deadline - monotonic(), 0.0))
        except TimeoutError:
            raise NoAnswer(f"{call.method} {call.path}: none in time") from None

    def _fill(self, answer: Future[Json], call: _Call, deadline: float) -> None:
        try:
            answer.set_result(self._exchanged(call, deadline))
        except Exception as error:  # noqa: BLE001  # it is raised where the answer is waited for
            answer.set_exception(error)
        finally:
            self._free.release()

    def _exchanged(self, call: _Call, deadline: float) -> Json:
        try:
            with self._begun(call, deadline) as response:
                return _read(response.status_code, _media_type(response), response.content)
        except (OSError, HTTPError, ValueError) as fault:  # requests lets some faults of others through as they are
            raise NoAnswer(f"{call.method} {call.path}: {fault}") from fault

    def _begun(self, call: _Call, deadline: float) -> requests.Response:
        """Give the answer whose body is still to be read; a fault before that may be worth a second try."""
        try:
            return self._sent(call, deadline)
        except requests.ConnectionError:
            if not call.changes_nothing:
                raise
            return self._sent(call, deadline)

    def _sent(self, call: _Call, deadline: float) -> requests.Response:
        left_s = max(deadline - monotonic(), _LEAST_S)
        return self._session.request(
            call.method,
            self._address + call.path,
            params=call.query,
            data=call.body,
            headers={"Content-Type": "application/json"} if call.body is not None else None,
            timeout=(min(self._connect_timeout_s, left_s), left_s),
            allow_redirects=False,
            stream=True,
        )


class _Bearer(requests.auth.AuthBase):
    """A key in a header of its own; as a plain header, a user's .netrc would replace it."""

    def __init__(self, key: str) -> None:
        self._key = key

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        request.headers["Authorization"] = f"Bearer {self._key}"
        return request


def _encoded(body: Mapping[str, Any]) -> bytes:
    return json.dumps(body, allow_nan=False).encode()


def _media_type(response: requests.Response) -> str:
    return response.headers.get("Content-Type", "").partition(";")[0].strip().lower()


def _read(status: int, media_type: str, content: bytes) -> Json:
    """Give the object of an answer.

    Raises
    ------
    NoAnswer
        When it is not the service's: no JSON object, or a failure without a problem document.
    ServiceProblem
        When it is a problem document.
    """
    try:
        found = json.loads(content)
    except (ValueError, RecursionError):
        raise NoAnswer(f"status {status}, {media_type or 'no media type'}, not JSON") from None
    if not isinstance(found, dict):
        raise NoAnswer(f"status {status}, no JSON object")
    if status >= HTTPStatus.BAD_REQUEST and media_type == _PROBLEM:
        code, title, detail = (str(found.get(name, "")) for name in ("code", "title", "detail"))
        raise ServiceProblem(status, code, title, detail, _places(found.get("errors")))
    if not HTTPStatus.OK <= status < HTTPStatus.MULTIPLE_CHOICES:
        raise NoAnswer(f"status {status}, {media_type or 'no media type'}, no problem document")
    return found


def _places(listed: object) -> list[ProblemPlace]:
    faults = [each for each in listed if isinstance(each, dict)] if isinstance(listed, list) else []
    return [ProblemPlace(*(str(each.get(name, "")) for name in ProblemPlace._fields)) for each in faults]


def _decided(answer: Json) -> Checkout:
    """Give what an answer about a basket says.

    Raises
    ------
    NoAnswer
        When it does not say whether to send.
    """
    said, hold, question = answer.get("decision"), answer.get("blocking"), answer.get("question")
    decision: Decision | None = next((known for known in get_args(Decision) if known == said), None)
    if decision is None or not isinstance(hold, bool):
        raise NoAnswer(f"an answer that does not decide: decision {said!r}, blocking {hold!r}")
    asked = str(question.get("message", "")) if isinstance(question, dict) else None
    return Checkout(decision, hold, str(answer.get("code", "")), str(answer.get("message", "")), asked or None, answer)


def _problematic(problem: ServiceProblem) -> Checkout:
    is_passing = problem.status >= HTTPStatus.INTERNAL_SERVER_ERROR or problem.status == HTTPStatus.TOO_MANY_REQUESTS
    return (_unanswered if is_passing else _refused)(str(problem), problem)


def _unanswered(reason: str, problem: ServiceProblem | None = None) -> Checkout:
    log.warning("parcel held, no answer about the basket: %s", reason)
    return Checkout("confirm", True, NO_ANSWER, reason, problem=problem)


def _refused(reason: str, problem: ServiceProblem | None = None) -> Checkout:
    log.error("parcel held, the basket was not read: %s", reason)
    return Checkout("confirm", True, BAD_REQUEST, reason, problem=problem)
