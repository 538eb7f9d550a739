"""Speed, measured. Not a test: figures depend on the machine, so each stands beside a baseline."""
