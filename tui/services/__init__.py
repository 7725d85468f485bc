"""What the app hands to the rooms of the screens: the rule base with its store, and itself."""
