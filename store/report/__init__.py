"""The customer's report."""
