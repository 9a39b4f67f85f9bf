"""What a check of a book looks into: files, citations, what was allowed, every number again."""
