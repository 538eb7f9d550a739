"""Pages about money."""
