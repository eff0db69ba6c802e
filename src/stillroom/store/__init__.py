"""The book on disk: journal, typed index, migrations, verify, backup."""
