"""What is doubtful in a pack that loads, and what it rests on."""
