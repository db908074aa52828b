"""Answers as people take them: terminal tables, one page, charts, CSV and JSON."""
