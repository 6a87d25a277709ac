"""Many workbooks: which ones, on how many processes or machines, what became of each."""
