"""What the pages show, read in a constant number of queries."""
