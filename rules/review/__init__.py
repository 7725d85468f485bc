"""What is doubtful in a pack that loads."""
