"""What a person does, written as entries: each act whole, what follows from it, what is refused."""
