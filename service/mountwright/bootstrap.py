"""Puts everything together; the only module that sees all of it. Nothing is built at import."""

from __future__ import annotations

from importlib.metadata import version

from flask import Flask

from mountwright.fitting.estimates import estimates
from mountwright.messages import catalogue
from mountwright.mounts.discovery import discovered
from mountwright.settings import Settings
from mountwright.web.blueprint import Contract
from mountwright.web.json_provider import OrjsonProvider
from mountwright.web.problems import MAX_BODY_BYTES, register_problems
from mountwright.web.resources import fit_checks, health, mount_identifications, standards
from mountwright.web.workshop import EXTENSION, Workshop

_RESOURCES = (fit_checks, mount_identifications, standards, health)


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
    registry = discovered(settings.standards_dir, settings.blocked_plugins, package_version=version("mountwright"))
    return Workshop(registry, estimates(), catalogue(registry.messages))


def create_app(settings: Settings | None = None) -> Flask:
    """Build the WSGI application: ``gunicorn 'mountwright.bootstrap:create_app()'``.

    Raises
    ------
    PluginError
        When a plugin of this distribution is broken.
    SettingsError
        For an environment variable that cannot be used.
    """
    settings = settings or Settings.from_env()
    workshop = create_workshop(settings)
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
    register_problems(app, workshop.messages)
    contract = Contract(app)
    for module in _RESOURCES:
        contract.register_blueprint(module.resource)
    return app
