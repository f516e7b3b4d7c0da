"""A program that works off the searches of a book until it is killed."""

import sys
import time
from pathlib import Path

from app.canvas.searching import Seeker
from app.ground.book import open_book

if __name__ == "__main__":
    Seeker(open_book(Path(sys.argv[1]))).wake()
    time.sleep(600)
