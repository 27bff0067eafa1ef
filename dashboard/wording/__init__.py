"""The words of the pages that lead from an answer back to its rows, one module per page."""
