"""The catalogue that the commands work on."""

from __future__ import annotations

from mountwright.bootstrap import ready_catalogue
from mountwright.catalogue.engines import Engines, opened
from mountwright.settings import Settings


def own_catalogue() -> Engines:
    """Open the catalogue of the settings, made where there is none yet."""
    engines = opened(Settings.from_env().database)
    ready_catalogue(engines)
    return engines
