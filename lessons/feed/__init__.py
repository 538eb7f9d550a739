"""Lessons as an iCalendar object (RFC 5545): values in, text out; no rows, no requests."""
