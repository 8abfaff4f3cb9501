"""Baskets at checkout: from a request and the catalogue to what is judged, and back."""
