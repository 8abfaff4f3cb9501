"""Settings, read from the environment once."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from mountwright.errors import SettingsError


@dataclass(frozen=True)
class Settings:
    """What a shop may set.

    Parameters
    ----------
    standards_dir : Path or None
        ``MOUNTWRIGHT_STANDARDS_DIR``: folder of TOML files, each adding standards.
    blocked_plugins : frozenset of str
        ``MOUNTWRIGHT_BLOCKED_PLUGINS``: names, separated by commas, not to load.
    max_body_bytes : int
        ``MOUNTWRIGHT_MAX_BODY_BYTES``: largest request body, inclusive.
    """

    standards_dir: Path | None = None
    blocked_plugins: frozenset[str] = frozenset()
    max_body_bytes: int = 256 * 1024

    @classmethod
    def from_env(cls, env: Mapping[str, str] | None = None) -> Settings:
        """Read the settings.

        Raises
        ------
        SettingsError
            For a folder that is not there or a number that is none.
        """
        env = os.environ if env is None else env
        blocked = env.get("MOUNTWRIGHT_BLOCKED_PLUGINS", "")
        return cls(
            standards_dir=_folder(env, "MOUNTWRIGHT_STANDARDS_DIR"),
            blocked_plugins=frozenset(name.strip() for name in blocked.split(",") if name.strip()),
            max_body_bytes=_count(env, "MOUNTWRIGHT_MAX_BODY_BYTES", cls.max_body_bytes),
        )


def _folder(env: Mapping[str, str], variable: str) -> Path | None:
    given = env.get(variable, "")
    if not given:
        return None
    if not Path(given).is_dir():
        raise SettingsError(variable, given, "an existing folder")
    return Path(given)


def _count(env: Mapping[str, str], variable: str, default: int) -> int:
    given = env.get(variable, "")
    if not given:
        return default
    if not given.isdecimal() or int(given) == 0:
        raise SettingsError(variable, given, "a whole number above 0")
    return int(given)
