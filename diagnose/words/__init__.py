"""What is said in sentences, for every kind of output."""
