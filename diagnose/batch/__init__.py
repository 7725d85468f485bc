"""A folder of case files judged on every core, and other independent jobs."""
