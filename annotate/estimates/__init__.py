"""What samples of the holes tell: estimate, interval, what made it uncertain, how many suffice."""
