"""Pictures of the demo job; SOURCES.md says where each comes from and what is true of it."""
