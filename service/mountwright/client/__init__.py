"""A small client of the service, for a webshop: its questions, and the basket at checkout within a time limit."""

from mountwright.client.checkout import Checkout
from mountwright.client.connection import MOST_UNDER_WAY
from mountwright.client.questions import Client

__all__ = ["MOST_UNDER_WAY", "Checkout", "Client"]
