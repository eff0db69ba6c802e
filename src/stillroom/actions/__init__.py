"""What people do, a function for each act, in a folder for each subject; the only room that writes into the book."""
