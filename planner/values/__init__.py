"""Frozen values with strict typing and formatting."""
