"""Says in a header when an answer rests on a catalogue that could not be asked whether it is still the newest."""

from __future__ import annotations

from flask import Flask, Response, g

#: Whole seconds for which the catalogue behind the answer is unconfirmed; left out while it answers.
HEADER = "Catalogue-Age"


def register_staleness(app: Flask) -> None:
    """Add the header to answers that need it."""

    def told(answer: Response) -> Response:
        stale_s: float = g.get("stale_s", 0.0)
        if stale_s > 0:
            answer.headers[HEADER] = str(int(stale_s))
        return answer

    app.after_request(told)
