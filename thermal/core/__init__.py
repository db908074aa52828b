"""Array types, aligned arrays, searches and atomic file writes: nothing that knows heat."""
