"""Run ``python -m hoopwright``."""

from hoopwright.cli import main

if __name__ == "__main__":
    main()
