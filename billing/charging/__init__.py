"""What lessons cost and what is owed: pure Python, decimals only, no clock and no database."""
