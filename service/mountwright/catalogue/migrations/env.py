"""Runs the steps on the connection that :mod:`mountwright.catalogue.schema` hands over."""

from __future__ import annotations

from alembic import context

from mountwright.catalogue.tables import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA)
context.run_migrations()
