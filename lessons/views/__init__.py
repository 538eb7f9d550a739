"""Pages about lessons."""
