"""From accepted marks to one Coverage: one photo, several as one, or an opening that was drawn."""
