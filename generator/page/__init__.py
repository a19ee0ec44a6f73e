"""The bench page: what the commands do, in the browser, served on this computer.

The server keeps nothing: every request carries the whole form, and what is on the page is what the commands print.
"""
