"""The routes of the HTTP API and its schema."""
