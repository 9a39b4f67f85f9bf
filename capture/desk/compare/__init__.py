"""Two photos side by side: before and after, the old part and the new."""
