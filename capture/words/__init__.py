"""Records in words for a person: the command line and the window say them alike."""
