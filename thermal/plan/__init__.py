"""A plan file, read, checked and resolved into values in SI."""
