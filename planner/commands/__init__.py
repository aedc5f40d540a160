"""The commands: parse, ask the rules, show, append, say."""
