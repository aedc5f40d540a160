"""The computations: ledgers in, plans out."""
