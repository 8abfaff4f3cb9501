"""The client's way to the service: one call within its limit, its answer or the one fault that it ended with.

A call takes no longer than its limit, whatever the service does. Timeouts of sockets cannot hold that: each of them
starts anew with every byte that arrives, and looking a name up has none. So each call runs on a thread of its own,
whose caller waits for it until the limit and no longer. A thread that is left behind keeps nobody waiting: it ends when
the service closes or falls silent, does not hold up the end of the program, and there are never more than
``MOST_UNDER_WAY`` of them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from concurrent.futures import Future
from http import HTTPStatus
from threading import BoundedSemaphore, Thread
from time import monotonic
from typing import Any, NamedTuple

import requests
from urllib3.exceptions import HTTPError

from mountwright.errors import NoAnswer, ProblemPlace, ServiceProblem

Json = dict[str, Any]

#: Calls of one client at the same time, those included that nobody waits for any more; further ones get no answer.
MOST_UNDER_WAY = 100

#: Name of the threads that calls run on.
THREADS = "mountwright.client"

_PROBLEM = "application/problem+json"

#: Requests takes no timeout of zero, seconds.
_LEAST_S = 0.001


class Call(NamedTuple):
    """A call: what is asked where, and whether it only asks, so that asking twice is safe."""

    method: str
    path: str
    query: Mapping[str, Any]
    body: bytes | None = None
    changes_nothing: bool = True


class Connection:
    """A session with one service; threads may share it.

    A connection that does not come about, or is reset before an answer began, is tried once more, where the call only
    asks. What writes is sent once, since nobody knows whether it arrived. An answer that is late, or has any status
    whatever, is never a reason to ask again. Redirects are not followed.

    Parameters
    ----------
    address : str
    key : str or None
        Sent as ``Authorization: Bearer``.
    connect_timeout_s : float
        Longest wait for one connection.
    """

    def __init__(self, address: str, key: str | None, connect_timeout_s: float) -> None:
        self._address, self._connect_timeout_s = address.rstrip("/"), connect_timeout_s
        self._free = BoundedSemaphore(MOST_UNDER_WAY)
        self._session = requests.Session()
        if key is not None:
            self._session.auth = _Bearer(key)

    def close(self) -> None:
        """Close the connections that are kept open between calls."""
        self._session.close()

    def asked(self, call: Call, deadline: float) -> Json:
        """Give the answer to a call.

        Parameters
        ----------
        call : Call
        deadline : float
            On the monotonic clock, s.

        Raises
        ------
        ServiceProblem
            When the service refuses or fails, and says why.
        NoAnswer
            When there is no connection, no answer in time, or one that is not the service's.
        """
        if not self._free.acquire(blocking=False):
            raise NoAnswer(f"{MOST_UNDER_WAY} calls are under way, which is the most")
        answer: Future[Json] = Future()
        Thread(target=self._fill, args=(answer, call, deadline), name=THREADS, daemon=True).start()
        try:
            return answer.result(max(deadline - monotonic(), 0.0))
        except TimeoutError:
            raise NoAnswer(f"{call.method} {call.path}: none in time") from None

    def _fill(self, answer: Future[Json], call: Call, deadline: float) -> None:
        try:
            answer.set_result(self._exchanged(call, deadline))
        except Exception as error:  # noqa: BLE001  # it is raised where the answer is waited for
            answer.set_exception(error)
        finally:
            self._free.release()

    def _exchanged(self, call: Call, deadline: float) -> Json:
        try:
            with self._begun(call, deadline) as response:
                return _read(response.status_code, _media_type(response), response.content)
        except (OSError, HTTPError, ValueError) as fault:  # requests lets some faults of others through as they are
            raise NoAnswer(f"{call.method} {call.path}: {fault}") from fault

    def _begun(self, call: Call, deadline: float) -> requests.Response:
        """Give the answer whose body is still to be read; a fault before that may be worth a second try."""
        try:
            return self._sent(call, deadline)
        except requests.ConnectionError:
            if not call.changes_nothing:
                raise
            return self._sent(call, deadline)

    def _sent(self, call: Call, deadline: float) -> requests.Response:
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


def encoded(body: Mapping[str, Any]) -> bytes:
    """Give a body as JSON; TypeError or ValueError where it cannot be written as that."""
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
