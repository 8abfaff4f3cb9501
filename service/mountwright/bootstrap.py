"""Puts everything together; the only module that sees all of it. Nothing is built at import."""

from __future__ import annotations

from importlib.metadata import version

from flask import Flask

from mountwright.bench.added_jobs import jobs_with_added
from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.schema import is_new, require_current, upgrade
from mountwright.fitting.estimates import estimates
from mountwright.messages import catalogue
from mountwright.mounts.discovery import discovered
from mountwright.settings import Settings
from mountwright.web.blueprint import Contract
from mountwright.web.json_provider import OrjsonProvider
from mountwright.web.languages import register_languages, wanted_language
from mountwright.web.problems import MAX_BODY_BYTES, register_problems
from mountwright.web.resources import (
    bearing_care,
    bench_cards,
    candidates,
    cart_checks,
    colour_matches,
    fit_checks,
    flap_trims,
    health,
    imports,
    lace_lengths,
    mount_identifications,
    outcomes,
    parts,
    photo_measurements,
    ride_estimates,
    size_conversions,
    skates,
    standards,
    strap_trims,
    upgrade_paths,
    wheel_lines,
)
from mountwright.web.security import Keyring, register_security
from mountwright.web.shelf import Shelf
from mountwright.web.staleness import register_staleness
from mountwright.web.workshop import EXTENSION, Workshop

_RESOURCES = (
    fit_checks,
    cart_checks,
    mount_identifications,
    wheel_lines,
    ride_estimates,
    upgrade_paths,
    bearing_care,
    strap_trims,
    flap_trims,
    lace_lengths,
    photo_measurements,
    size_conversions,
    colour_matches,
    bench_cards,
    standards,
    skates,
    candidates,
    parts,
    imports,
    outcomes,
    health,
)


def create_workshop(settings: Settings | None = None) -> Workshop:
    """Load the standards and everything else that answers need.

    Raises
    ------
    PluginError
        When a plugin of this distribution is broken.
    SettingsError
        For an environment variable that cannot be used.
    """
    settings = settings or Settings.from_env()
    registry = discovered(
        settings.standards_dir,
        settings.blocked_plugins,
        package_version=version("mountwright"),
        judge=jobs_with_added,
    )
    engines = opened(settings.database)
    return Workshop(
        registry,
        estimates(),
        catalogue(registry.messages),
        engines,
        Shelf(engines, registry),
        settings,
        jobs=jobs_with_added(registry),
    )


def ready_catalogue(engines: Engines) -> None:
    """Make the embedded catalogue where there is none yet; any other has to have the form of this release.

    Raises
    ------
    CatalogueError
        When it cannot be reached, or has older or newer tables.
    """
    if is_new(engines):
        upgrade(engines)
    require_current(engines)


def create_app(settings: Settings | None = None) -> Flask:
    """Build the WSGI application: ``gunicorn 'mountwright.bootstrap:create_app()'``.

    Raises
    ------
    PluginError
        When a plugin of this distribution is broken.
    SettingsError
        For an environment variable that cannot be used.
    CatalogueError
        When the catalogue cannot be reached, or has older or newer tables.
    """
    settings = settings or Settings.from_env()
    workshop = create_workshop(settings)
    ready_catalogue(workshop.engines)
    app = Flask("mountwright", static_folder=None)
    app.json = OrjsonProvider(app)
    app.config.update(
        API_TITLE="Mountwright",
        API_VERSION="v1",
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/",
        OPENAPI_JSON_PATH="openapi.json",
        # One byte more than is taken: a chunked body that is cut at the limit would look whole.
        MAX_CONTENT_LENGTH=settings.max_body_bytes + 1,
    )
    app.config[MAX_BODY_BYTES] = settings.max_body_bytes
    app.extensions[EXTENSION] = workshop
    register_problems(app, lambda: workshop.in_language(wanted_language(settings.language)).messages)
    register_languages(app)
    register_security(app, Keyring(workshop.engines), settings.reads)
    register_staleness(app)
    contract = Contract(app)
    for module in _RESOURCES:
        contract.register_blueprint(module.resource)
    return app
