"""The only package that knows spreadsheet files: reading, building the plant, and writing results back."""
