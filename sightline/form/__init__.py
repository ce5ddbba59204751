"""The questions a maker is asked, at the terminal or on a page, and the scene text that the answers make."""
