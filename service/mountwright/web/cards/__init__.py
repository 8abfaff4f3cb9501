"""Bench cards: from a request and the catalogue to the card, and the card as JSON, HTML and PDF."""
