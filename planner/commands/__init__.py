"""The commands: parse, ask the rules, show, append, say."""

import gc

# A command lives for a fifth of a second: looking for cycles among what its imports
# leave, none of which goes away, would take a twentieth of that.
gc.set_threshold(100_000, 20, 50)
