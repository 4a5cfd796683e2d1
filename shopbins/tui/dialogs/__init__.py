"""What is asked or shown over a screen, one a file."""
