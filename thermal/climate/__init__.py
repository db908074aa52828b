"""Weather files, and the hourly forcing made from them."""
