"""What the resources share: the installed standards, the coefficients, the sentences, the settings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from flask import current_app

from mountwright.fitting.estimates import Estimates
from mountwright.messages import Messages
from mountwright.mounts.registry import Registry


@dataclass(frozen=True)
class Workshop:
    """Built once by bootstrap, only read afterwards."""

    registry: Registry
    estimates: Estimates
    messages: Messages


EXTENSION = "mountwright"


def workshop() -> Workshop:
    """Give the workshop of the app that is being asked."""
    return cast(Workshop, current_app.extensions[EXTENSION])
