"""Frozen values that engines make, views show and rules accept, one module a noun."""
