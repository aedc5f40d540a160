"""The rules: what she asks, turned into an entry or a refusal, one module a noun."""
