"""Closed edges round a click, and which of them is the near hole's drilled edge."""
