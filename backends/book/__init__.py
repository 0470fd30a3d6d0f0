"""The build book: what is in it, settled once, and written as a PDF and as one page of HTML."""
