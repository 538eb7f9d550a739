"""Factories: one per model, each making the least that its row needs."""
