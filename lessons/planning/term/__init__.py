"""Building a term: everybody's weekly time at once, with the least driving, idling and change."""
