"""The plan file: read, checked, and resolved into a plan with values in SI units."""
