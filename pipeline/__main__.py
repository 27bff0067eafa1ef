"""Run `python -m pipeline` as the command `longrow`."""

from pipeline.cli import main

if __name__ == "__main__":
    main()
