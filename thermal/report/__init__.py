"""Results as text, tables, charts, HTML, CSV and JSON."""
