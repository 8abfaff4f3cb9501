"""What the commands work on: the catalogue, and the workshop in the shop's own language."""

from __future__ import annotations

from mountwright.bootstrap import create_workshop, ready_catalogue
from mountwright.catalogue.engines import Engines, opened
from mountwright.settings import Settings
from mountwright.web.workshop import Workshop


def own_catalogue() -> Engines:
    """Open the catalogue of the settings, made where there is none yet."""
    engines = opened(Settings.from_env().database)
    ready_catalogue(engines)
    return engines


def own_workshop() -> Workshop:
    """Load all that answers need, in the language of the settings."""
    workshop = create_workshop()
    return workshop.in_language(workshop.settings.language)
