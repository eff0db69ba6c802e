"""Pages and their JSON twins, served on this machine."""
