"""The read models: what the log adds up to, one module a noun."""
