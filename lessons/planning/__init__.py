"""When lessons happen and how the teacher gets there: pure Python, no clock, no database."""
