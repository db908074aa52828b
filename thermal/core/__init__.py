"""Array types, searches, a pool of processes and atomic file writes: nothing that knows heat."""
