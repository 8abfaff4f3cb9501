"""Keys to the service: shown once, kept as digests, and good for nothing once they are revoked or expired."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import FrozenInstanceError
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select, text, update

from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.keys import Key, Scope, checked, created, is_written_as_key, listed, revoked
from mountwright.catalogue.tables import API_KEYS
from mountwright.catalogue.versions import version_of
from mountwright.errors import CatalogueError

NOON = datetime(2031, 5, 4, 12, 0, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)

MOMENTS = st.datetimes(
    datetime(2000, 1, 1),
    datetime(2100, 1, 1),
    timezones=st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)


@pytest.fixture
def engines(database: str) -> Iterator[Engines]:
    """Give an empty catalogue."""
    found = opened(database)
    yield found
    found.close()


@pytest.fixture
def look_up(engines: Engines) -> Callable[..., Key | None]:
    """Give a way to check a text at some time, noon where none is given."""

    def ask(shown: str, now: datetime = NOON) -> Key | None:
        with engines.reading() as connection:
            return checked(connection, shown, now)

    return ask


def id_of(shown: str) -> str:
    """Give the id within the text of a key."""
    return shown.split("_")[1]


def test_a_key_tells_which_shop_holds_it_and_what_it_opens(
    engines: Engines, look_up: Callable[..., Key | None]
) -> None:
    """What was granted is what is found."""
    shown = created(engines, "bell-tower-2", ["read"], None, NOON)

    assert Key(id_of(shown), "bell-tower-2", frozenset({Scope.READ}), None) == look_up(shown)


def test_who_may_write_may_read(engines: Engines, look_up: Callable[..., Key | None]) -> None:
    """The wider scope brings the narrower one along, and not the reverse."""
    writer = look_up(created(engines, "bell", [Scope.WRITE], None, NOON))
    reader = look_up(created(engines, "bell", [Scope.READ], None, NOON))
    assert writer is not None
    assert reader is not None

    assert [True, True] == [writer.opens(Scope.READ), writer.opens(Scope.WRITE)]
    assert [True, False] == [reader.opens(Scope.READ), reader.opens(Scope.WRITE)]


def test_a_key_is_made_of_an_id_and_256_random_bits(engines: Engines) -> None:
    """Two keys share nothing but their form; 43 characters of base64 carry 256 bits."""
    one, other = (created(engines, "bell", ["read"], None, NOON) for _ in range(2))

    assert re.fullmatch(r"mw_[a-z0-9]{8}_[A-Za-z0-9_-]{43}", one)
    assert id_of(one) != id_of(other)
    assert one[12:] != other[12:]


def test_a_key_that_differs_in_one_letter_is_none(engines: Engines, look_up: Callable[..., Key | None]) -> None:
    """Every letter counts, those of the id and the last one included."""
    shown = created(engines, "bell", ["write"], None, NOON)
    near = [shown[:place] + ("b" if letter == "a" else "a") + shown[place + 1 :] for place, letter in enumerate(shown)]

    assert [] == [each for each in near if look_up(each) is not None]


@pytest.mark.parametrize(
    "garbage", ["", "mw_", "Bearer", "mw_abcdefgh_" + "x" * 42, "mw_abcdefgh_" + "x" * 44, "mw_ABCDEFGH_" + "x" * 43]
)
def test_what_has_not_the_form_of_a_key_is_none(look_up: Callable[..., Key | None], garbage: str) -> None:
    """It is not even looked for."""
    assert (False, None) == (is_written_as_key(garbage), look_up(garbage))


@pytest.mark.parametrize("around", [" {}", "{} ", "{}\n", "\n{}", "{}x", "{0}{0}"])
def test_a_key_with_something_around_it_is_none(
    engines: Engines, look_up: Callable[..., Key | None], around: str
) -> None:
    """The whole text is the key, or it is no key."""
    shown = around.format(created(engines, "bell", ["read"], None, NOON))

    assert (False, None) == (is_written_as_key(shown), look_up(shown))


def test_a_secret_opens_nothing_under_the_id_of_another_key(
    engines: Engines, look_up: Callable[..., Key | None]
) -> None:
    """Whoever holds a key to read cannot make one to write of it by its id."""
    reader = created(engines, "bell", ["read"], None, NOON)
    writer = created(engines, "horn", ["write"], None, NOON)

    assert look_up(writer[:12] + reader[12:]) is None


def test_a_digest_that_was_carried_over_to_another_row_opens_nothing(
    engines: Engines, look_up: Callable[..., Key | None]
) -> None:
    """The digest is of id and secret together."""
    reader, writer = (created(engines, "bell", [scope], None, NOON) for scope in Scope)
    with engines.writing() as connection:
        stolen = connection.scalar(select(API_KEYS.c.digest).where(API_KEYS.c.id == id_of(reader)))
        connection.execute(update(API_KEYS).where(API_KEYS.c.id == id_of(writer)).values(digest=stolen))

    assert look_up(writer[:12] + reader[12:]) is None


def test_a_key_expires_on_the_second(engines: Engines, look_up: Callable[..., Key | None]) -> None:
    """The last second before its end it is good, from its end on it is not."""
    shown = created(engines, "bell", ["read"], NOON + 60 * SECOND, NOON)

    assert look_up(shown, NOON + 59 * SECOND) is not None
    assert look_up(shown, NOON + 60 * SECOND) is None


def test_a_revoked_key_opens_nothing(engines: Engines, look_up: Callable[..., Key | None]) -> None:
    """Only the one that was named."""
    lost, kept = (created(engines, "bell", ["read"], None, NOON) for _ in range(2))

    assert revoked(engines, id_of(lost), NOON)
    assert look_up(lost) is None
    assert look_up(kept) is not None


def test_a_key_is_revoked_once(engines: Engines) -> None:
    """When it was revoked stays as it was, and a slip in the id is noticed."""
    shown = created(engines, "bell", ["read"], None, NOON)
    told = [revoked(engines, key_id, NOON + SECOND * wait) for wait, key_id in enumerate([id_of(shown)] * 2 + ["none"])]

    assert [True, False, False] == told
    assert ["2031-05-04T12:00:00Z"] == [row.revoked_at for row in listed(engines)]


def test_the_list_has_every_key_the_oldest_first(engines: Engines) -> None:
    """With the shop, the scopes and the times; a key that ended is listed as well."""
    later = created(engines, "horn", ["write"], NOON + 2 * SECOND, NOON + SECOND)
    first = created(engines, "bell", ["read"], None, NOON)
    revoked(engines, id_of(first), NOON + SECOND)
    noon, then, end = (f"2031-05-04T12:00:0{second}Z" for second in range(3))

    expected = (
        (id_of(first), "bell", {Scope.READ}, noon, None, then),
        (id_of(later), "horn", {Scope.READ, Scope.WRITE}, then, end, None),
    )
    assert expected == listed(engines)


def test_the_list_tells_what_has_become_of_each_key(engines: Engines) -> None:
    """One that was revoked is called so, also after the day on which it would have expired."""
    for wait, end in enumerate((None, NOON + 10 * SECOND, NOON + 10 * SECOND)):
        last = created(engines, "bell", ["read"], end, NOON + wait * SECOND)
    revoked(engines, id_of(last), NOON + 5 * SECOND)
    states = [[row.state(NOON + wait * SECOND) for row in listed(engines)] for wait in (9, 10)]

    assert [["good", "good", "revoked"], ["good", "expired", "revoked"]] == states


def test_times_are_kept_in_utc_and_whole_seconds(engines: Engines) -> None:
    """Wherever the shop's clock stands."""
    east = timezone(timedelta(hours=5, minutes=45))
    created(engines, "bell", ["read"], None, NOON.replace(microsecond=999_999).astimezone(east))

    assert ["2031-05-04T12:00:00Z"] == [row.created_at for row in listed(engines)]


def test_neither_the_list_nor_the_table_tells_the_secret(engines: Engines) -> None:
    """Whoever reads the database cannot ask with what it holds."""
    secret = created(engines, "bell", ["read"], None, NOON)[12:]
    with engines.reading() as connection:
        kept = str(connection.execute(text("SELECT * FROM api_keys")).all())

    assert secret not in kept
    assert "digest" not in listed(engines)[0]._fields


@pytest.mark.parametrize("shop", ["", "Bell", "bell tower", "bell_tower", "bell\n", "glöckner", "b" * 41])
def test_what_is_no_code_of_a_shop_gets_no_key(engines: Engines, shop: str) -> None:
    """A code of letters, digits and hyphens holds nobody's name by accident."""
    with pytest.raises(CatalogueError, match=r"^shop: found .*expected 1 to 40 of a to z, 0 to 9 and hyphens"):
        created(engines, shop, ["read"], None, NOON)
    assert () == listed(engines)


@pytest.mark.parametrize("scopes", [[], ["admin"], ["read", "writes"], ["Read"]])
def test_what_is_no_scope_gets_no_key(engines: Engines, scopes: list[str]) -> None:
    """A key that opens nothing, or something else, is none."""
    with pytest.raises(CatalogueError, match=r"^scopes: found .*expected read or write"):
        created(engines, "bell", scopes, None, NOON)
    assert () == listed(engines)


@pytest.mark.parametrize("before", [timedelta(0), SECOND, timedelta(microseconds=1)])
def test_a_key_does_not_end_before_it_begins(engines: Engines, before: timedelta) -> None:
    """Nobody hands out a key that is already expired."""
    with pytest.raises(
        CatalogueError, match=r"^end of the key: found 2031.*expected a time after 2031-05-04T12:00:00Z"
    ):
        created(engines, "bell", ["read"], NOON - before, NOON)


def test_a_time_without_a_zone_is_refused(engines: Engines) -> None:
    """It would be read otherwise on another machine."""
    with pytest.raises(CatalogueError, match=r"^time: found 2031-05-04T12:00:00 without a zone"):
        created(engines, "bell", ["read"], NOON.replace(tzinfo=None), NOON)


def test_a_key_leaves_the_version_of_the_catalogue_alone(engines: Engines) -> None:
    """No answer depends on a key, so none is worked out anew for one."""
    revoked(engines, id_of(created(engines, "bell", ["write"], None, NOON)), NOON)
    with engines.reading() as connection:
        assert 0 == version_of(connection).number


@given(MOMENTS, MOMENTS)
def test_texts_of_time_compare_as_the_times_do(end: datetime, now: datetime) -> None:
    """In whole seconds, whatever the zones."""
    whole = [moment.replace(microsecond=0) for moment in (now, end)]
    key = Key("abcdefgh", "bell", frozenset(), f"{end.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}")

    assert (whole[0] < whole[1]) == key.lasts(now)


def test_a_key_does_not_change() -> None:
    """What was verified cannot be widened on its way through a request."""
    with pytest.raises(FrozenInstanceError):
        Key("abcdefgh", "bell", frozenset(), None).scopes = frozenset(Scope)  # type: ignore[misc]  # it is the point
