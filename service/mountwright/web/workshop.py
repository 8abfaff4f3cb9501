"""What the resources share: the installed standards, the coefficients, the sentences, the memory."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import cast

from flask import current_app

from mountwright.fitting.estimates import Estimates
from mountwright.messages import Messages
from mountwright.mounts.registry import Registry
from mountwright.web.memory import Memory


@dataclass(frozen=True)
class Workshop:
    """Built once by bootstrap; only its memory changes afterwards."""

    registry: Registry
    estimates: Estimates
    messages: Messages
    memory: Memory = field(default_factory=Memory)


EXTENSION = "mountwright"


def workshop() -> Workshop:
    """Give the workshop of the app that is being asked."""
    return cast(Workshop, current_app.extensions[EXTENSION])
