"""Network and weather to temperatures and heat, many designs at once."""
