"""Settings, read from the environment once."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from mountwright.errors import SettingsError
from mountwright.messages import ENGLISH, LANGUAGES

_ADDRESS = re.compile(r"https?://[!-~]{1,200}")


class Reads(StrEnum):
    """Who may read."""

    OPEN = "open"
    KEYED = "keyed"


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
    database : str
        ``MOUNTWRIGHT_DATABASE``: address of the catalogue; judged where it is opened.
    reads : Reads
        ``MOUNTWRIGHT_READS``: ``open`` to everybody, ``keyed`` for who holds a key.
    max_import_bytes : int
        ``MOUNTWRIGHT_MAX_IMPORT_BYTES``: largest file to import over HTTP, inclusive.
    language : str
        ``MOUNTWRIGHT_LANGUAGE``: spoken to whoever asks for no language that there is.
    address : str
        ``MOUNTWRIGHT_ADDRESS``: where phones at the bench reach the service, for the QR codes of bench cards; empty for
        the address that a request came to.
    """

    standards_dir: Path | None = None
    blocked_plugins: frozenset[str] = frozenset()
    max_body_bytes: int = 256 * 1024
    database: str = "sqlite:///mountwright.db"
    reads: Reads = Reads.OPEN
    max_import_bytes: int = 64 * 1024 * 1024
    language: str = ENGLISH
    address: str = ""

    @classmethod
    def from_env(cls, env: Mapping[str, str] | None = None) -> Settings:
        """Read the settings.

        Raises
        ------
        SettingsError
            For a folder that is not there, what is no number or no address, and a word that is not among the choices.
        """
        env = os.environ if env is None else env
        blocked = env.get("MOUNTWRIGHT_BLOCKED_PLUGINS", "")
        return cls(
            standards_dir=_folder(env, "MOUNTWRIGHT_STANDARDS_DIR"),
            blocked_plugins=frozenset(name.strip() for name in blocked.split(",") if name.strip()),
            max_body_bytes=_count(env, "MOUNTWRIGHT_MAX_BODY_BYTES", cls.max_body_bytes),
            database=env.get("MOUNTWRIGHT_DATABASE", "") or cls.database,
            reads=_reads(env, "MOUNTWRIGHT_READS"),
            max_import_bytes=_count(env, "MOUNTWRIGHT_MAX_IMPORT_BYTES", cls.max_import_bytes),
            language=_language(env, "MOUNTWRIGHT_LANGUAGE"),
            address=_address(env, "MOUNTWRIGHT_ADDRESS"),
        )

    def to_env(self) -> dict[str, str]:
        """Give the variables from which the same settings are read again, in another process."""
        return {
            "MOUNTWRIGHT_STANDARDS_DIR": str(self.standards_dir or ""),
            "MOUNTWRIGHT_BLOCKED_PLUGINS": ",".join(sorted(self.blocked_plugins)),
            "MOUNTWRIGHT_MAX_BODY_BYTES": str(self.max_body_bytes),
            "MOUNTWRIGHT_DATABASE": self.database,
            "MOUNTWRIGHT_READS": self.reads.value,
            "MOUNTWRIGHT_MAX_IMPORT_BYTES": str(self.max_import_bytes),
            "MOUNTWRIGHT_LANGUAGE": self.language,
            "MOUNTWRIGHT_ADDRESS": self.address,
        }


def _folder(env: Mapping[str, str], variable: str) -> Path | None:
    given = env.get(variable, "")
    if not given:
        return None
    if not Path(given).is_dir():
        raise SettingsError(variable, given, "an existing folder")
    return Path(given)


def _reads(env: Mapping[str, str], variable: str) -> Reads:
    given = env.get(variable, "")
    try:
        return Reads(given or Reads.OPEN)
    except ValueError as error:
        raise SettingsError(variable, given, " or ".join(Reads)) from error


def _language(env: Mapping[str, str], variable: str) -> str:
    given = env.get(variable, "") or ENGLISH
    if given not in LANGUAGES:
        raise SettingsError(variable, given, " or ".join(LANGUAGES))
    return given


def _address(env: Mapping[str, str], variable: str) -> str:
    """Read an address without the slash at its end."""
    given = env.get(variable, "")
    if given and not _ADDRESS.fullmatch(given):
        raise SettingsError(variable, given, "an http or https address such as https://fits.example.com")
    return given.rstrip("/")


def _count(env: Mapping[str, str], variable: str, default: int) -> int:
    given = env.get(variable, "")
    if not given:
        return default
    if not given.isdecimal() or int(given) == 0:
        raise SettingsError(variable, given, "a whole number above 0")
    return int(given)
