"""`python -m fea` is the command `stoutpost`."""

from fea.app.command import main

if __name__ == "__main__":
    main()
