"""One hole in one photo: what is known beforehand, and which holes explain its marks best."""
