"""A plugin that needs a package which nobody has."""

import wick_and_oil  # noqa: F401  # on purpose
