"""Mount standards: how they are described, found, loaded and asked."""
