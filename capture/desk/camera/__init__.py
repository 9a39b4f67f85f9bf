"""A camera on the bench: live, frozen, filed."""
