"""Hourly climates: files, gaps, and the winters cut from them."""
