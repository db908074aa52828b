"""Weather files turned into hourly forcing."""
