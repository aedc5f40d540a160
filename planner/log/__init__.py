"""The log: codec, chain, shop file, people beside it, backup, export and check."""
