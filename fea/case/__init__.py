"""The case file: its schema, its units, its defaults, what was understood."""
