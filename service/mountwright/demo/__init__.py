"""A demonstration: an invented club asks what a skate shop is asked all day."""
