"""What a pack may say: its entries, sections, courses, and their JSON Schema."""
