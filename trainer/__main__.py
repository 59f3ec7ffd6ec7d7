"""``python -m trainer`` is the same as ``heldline``."""

from trainer.cli import run

if __name__ == "__main__":
    run()
