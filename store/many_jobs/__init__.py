"""The books of many jobs looked through: the shop's index, what is sought in it, one plot of it."""
