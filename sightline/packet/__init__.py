"""The packet: one page to open in a browser, and papers for everyone on the day."""
