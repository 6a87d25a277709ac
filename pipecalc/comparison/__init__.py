"""Two revisions side by side: rows and result records in, differences out. No files, no formatting of results."""
