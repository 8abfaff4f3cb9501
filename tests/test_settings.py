"""Settings from the environment: what may be set, and what is refused."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from mountwright.errors import SettingsError
from mountwright.settings import Settings


def test_nothing_has_to_be_set() -> None:
    """Without a variable there is no folder, nothing is blocked and a body may have 256 KiB."""
    assert Settings(None, frozenset(), 262_144) == Settings.from_env({})


def test_empty_variables_count_as_not_set() -> None:
    """A variable that is there and empty, as a container's settings file leaves it, is as good as none."""
    names = ("MOUNTWRIGHT_STANDARDS_DIR", "MOUNTWRIGHT_BLOCKED_PLUGINS", "MOUNTWRIGHT_MAX_BODY_BYTES")

    assert Settings() == Settings.from_env(dict.fromkeys(names, ""))


def test_the_environment_of_the_process_is_read_unless_another_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings come from the process's own environment."""
    monkeypatch.setenv("MOUNTWRIGHT_MAX_BODY_BYTES", "1000")

    assert Settings.from_env().max_body_bytes == 1000


def test_a_folder_is_taken_as_it_is(tmp_path: Path) -> None:
    """A folder for standards files is taken if it is there."""
    assert tmp_path == Settings.from_env({"MOUNTWRIGHT_STANDARDS_DIR": str(tmp_path)}).standards_dir


@pytest.mark.parametrize("name", ["missing", "file.toml"])
def test_what_is_no_folder_is_refused_by_name(tmp_path: Path, name: str) -> None:
    """A folder that is not there, or is a file, is refused; variable and value are named."""
    (tmp_path / "file.toml").touch()
    with pytest.raises(SettingsError) as caught:
        Settings.from_env({"MOUNTWRIGHT_STANDARDS_DIR": str(tmp_path / name)})

    assert ("MOUNTWRIGHT_STANDARDS_DIR", str(tmp_path / name)) == (caught.value.variable, caught.value.found)
    assert str(caught.value).endswith("expected an existing folder")


@pytest.mark.parametrize(
    ("given", "expected"),
    [("bells", {"bells"}), (" bells , horns,", {"bells", "horns"}), (",, ,", set()), ("bells,bells", {"bells"})],
)
def test_blocked_names_are_separated_by_commas(given: str, expected: set[str]) -> None:
    """Blocked names may have spaces around them, and an empty one is none."""
    assert expected == Settings.from_env({"MOUNTWRIGHT_BLOCKED_PLUGINS": given}).blocked_plugins


@pytest.mark.parametrize("given", ["1", "262144"])
def test_a_body_may_have_any_whole_number_of_bytes(given: str) -> None:
    """The largest body is a whole number, from one byte on."""
    assert int(given) == Settings.from_env({"MOUNTWRIGHT_MAX_BODY_BYTES": given}).max_body_bytes


@pytest.mark.parametrize("given", ["0", "-1", "1.5", "1e6", "256k", " 1", "²"])
def test_what_is_no_number_of_bytes_is_refused_by_name(given: str) -> None:
    """A number of 0 or less, a broken one and a text are refused; variable and value are named."""
    with pytest.raises(SettingsError) as caught:
        Settings.from_env({"MOUNTWRIGHT_MAX_BODY_BYTES": given})

    assert f"MOUNTWRIGHT_MAX_BODY_BYTES: found {given!r}, expected a whole number above 0" == str(caught.value)


def test_settings_do_not_change() -> None:
    """Settings are read once: nobody can change them afterwards."""
    with pytest.raises(FrozenInstanceError):
        Settings().max_body_bytes = 0  # type: ignore[misc]  # it is the point
