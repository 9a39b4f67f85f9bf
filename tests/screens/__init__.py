"""Pictures of every screen: ``python -m tests.screens OUT``. To be looked at, never compared."""
