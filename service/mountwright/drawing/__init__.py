"""Pictures: what the domain has worked out, drawn to scale."""
