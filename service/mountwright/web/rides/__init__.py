"""Set-ups that are ridden: from a request and the catalogue to what is worked out, and back."""
