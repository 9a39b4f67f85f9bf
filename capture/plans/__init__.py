"""Plan files: the reader, and the plans that are shipped."""
