"""Settings from the environment: what may be set, and what is refused."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import SettingsError
from mountwright.messages import LANGUAGES
from mountwright.settings import Reads, Settings

#: The counts of bytes, each with the name of what it becomes.
BYTES = {"MOUNTWRIGHT_MAX_BODY_BYTES": "max_body_bytes", "MOUNTWRIGHT_MAX_IMPORT_BYTES": "max_import_bytes"}

NAMES = (
    "MOUNTWRIGHT_STANDARDS_DIR",
    "MOUNTWRIGHT_BLOCKED_PLUGINS",
    "MOUNTWRIGHT_DATABASE",
    "MOUNTWRIGHT_READS",
    "MOUNTWRIGHT_LANGUAGE",
    "MOUNTWRIGHT_ADDRESS",
    *BYTES,
)

COUNTS = st.integers(1, 10**12)


def test_nothing_has_to_be_set() -> None:
    """Without a variable all is as in the README: a file for the catalogue, open reads, 256 KiB and 64 MiB at most."""
    usual = Settings(None, frozenset(), 262_144, "sqlite:///mountwright.db", Reads.OPEN, 67_108_864, "en", "")

    assert usual == Settings.from_env({})


def test_empty_variables_count_as_not_set() -> None:
    """A variable that is there and empty, as a container's settings file leaves it, is as good as none."""
    assert Settings() == Settings.from_env(dict.fromkeys(NAMES, ""))


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


@pytest.mark.parametrize("name", BYTES)
@pytest.mark.parametrize("given", ["1", "262144"])
def test_a_body_or_a_file_may_have_any_whole_number_of_bytes(name: str, given: str) -> None:
    """The largest body, and the largest file to import, is a whole number, from one byte on."""
    assert int(given) == getattr(Settings.from_env({name: given}), BYTES[name])


@pytest.mark.parametrize("name", BYTES)
@pytest.mark.parametrize("given", ["0", "-1", "1.5", "1e6", "256k", " 1", "²"])
def test_what_is_no_number_of_bytes_is_refused_by_name(name: str, given: str) -> None:
    """A number of 0 or less, a broken one and a text are refused; variable and value are named."""
    with pytest.raises(SettingsError) as caught:
        Settings.from_env({name: given})

    assert f"{name}: found {given!r}, expected a whole number above 0" == str(caught.value)


def test_the_database_is_taken_as_it_is() -> None:
    """Whoever opens the database judges its address."""
    assert (
        "postgresql://club@db/skates"
        == Settings.from_env({"MOUNTWRIGHT_DATABASE": "postgresql://club@db/skates"}).database
    )


@pytest.mark.parametrize("reads", Reads)
def test_reads_are_open_or_keyed(reads: Reads) -> None:
    """Both words are taken as they are written."""
    assert reads is Settings.from_env({"MOUNTWRIGHT_READS": reads.value}).reads


@pytest.mark.parametrize("given", ["https://fits.example.com", "http://10.0.0.7:8000/skates/"])
def test_an_address_is_taken_without_the_slash_at_its_end(given: str) -> None:
    """Paths are put behind the address."""
    assert given.rstrip("/") == Settings.from_env({"MOUNTWRIGHT_ADDRESS": given}).address


@pytest.mark.parametrize(
    "given", ["fits.example.com", "ftp://fits.example.com", "https://a b", "https://", "https://ü"]
)
def test_what_is_no_address_is_refused_by_name(given: str) -> None:
    """A QR code that leads nowhere is found out at the start, not at the bench."""
    with pytest.raises(SettingsError, match=r"^MOUNTWRIGHT_ADDRESS: found .* expected an http or https address"):
        Settings.from_env({"MOUNTWRIGHT_ADDRESS": given})


@pytest.mark.parametrize("given", ["Keyed", "closed", " open", "1"])
def test_another_word_for_reads_is_refused_with_those_to_choose_from(given: str) -> None:
    """Reads that were meant to be keyed are never left open by a slip of the pen."""
    with pytest.raises(SettingsError) as caught:
        Settings.from_env({"MOUNTWRIGHT_READS": given})

    assert f"MOUNTWRIGHT_READS: found {given!r}, expected open or keyed" == str(caught.value)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_shop_chooses_its_language(language: str) -> None:
    """A shop may set what it speaks to callers who ask for no language."""
    assert language == Settings.from_env({"MOUNTWRIGHT_LANGUAGE": language}).language


@pytest.mark.parametrize("given", ["DE", "de-AT", "xx", " de"])
def test_a_language_that_the_service_does_not_speak_is_refused(given: str) -> None:
    """Another language is refused with those to choose from."""
    with pytest.raises(SettingsError) as caught:
        Settings.from_env({"MOUNTWRIGHT_LANGUAGE": given})

    assert f"MOUNTWRIGHT_LANGUAGE: found {given!r}, expected en or de or fr or nl" == str(caught.value)


def test_settings_do_not_change() -> None:
    """Settings are read once: nobody can change them afterwards."""
    with pytest.raises(FrozenInstanceError):
        Settings().max_body_bytes = 0  # type: ignore[misc]  # it is the point


@pytest.mark.parametrize("folder", [None, Path(__file__).parent])
@given(
    blocked=st.frozensets(st.from_regex(r"[a-z_]+", fullmatch=True)),
    reads=st.sampled_from(Reads),
    size=COUNTS,
    language=st.sampled_from(LANGUAGES),
)
def test_another_process_reads_the_same_settings(
    folder: Path | None, blocked: frozenset[str], reads: Reads, size: int, language: str
) -> None:
    """What settings are handed on as is read as the same settings again."""
    database, address = "postgresql://club:secret@db/skates", "https://fits.example.com"
    settings = Settings(folder, blocked, size, database, reads, size + 1, language, address)

    assert settings == Settings.from_env(settings.to_env())


def test_every_setting_is_handed_on() -> None:
    """A variable that is left out would be taken from the environment of whoever hands on."""
    assert set(NAMES) == set(Settings().to_env())
