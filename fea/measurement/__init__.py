"""What a person measured on the machine, read and checked."""
