"""``python -m verify`` is the command ``everyedge``."""

from verify.cli import main

if __name__ == "__main__":
    main()
