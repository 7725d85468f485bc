"""What the screens of bikes show and take, without the screens."""
