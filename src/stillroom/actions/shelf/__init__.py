"""What stands on the shelf: how strong a lot is known to be, until when it serves, whether it may be used."""
