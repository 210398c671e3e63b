"""Two bases on one floor in pictures, in tables, and on a page for the client."""
