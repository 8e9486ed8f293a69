"""What is read, found and reported around the wall between and during surveys."""
