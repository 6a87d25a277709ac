"""From results to a calculation note: figures, worked lines, tables, HTML and PDF."""
