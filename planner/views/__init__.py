"""The view models: one module a report, three faces each."""
