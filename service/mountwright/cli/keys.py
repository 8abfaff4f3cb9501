"""``mountwright keys``."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import click

from mountwright.catalogue.keys import Scope, created, listed, revoked
from mountwright.cli.opening import own_catalogue
from mountwright.cli.telling import explained
from mountwright.web.security import TRUSTED_S


@click.group()
def keys() -> None:
    """Hand out keys to the service, list them, revoke them."""


@keys.command("create")
@click.argument("shop")
@click.option(
    "--scope",
    type=click.Choice([scope.value for scope in Scope]),
    default=Scope.READ.value,
    show_default=True,
    help="What it opens; write includes read.",
)
@click.option("--days", type=click.IntRange(1, 3650), help="Days until it expires; never if left out.")
@explained
def create_key(shop: str, scope: str, days: int | None) -> None:
    """Make a key for a shop, named by its code, and print it: this once."""
    now = datetime.now(UTC)
    text = created(own_catalogue(), shop, [scope], now + timedelta(days=days) if days else None, now)
    click.echo(text)
    key_id = text.split("_")[1]
    click.echo(f"Shown this once. If it gets lost: mountwright keys revoke {key_id}, and make another.", err=True)


@keys.command("revoke")
@click.argument("key_id", metavar="ID")
@explained
def revoke_key(key_id: str) -> None:
    """Revoke a key by its id, the eight characters after mw_."""
    # A whole key may have been pasted; its secret is not to be repeated on the screen.
    key_id = key_id.removeprefix("mw_")[:8]
    if not revoked(own_catalogue(), key_id, datetime.now(UTC)):
        raise click.ClickException(f"no key {key_id} that could be revoked; mountwright keys list shows them all")
    click.echo(f"Revoked {key_id}. Running services stop taking it within {TRUSTED_S:.0f} seconds.")


@keys.command("list")
@explained
def list_keys() -> None:
    """List every key that was made, the oldest first, without its secret."""
    now, rows = datetime.now(UTC), listed(own_catalogue())
    if not rows:
        click.echo("No keys yet. Make one: mountwright keys create SHOP", err=True)
        return
    width = max(4, *(len(row.shop) for row in rows))
    click.echo(f"{'id':<8}  {'shop':<{width}}  {'opens':<10}  {'made':<20}  {'expires':<20}  state")
    for row in rows:
        opens, end = " ".join(sorted(row.scopes)), row.expires_at or "never"
        click.echo(f"{row.id}  {row.shop:<{width}}  {opens:<10}  {row.created_at}  {end:<20}  {row.state(now)}")
