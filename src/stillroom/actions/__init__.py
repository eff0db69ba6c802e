"""One function for each thing a person does; the only room that opens the book."""
