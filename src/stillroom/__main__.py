"""``python -m stillroom`` is the stillroom command."""

from stillroom.cli.main import main

if __name__ == "__main__":
    main()
