"""From folders of YAML to one checked rule base."""
