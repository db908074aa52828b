"""How heat and vapour leave or enter, one kind of path in each module."""
