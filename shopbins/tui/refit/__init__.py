"""The Refit: what comes off before what, and goes back."""
