"""An invented practice laboratory, told through the same actions a person would take."""
