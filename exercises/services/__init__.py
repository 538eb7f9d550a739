"""What changes the library and the practice book."""
