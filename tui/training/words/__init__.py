"""What the training screens say."""
